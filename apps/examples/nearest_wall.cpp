// What is at a place of a map, and how far the nearest wall is from there.
//
//   c++ -std=c++17 nearest_wall.cpp -lwainscot -o nearest_wall && ./nearest_wall MAP X_M Y_M

#include <cstdio>
#include <cstdlib>

#include <wainscot.hpp>

const char* word_of(wainscot::Floor floor) {
  switch (floor) {
    case wainscot::Floor::free:
      return "free";
    case wainscot::Floor::occupied:
      return "occupied";
    case wainscot::Floor::unknown:
      break;
  }
  return "unknown";
}

int main(int argc, char** argv) {
  if (argc != 4) {
    std::fprintf(stderr, "usage: nearest_wall MAP X_M Y_M\n");
    return 2;
  }
  const double x_m = std::atof(argv[2]);
  const double y_m = std::atof(argv[3]);
  try {
    const wainscot::Map house(argv[1]);
    std::printf("%s, the nearest wall %.3f m away\n", word_of(house.floor_at(x_m, y_m)),
                house.wall_distance_m(x_m, y_m));
  } catch (const wainscot::Error& error) {
    std::fprintf(stderr, "nearest_wall: %s\n", error.what());
    return 2;
  }
}
