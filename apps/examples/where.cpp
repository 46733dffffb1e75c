// A robot's program in C++: reads a recorded drive as if it came from the robot, asks where the robot is after each
// scan, and how far the nearest wall is from there.
//
//   c++ -std=c++17 where.cpp -lwainscot -o where && ./where MAP DRIVE [SECONDS A TURN OF THE LIDAR]

#include <cstddef>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include <wainscot.hpp>

using Row = std::vector<double>;

/// The next row's numbers; an empty cell is 0, which is no return. Empty: there is none.
Row next_row(std::istream& table) {
  Row numbers;
  std::string line;
  if (!std::getline(table, line)) return numbers;
  std::istringstream cells(line + ",");
  for (std::string cell; std::getline(cells, cell, ',');) numbers.push_back(std::strtod(cell.c_str(), nullptr));
  return numbers;
}

std::ifstream opened(const std::string& name) {
  std::ifstream table(name);
  if (!table) throw std::runtime_error(name + " is not there");
  return table;
}

void tell(const wainscot::Map& house, const wainscot::Location& here) {
  if (here.answer != wainscot::Answer::found) {
    std::printf("%.3f s: %s\n", here.time_s, here.answer == wainscot::Answer::lost ? "lost" : "not sure yet");
    return;
  }
  std::printf("%.3f s: at (%.3f, %.3f) m, heading %.4f rad, the nearest wall %.2f m away\n", here.time_s, here.x_m,
              here.y_m, here.heading_rad, house.wall_distance_m(here.x_m, here.y_m));
}

void run(const std::string& map, const std::string& drive, double sweep_s) {
  const wainscot::Map house(map);
  wainscot::Locator robot(house);
  std::ifstream wheels = opened(drive + "/wheels.csv");
  std::ifstream scans = opened(drive + "/scans.csv");
  next_row(wheels);
  Row angles = next_row(scans);
  if (angles.size() < 2) throw std::runtime_error("an empty table");
  angles.erase(angles.begin());
  Row offsets;
  for (std::size_t i = 0; i < angles.size(); ++i) {
    offsets.push_back(sweep_s * static_cast<double>(i) / static_cast<double>(angles.size()));
  }
  Row wheel = {0.0};
  for (Row scan = next_row(scans); !scan.empty(); scan = next_row(scans)) {
    const double begin_s = scan.front();
    while (!wheel.empty() && wheel.front() < begin_s + 2.0 * sweep_s) {
      wheel = next_row(wheels);
      if (wheel.size() > 2) {
        robot.add_wheels(wheel[0], static_cast<std::int64_t>(wheel[1]), static_cast<std::int64_t>(wheel[2]));
      }
    }
    scan.erase(scan.begin());
    robot.add_scan(begin_s, angles, scan, offsets);
    while (const auto here = robot.next()) tell(house, *here);
  }
}

int main(int argc, char** argv) {
  if (argc < 3) {
    std::fprintf(stderr, "usage: where MAP DRIVE [SECONDS A TURN OF THE LIDAR]\n");
    return 2;
  }
  try {
    run(argv[1], argv[2], argc > 3 ? std::atof(argv[3]) : 0.1);
  } catch (const std::exception& error) {
    std::fprintf(stderr, "where: %s\n", error.what());
    return 2;
  }
}
