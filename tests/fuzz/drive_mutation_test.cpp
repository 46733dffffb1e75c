// Thousands of small drives, each damaged in a few places, go through the reader: it returns a drive or refuses it with
// one sentence, whatever they hold. The same on every run. drive_fuzz.cpp looks further where there is time.

#include <gtest/gtest.h>

#include <array>
#include <functional>
#include <map>
#include <random>
#include <string>

#include "core/errors.hpp"
#include "drive_invariants.hpp"
#include "io/log/drive_reader.hpp"
#include "tests/fuzz/damage.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

using Files = std::map<std::string, std::string>;

const std::string kRobot =
    "wainscot_robot: 1\n"
    "drive:\n"
    "  left_m_per_tick: 8.5e-5\n"
    "  right_m_per_tick: 8.5e-5\n"
    "  track_width_m: 0.31\n"
    "  track_width_by_surface_m: {wood: 0.31, carpet: 0.33}\n"
    "  counter_bits: 16\n"
    "motion_noise: {sd_m_per_sqrt_m: 0.02, sd_rad_per_sqrt_rad: 0.05}\n"
    "gyro: {sign: 1, scale: 1.0, bias_rad_s: 0.0, sd_rad_s: 0.01}\n"
    "lidar:\n"
    "  x_m: 0.04\n"
    "  mirrored: false\n"
    "  sweep_s: 0.1\n"
    "  max_range_m: 8.0\n"
    "  clock_rate: 1.0001\n"
    "  blind_deg: [[170, -170]]\n";

std::string rows(int count, const std::string& header, const std::function<std::string(int)>& row) {
  std::string text = header + "\n";
  for (int i = 0; i < count; ++i) text += row(i) + "\n";
  return text;
}

std::string tenths(int i) { return std::to_string(i / 10) + "." + std::to_string(i % 10); }

Files counted_drive() {
  Files files;
  files["robot.yaml"] = kRobot;
  files["wheels.csv"] = rows(20, "time_s,left_ticks,right_ticks", [](int i) {
    return tenths(i) + "," + std::to_string((65000 + 300 * i) % 65536) + "," + std::to_string(310 * i);
  });
  files["scans.csv"] = rows(12, "time_s,0,45,90,135,180,225,270,315", [](int i) {
    return tenths(i) + ",1." + std::to_string(i) + ",2.5,,nan,0.1,9.5,inf,3." + std::to_string(i % 7);
  });
  files["gyro.csv"] = rows(5, "time_s,yaw_rate_rad_s", [](int i) { return tenths(i) + ",0.0" + std::to_string(i); });
  files["markers.csv"] = "time_s,marker,x_m,y_m,heading_rad\n0.3,door,1,2,0.5\n0.6,sofa,1,2,\n";
  files["marker_map.csv"] = "marker,x_m,y_m\ndoor,0,0\nsofa,4,1\n";
  files["followed.csv"] = "from_s,to_s,line,sd_m\n0.2,0.5,hall,0.004\n0.6,1.1,door,\n";
  files["line_map.csv"] = "line,x1_m,y1_m,x2_m,y2_m\nhall,0,0,3,0\ndoor,3,1,3,2\n";
  files["hints.csv"] = "time_1_s,time_2_s,same_place\n0.1,1.1,yes\n";
  files["truth.csv"] = "time_s,x_m,y_m,heading_rad\n0,0,0,3.1\n1,0.4,0,-3.1\n";
  return files;
}

Files integrated_drive() {
  Files files;
  files["robot.yaml"] = "wainscot_robot: 1\nlidar: {range_unit_m: 0.001}\n";
  files["odometry.csv"] =
      rows(20, "time_s,x_m,y_m,heading_rad", [](int i) { return tenths(i) + ",0." + std::to_string(i) + ",0,3.1"; });
  files["returns.csv"] = rows(60, "time_s,angle_deg,range_m,strength", [](int i) {
    return "0." + std::to_string(100 + i / 3) + "," + std::to_string((37 * i) % 360) + ".25," +
           std::to_string(900 + i) + ",12";
  });
  return files;
}

void write(const ReaderFolder& folder, const Files& files) {
  for (const auto& [name, text] : files) folder.write(name, text);
}

TEST(DriveMutation, TheReaderReturnsADriveOrRefuses) {
  const std::array<Files, 2> bases = {counted_drive(), integrated_drive()};
  const std::array<ReaderFolder, 2> folders;
  for (std::size_t i = 0; i < bases.size(); ++i) write(folders[i], bases[i]);
  std::mt19937 random(20260101);
  int read = 0;
  int refused = 0;
  constexpr int kDrives = 6000;
  for (int k = 0; k < kDrives; ++k) {
    const std::size_t which = random() % bases.size();
    const ReaderFolder& folder = folders[which];
    Files damaged;
    for (std::size_t damages = random() % 4 == 0 ? 3 : 1; damages > 0; --damages) {
      auto file = bases[which].begin();
      std::advance(file, random() % bases[which].size());
      damage(damaged.emplace(*file).first->second, random);
    }
    write(folder, damaged);
    try {
      EXPECT_EQ(broken_invariant(read_drive(folder.path())), "") << "drive " << k;
      ++read;
    } catch (const InputError& error) {
      EXPECT_EQ(broken_message(error.what()), "") << "drive " << k;
      ++refused;
    }
    for (const auto& [name, text] : damaged) folder.write(name, bases[which].at(name));
  }
  // Both ways are well trodden.
  EXPECT_GT(read, kDrives / 10);
  EXPECT_GT(refused, kDrives / 4);
}

TEST(DriveMutation, TheUndamagedDrivesAreRead) {
  for (const Files& files : {counted_drive(), integrated_drive()}) {
    const ReaderFolder folder;
    write(folder, files);
    EXPECT_EQ(broken_invariant(read_drive(folder.path())), "");
  }
}

}  // namespace
}  // namespace wainscot
