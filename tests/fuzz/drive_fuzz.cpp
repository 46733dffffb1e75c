// A libFuzzer target: the bytes are a drive's files, one after the other, each begun by a byte that chooses its name
// and two that give its length.

#include <cstdint>
#include <cstdlib>
#include <iostream>

#include "core/errors.hpp"
#include "drive_invariants.hpp"
#include "io/log/drive_reader.hpp"
#include "named_files.hpp"
#include "tests/io/reader_folder.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  constexpr const char* kNames[] = {"robot.yaml", "wheels.csv",  "odometry.csv",   "scans.csv", "returns.csv",
                                    "gyro.csv",   "markers.csv", "marker_map.csv", "hints.csv", "truth.csv"};
  const wainscot::ReaderFolder folder;
  const std::set<std::string> written = wainscot::write_files(folder, kNames, data, size);
  const bool has_motion = written.count("wheels.csv") + written.count("odometry.csv") > 0;
  const wainscot::Motion motion = has_motion ? wainscot::Motion::recorded : wainscot::Motion::left_out;
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
