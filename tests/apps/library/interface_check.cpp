// What wainscot.hpp promises beside what the examples show: errors are exceptions of its own, whatever was given wrong;
// copies share a map; what the progress function throws comes out. Built by library_check.py against the installed
// library.
//
//   interface_check MAP DRIVE EMPTY_FOLDER

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <limits>
#include <stdexcept>
#include <string>
#include <type_traits>
#include <typeinfo>
#include <utility>
#include <vector>

#include <wainscot.hpp>

namespace {

void expect(bool right, const char* what) {
  if (right) return;
  std::fprintf(stderr, "interface_check: %s\n", what);
  std::exit(1);
}

/// Whether `job` throws just this.
template <typename Expected, typename Job>
bool throws(const Job& job) {
  try {
    job();
  } catch (const Expected& error) {
    return typeid(error) == typeid(Expected) && *error.what() != '\0';
  } catch (...) {
  }
  return false;
}

void check_building(const std::filesystem::path& drive, const std::filesystem::path& folder) {
  using wainscot::build_map;
  expect(throws<wainscot::Error>([&] { build_map("/no/such/drive", folder / "map"); }), "a drive that is not there");
  expect(throws<wainscot::Error>([&] { build_map(drive, folder); }), "a destination that is there");
  const auto stop = [](const std::string&, double) { return false; };
  expect(throws<wainscot::Stopped>([&] { build_map(drive, folder / "map", stop); }), "stopped");
  const auto thrower = [](const std::string&, double) -> bool { throw std::domain_error("mine"); };
  expect(throws<std::domain_error>([&] { build_map(drive, folder / "map", thrower); }), "the progress function's own");
  expect(std::filesystem::is_empty(folder), "something was left");
}

void check_map(const wainscot::Map& house) {
  const double no_number = std::numeric_limits<double>::quiet_NaN();
  expect(throws<wainscot::Error>([] { wainscot::Map("/no/such/map"); }), "a map that is not there");
  expect(throws<wainscot::Error>([&] { return house.wall_distance_m(no_number, 0.0); }), "a distance from nowhere");
  expect(throws<wainscot::Error>([&] { return house.floor_at(0.0, no_number); }), "the floor of nowhere");
  expect(house.floor_at(1e9, 0.0) == wainscot::Floor::unknown, "far away");
  wainscot::Map moved = house;
  const wainscot::Map taken = std::move(moved);
  expect(taken.floor_at(0.0, 0.0) == house.floor_at(0.0, 0.0), "a copy is the same map");
  // NOLINTNEXTLINE(bugprone-use-after-move): what is asked
  expect(throws<wainscot::Error>([&] { return moved.floor_at(0.0, 0.0); }), "a map that was moved from");
}

void check_locator(const std::filesystem::path& map) {
  wainscot::Locator robot{wainscot::Map(map)};  // keeps the map
  static_assert(!std::is_copy_constructible_v<wainscot::Locator>);
  expect(throws<wainscot::Error>([&] { wainscot::Locator(wainscot::Map(map), "/no/such/robot.yaml"); }), "robot.yaml");
  expect(!robot.next(), "no answer waits");
  robot.add_wheels(2.0, 0, 0);
  expect(throws<wainscot::Error>([&] { robot.add_wheels(1.0, 0, 0); }), "back in time");
  expect(throws<wainscot::Error>([&] { robot.add_pose(3.0, 0.0, 0.0, 0.0); }), "wheels and poses");
  expect(throws<wainscot::Error>([&] { robot.add_scan(2.1, {0.0, 1.0}, {1.0}); }), "too few ranges");
  expect(throws<wainscot::Error>([&] { robot.add_scan(2.1, {0.0}, {1.0}, {0.0, 0.1}); }), "too many offsets");
  expect(throws<wainscot::Error>([&] { robot.add_yaw_rate(3.0, std::nan("")); }), "a rate that is no number");
  robot.add_scan(2.1, {}, {});
  robot.add_break();
  robot.restart();
  wainscot::Locator taken = std::move(robot);
  taken.add_wheels(3.0, 1, 1);
  // NOLINTNEXTLINE(bugprone-use-after-move): what is asked
  expect(throws<wainscot::Error>([&] { robot.restart(); }), "a locator that was moved from");
}

}  // namespace

int main(int argc, char** argv) {
  expect(argc == 4, "usage: interface_check MAP DRIVE EMPTY_FOLDER");
  check_building(argv[2], argv[3]);
  check_map(wainscot::Map(argv[1]));
  check_locator(argv[1]);
}
