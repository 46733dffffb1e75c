// A libFuzzer target: the bytes are files of a map's folder, one after the other, each begun by a byte that chooses its
// name and two that give its length. What is not among them is as in a small good map.

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <iterator>

#include "small_map.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  constexpr const char* kNames[] = {"grid.yaml", "grid.pgm", "trajectory.csv", "odometry.csv", "other.pgm"};
  static const wainscot::SmallMap map;
  const wainscot::ReaderFolder folder;
  map.write(folder);
  while (size >= 3) {
    const char* name = kNames[data[0] % std::size(kNames)];
    const std::size_t length = std::min<std::size_t>(data[1] + 256u * data[2], size - 3);
    folder.write(name, std::string(reinterpret_cast<const char*>(data + 3), length));
    data += 3 + length;
    size -= 3 + length;
  }
  const std::string broken = wainscot::broken_reading(folder.path());
  if (!broken.empty()) {
    std::cerr << broken << '\n';
    std::abort();
  }
  return 0;
}
