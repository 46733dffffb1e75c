// Thousands of small logs, each damaged in a few places, are converted: to a drive that the program's own reader takes,
// or they are refused with one sentence. The same on every run.

#include <gtest/gtest.h>

#include <array>
#include <filesystem>
#include <random>
#include <string>

#include "core/errors.hpp"
#include "drive_invariants.hpp"
#include "io/convert/columns_yaml.hpp"
#include "io/convert/drive_conversion.hpp"
#include "io/log/drive_reader.hpp"
#include "tests/fuzz/damage.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

struct LogBase {
  std::string columns;
  std::string log;
};

std::string number(double value) { return std::to_string(value).substr(0, 6); }

LogBase message_base() {
  LogBase base;
  base.columns =
      "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: blanks}\n"
      "wheels:\n  where: {1: W}\n  time: {column: 2, unit: ms}\n  left: {column: 3}\n  right: {column: 4}\n"
      "  counts: increments\n"
      "gyro:\n  where: {1: G}\n  time: {column: 2, unit: ms}\n  yaw_rate: {column: 3, unit: deg/s}\n"
      "scans:\n  where: {1: S}\n  time: {column: 2, unit: ms}\n  ranges: {from: 3, unit: mm}\n"
      "  first_angle: 0 deg\n  angle_step: 90 deg\n";
  for (int i = 0; i < 30; ++i) {
    const std::string time_ms = std::to_string(100 * i);
    base.log +=
        "W " + time_ms + " 7 8\nG " + time_ms + " 1.5\nS " + time_ms + " 1000 0 25" + std::to_string(i) + " 9\n";
  }
  return base;
}

LogBase json_base() {
  LogBase base;
  base.columns =
      "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: json}\n"
      "odometry:\n  where: p\n  time: {column: t, unit: s}\n  x: {column: p.x, unit: m}\n  y: {column: p.y, unit: m}\n"
      "  heading: {column: p.h, unit: deg}\n"
      "scans:\n  where: s\n  time: {column: t, unit: s}\n  ranges: {from: s.r.2, unit: m}\n"
      "  angles: {column: s.r.1, unit: deg}\n";
  for (int i = 0; i < 30; ++i) {
    const std::string time_s = "{\"t\": " + number(0.1 * i);
    base.log += time_s + ", \"p\": {\"x\": " + number(0.02 * i) + ", \"y\": 0, \"h\": 3}}\n";
    base.log += time_s + ", \"s\": {\"r\": [[0, 1.5], [120.5, null], [240, 2.25]]}}\n";
  }
  return base;
}

LogBase beam_base() {
  LogBase base;
  base.columns =
      "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: semicolons, header: true}\n"
      "returns:\n  time: {column: t, unit: s}\n  number: {column: i}\n  first_angle: -180 deg\n  angle_step: 60 deg\n"
      "  range: {column: r, unit: cm}\n";
  base.log = "t;i;r\n";
  for (int i = 0; i < 60; ++i)
    base.log += number(0.05 * i) + ";" + std::to_string(i % 6) + ";150," + std::to_string(i) + "\n";
  return base;
}

TEST(LogMutation, EveryLogIsConvertedOrRefused) {
  const std::array<LogBase, 3> bases = {message_base(), json_base(), beam_base()};
  const ReaderFolder home;
  home.write("robot.yaml",
             "wainscot_robot: 1\ndrive: {left_m_per_tick: 1e-4, right_m_per_tick: 1e-4, track_width_m: 0.3}\n");
  std::mt19937 random(20260202);
  int converted = 0;
  int refused = 0;
  constexpr int kLogs = 2000;
  for (int k = 0; k < kLogs; ++k) {
    const LogBase& base = bases[random() % bases.size()];
    LogBase damaged = base;
    for (std::size_t damages = random() % 4 == 0 ? 3 : 1; damages > 0; --damages) {
      damage(random() % 4 == 0 ? damaged.columns : damaged.log, random);
    }
    const std::filesystem::path drive = home.path() / "drive";
    std::filesystem::remove_all(drive);
    std::filesystem::create_directory(drive);
    home.write("a.log", damaged.log);
    try {
      const Conversion result =
          convert_logs(parse_columns_yaml(damaged.columns, "columns.yaml"), {home.path() / "a.log"}, drive);
      for (const std::string& warning : result.warnings) EXPECT_TRUE(is_plain_text(warning)) << warning;
      ++converted;
      std::filesystem::copy_file(home.path() / "robot.yaml", drive / "robot.yaml");
      const bool motion =
          std::filesystem::exists(drive / "wheels.csv") || std::filesystem::exists(drive / "odometry.csv");
      const Drive read = read_drive(drive);
      EXPECT_EQ(broken_invariant(read, motion ? Motion::recorded : Motion::left_out), "") << "log " << k;
    } catch (const InputError& error) {
      EXPECT_EQ(broken_message(error.what()), "") << "log " << k;
      ++refused;
    }
  }
  EXPECT_GT(converted, kLogs / 4);
  EXPECT_GT(refused, kLogs / 20);
}

}  // namespace
}  // namespace wainscot
