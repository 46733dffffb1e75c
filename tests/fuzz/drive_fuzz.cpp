// A libFuzzer target: the bytes are a drive's files, one after the other, each begun by a byte that chooses its name
// and two that give its length.

#include <cstdint>
#include <cstdlib>
#include <iostream>

#include "core/errors.hpp"
#include "drive_invariants.hpp"
#include "io/log/drive_reader.hpp"
#include "tests/io/reader_folder.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  constexpr const char* kNames[] = {"robot.yaml", "wheels.csv",  "odometry.csv",   "scans.csv", "returns.csv",
                                    "gyro.csv",   "markers.csv", "marker_map.csv", "hints.csv", "truth.csv"};
  const wainscot::ReaderFolder folder;
  wainscot::Motion motion = wainscot::Motion::left_out;
  while (size >= 3) {
    const char* name = kNames[data[0] % std::size(kNames)];
    if (name == kNames[1] || name == kNames[2]) motion = wainscot::Motion::recorded;
    const std::size_t length = std::min<std::size_t>(data[1] + 256u * data[2], size - 3);
    folder.write(name, std::string(reinterpret_cast<const char*>(data + 3), length));
    data += 3 + length;
    size -= 3 + length;
  }
  std::string broken;
  try {
    broken = wainscot::broken_invariant(wainscot::read_drive(folder.path()), motion);
  } catch (const wainscot::InputError& error) {
    broken = wainscot::broken_message(error.what());
  }
  if (!broken.empty()) {
    std::cerr << broken << '\n';
    std::abort();
  }
  return 0;
}
