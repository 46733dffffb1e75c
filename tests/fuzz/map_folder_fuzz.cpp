// A libFuzzer target: the bytes are files of a map's folder, one after the other, each begun by a byte that chooses its
// name and two that give its length. What is not among them is as in a small good map.

#include <cstdint>
#include <cstdlib>
#include <iostream>

#include "named_files.hpp"
#include "small_map.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  constexpr const char* kNames[] = {"grid.yaml", "grid.pgm", "trajectory.csv", "odometry.csv", "other.pgm"};
  static const wainscot::SmallMap map;
  const wainscot::ReaderFolder folder;
  map.write(folder);
  wainscot::write_files(folder, kNames, data, size);
  const std::string broken = wainscot::broken_reading(folder.path());
  if (!broken.empty()) {
    std::cerr << broken << '\n';
    std::abort();
  }
  return 0;
}
