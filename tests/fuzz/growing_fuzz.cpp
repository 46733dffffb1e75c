// A libFuzzer target: the bytes are what a recorder writes, piece by piece. The first byte chooses the drive's tables
// and robot; each piece is begun by a byte that chooses its table and one that gives its length, and is read at once.

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <map>
#include <memory>
#include <string>
#include <utility>

#include <unistd.h>

#include "core/errors.hpp"
#include "drive_invariants.hpp"
#include "graph/live/recent_drive.hpp"
#include "io/log/growing_drive.hpp"

namespace {

/// As apps/growing_log hands readings on; throws `InputError` where they are not in the order of time.
void take(const wainscot::NewReadings& readings, std::unique_ptr<wainscot::RecentDrive>& recent) {
  if (readings.begun_anew) recent = std::make_unique<wainscot::RecentDrive>(recent->drive().robot);
  for (const wainscot::WheelCounts& counts : readings.wheels) recent->add_counts(counts);
  for (const wainscot::TimedPose& pose : readings.odometry) recent->add_pose(pose);
  for (const wainscot::YawRate& rate : readings.gyro) recent->add_yaw_rate(rate);
  for (const wainscot::Scan& scan : readings.scans) recent->add_scan(scan);
  while (recent->next_scan(0.025, 0.0)) {
  }
}

std::string broken_readings(const wainscot::NewReadings& readings, std::unique_ptr<wainscot::RecentDrive>& recent) {
  const std::size_t rows = readings.wheels.size() + readings.odometry.size();
  for (std::size_t i = 0; i < readings.breaks.size(); ++i) {
    if (readings.breaks[i] >= rows || (i > 0 && readings.breaks[i] <= readings.breaks[i - 1])) return "breaks";
  }
  for (const std::string& warning : readings.warnings) {
    const std::string broken = wainscot::broken_message(warning);
    if (!broken.empty()) return broken;
  }
  try {
    take(readings, recent);
  } catch (const wainscot::InputError& error) {
    return error.what();
  }
  return {};
}

[[noreturn]] void fail(const std::string& broken) {
  std::cerr << broken << '\n';
  std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const std::uint8_t choice = *data++;
  --size;
  const std::array<std::string, 3> names = {(choice & 1) != 0 ? "wheels.csv" : "odometry.csv",
                                            (choice & 2) != 0 ? "scans.csv" : "returns.csv", "gyro.csv"};
  wainscot::Robot robot;
  if ((choice & 4) != 0) robot.drive = wainscot::DriveConstants{1e-4, 1e-4, 0.3, {}, {}, {}, {}, 16};
  if ((choice & 8) != 0) robot.lidar.sweep_s = 0.1;
  if ((choice & 16) != 0) robot.lidar.clock_rate = 1.001;
  std::array<wainscot::Descriptor, 3> writers;
  std::map<std::string, wainscot::GrowingText> tables;
  for (std::size_t i = 0; i < names.size(); ++i) {
    std::array<int, 2> ends{};
    if (::pipe(ends.data()) != 0) return 0;
    tables.emplace(names[i], wainscot::GrowingText(wainscot::Descriptor(ends[0])));
    writers[i] = wainscot::Descriptor(ends[1]);
  }
  wainscot::GrowingDrive drive(std::move(tables), robot);
  auto recent = std::make_unique<wainscot::RecentDrive>(robot);
  try {
    while (size >= 2) {
      const std::size_t table = data[0] % names.size();
      const std::size_t length = std::min<std::size_t>(data[1], size - 2);
      if (::write(writers[table].number(), data + 2, length) < 0) return 0;
      data += 2 + length;
      size -= 2 + length;
      const std::string broken = broken_readings(drive.read(), recent);
      if (!broken.empty()) fail(broken);
    }
    const std::string broken = broken_readings(drive.finish(), recent);
    if (!broken.empty()) fail(broken);
  } catch (const wainscot::InputError& error) {
    const std::string broken = wainscot::broken_message(error.what());
    if (!broken.empty()) fail(broken);
  }
  return 0;
}
