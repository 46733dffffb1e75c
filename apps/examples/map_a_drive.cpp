// A drive in, a map out, with a line for each stage of the work.
//
//   c++ -std=c++17 map_a_drive.cpp -lwainscot -o map_a_drive && ./map_a_drive DRIVE MAP

#include <cstdio>
#include <string>

#include <wainscot.hpp>

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fprintf(stderr, "usage: map_a_drive DRIVE MAP\n");
    return 2;
  }
  try {
    wainscot::build_map(argv[1], argv[2], [last = std::string()](const std::string& stage, double fraction) mutable {
      if (stage != last) std::printf("%3.0f %% %s\n", 100.0 * fraction, stage.c_str());
      last = stage;
      return true;  // false would stop the work
    });
  } catch (const wainscot::Error& error) {
    std::fprintf(stderr, "map_a_drive: %s\n", error.what());
    return 2;
  }
  std::printf("written to %s\n", argv[2]);
}
