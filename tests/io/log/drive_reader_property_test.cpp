// Any drive, written in any form that io/FORMATS.md allows, is read back with the same values.

#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numbers>

#include "io/log/drive_reader.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

int whole(int least, int most) { return *rc::gen::inRange(least, most + 1); }
bool coin() { return whole(0, 1) == 1; }

// A number of thousandths, as text in one of the forms that are allowed.
std::string number_text(std::int64_t thousandths) {
  char text[64];
  const double value = static_cast<double>(thousandths) / 1000.0;
  constexpr const char* kForms[] = {"%.3f", "%.6f", "%+.3f", "%.17g", "%.12e", " %.4f "};
  std::snprintf(text, sizeof(text), kForms[whole(0, 5)], value);
  return text;
}

// A table with its columns in any order, comments and blank lines anywhere, and either line end.
std::string table_text(const std::vector<std::vector<std::string>>& rows, bool any_order) {
  std::vector<std::size_t> order(rows.front().size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  if (any_order) {
    for (std::size_t i = order.size(); i > 1; --i)
      std::swap(order[i - 1], order[static_cast<std::size_t>(whole(0, static_cast<int>(i) - 1))]);
  }
  const std::string end = coin() ? "\n" : "\r\n";
  std::string text = coin() ? "\xef\xbb\xbf" : "";
  for (const auto& row : rows) {
    const int extra = whole(0, 9);
    if (extra == 0) text += "# a comment, with commas" + end;
    if (extra == 1) text += end;
    for (std::size_t i = 0; i < order.size(); ++i) text += (i > 0 ? "," : "") + row[order[i]];
    text += end;
  }
  return text;
}

struct Wheels {
  std::vector<std::int64_t> time_ms, left, right;
};

// A robot that drives as robots do: at most 1 m/s.
Wheels draw_wheels() {
  Wheels wheels;
  std::int64_t time = whole(-100'000, 100'000);
  std::int64_t left = whole(-1'000'000, 1'000'000);
  std::int64_t right = whole(-1'000'000, 1'000'000);
  const int rows = whole(2, 40);
  for (int i = 0; i < rows; ++i) {
    wheels.time_ms.push_back(time);
    wheels.left.push_back(left);
    wheels.right.push_back(right);
    const int step_ms = whole(10, 30);
    time += step_ms;
    left += whole(5 * step_ms, 10 * step_ms);  // 0.1 mm a tick
    right += whole(5 * step_ms, 10 * step_ms);
  }
  return wheels;
}

void write_wheels(const ReaderFolder& folder, const Wheels& wheels, int counter_bits) {
  std::vector<std::vector<std::string>> rows = {{"time_s", "left_ticks", "right_ticks"}};
  const bool is_signed = coin();
  const auto shown = [&](std::int64_t ticks) {
    if (counter_bits == 16) return is_signed ? std::int64_t{static_cast<std::int16_t>(ticks)} : ticks & 0xffff;
    return is_signed ? std::int64_t{static_cast<std::int32_t>(ticks)} : ticks & 0xffffffff;
  };
  for (std::size_t i = 0; i < wheels.time_ms.size(); ++i) {
    rows.push_back({number_text(wheels.time_ms[i]), std::to_string(shown(wheels.left[i])),
                    std::to_string(shown(wheels.right[i]))});
  }
  folder.write("wheels.csv", table_text(rows, true));
}

void check_wheels(const Wheels& written, const Drive& drive) {
  RC_ASSERT(drive.wheels.size() == written.time_ms.size());
  RC_ASSERT(drive.breaks.empty());
  for (std::size_t i = 0; i < drive.wheels.size(); ++i) {
    RC_ASSERT(drive.wheels[i].time_s == static_cast<double>(written.time_ms[i]) / 1000.0);
    RC_ASSERT(drive.wheels[i].left_ticks - drive.wheels[0].left_ticks == written.left[i] - written.left[0]);
    RC_ASSERT(drive.wheels[i].right_ticks - drive.wheels[0].right_ticks == written.right[i] - written.right[0]);
  }
}

// Times and ranges in thousandths, angles in thousandths of a degree; range 0: no return.
struct Turns {
  int direction = 1;
  std::vector<int> angle_mdeg;  // since the first beam, growing
  int first_mdeg = 0;
  std::vector<std::int64_t> time_ms;
  std::vector<std::vector<int>> range_mm;
};

Turns draw_turns(std::int64_t begin_ms) {
  Turns turns;
  turns.direction = coin() ? 1 : -1;
  turns.first_mdeg = whole(-180'000, 180'000);
  const int beams = whole(2, 20);
  int angle = 0;
  for (int i = 0; i < beams; ++i) {
    turns.angle_mdeg.push_back(angle);
    angle += whole(1, 359'000 / beams);
  }
  const int scans = whole(1, 6);
  std::int64_t time = begin_ms;
  for (int s = 0; s < scans; ++s) {
    turns.time_ms.push_back(time);
    time += 100;
    turns.range_mm.emplace_back();
    for (int i = 0; i < beams; ++i) turns.range_mm.back().push_back(whole(0, 4) == 0 ? 0 : whole(1, 9000));
  }
  return turns;
}

std::string range_text(int range_mm) {
  constexpr const char* kNone[] = {"", "nan", "inf", "0", "0.000", "NaN"};
  return range_mm > 0 ? number_text(range_mm) : kNone[whole(0, 5)];
}

// The angle of a beam as a log may have it: any of -180..180 and 0..360.
double logged_deg(const Turns& turns, std::size_t beam, bool from_zero) {
  double angle = std::remainder((turns.first_mdeg + turns.direction * turns.angle_mdeg[beam]) / 1000.0, 360.0);
  if (from_zero && angle < 0.0) angle += 360.0;
  return angle;
}

void write_scans(const ReaderFolder& folder, const Turns& turns) {
  std::vector<std::vector<std::string>> rows = {{"time_s"}};
  const bool from_zero = coin();
  for (std::size_t i = 0; i < turns.angle_mdeg.size(); ++i) {
    rows[0].push_back(number_text(std::llround(1000.0 * logged_deg(turns, i, from_zero))));
  }
  for (std::size_t s = 0; s < turns.time_ms.size(); ++s) {
    rows.push_back({number_text(turns.time_ms[s])});
    for (const int range : turns.range_mm[s]) rows.back().push_back(range_text(range));
  }
  folder.write("scans.csv", table_text(rows, false));
}

// 0.1 s a turn, times in millionths.
void write_returns(const ReaderFolder& folder, const Turns& turns) {
  std::vector<std::vector<std::string>> rows = {{"time_s", "angle_deg", "range_m"}};
  const bool from_zero = coin();
  for (std::size_t s = 0; s < turns.time_ms.size(); ++s) {
    for (std::size_t i = 0; i < turns.angle_mdeg.size(); ++i) {
      char time[64];
      std::snprintf(time, sizeof(time), "%.9f",
                    static_cast<double>(turns.time_ms[s]) / 1000.0 + 0.1 * turns.angle_mdeg[i] / 360'000.0);
      rows.push_back({time, number_text(std::llround(1000.0 * logged_deg(turns, i, from_zero))),
                      range_text(turns.range_mm[s][i])});
    }
  }
  folder.write("returns.csv", table_text(rows, true));
}

// All returns in the order of firing, with their times.
struct TimedReturn {
  double time_s;
  double angle_deg;
  double range_m;
};

std::vector<TimedReturn> expected_returns(const Turns& turns, const LidarConstants& lidar, bool mirrored) {
  std::vector<TimedReturn> returns;
  for (std::size_t s = 0; s < turns.time_ms.size(); ++s) {
    for (std::size_t i = 0; i < turns.angle_mdeg.size(); ++i) {
      const double range = turns.range_mm[s][i] / 1000.0;
      if (range < lidar.min_range_m) continue;
      returns.push_back({static_cast<double>(turns.time_ms[s]) / 1000.0 + 0.1 * turns.angle_mdeg[i] / 360'000.0,
                         (mirrored ? -1 : 1) * logged_deg(turns, i, false), std::min(range, lidar.max_range_m)});
    }
  }
  return returns;
}

void check_returns(const std::vector<TimedReturn>& expected, const Drive& drive) {
  std::size_t i = 0;
  for (const Scan& scan : drive.scans) {
    for (const Return& beam : scan.returns) {
      RC_ASSERT(i < expected.size());
      RC_ASSERT(std::abs(scan.time_s + beam.time_offset_s - expected[i].time_s) < 1e-6);
      RC_ASSERT(std::abs(std::remainder(beam.angle_rad - expected[i].angle_deg * std::numbers::pi / 180.0,
                                        2 * std::numbers::pi)) < 1e-5);
      RC_ASSERT(std::abs(beam.range_m - expected[i].range_m) < 1e-6);
      RC_ASSERT(beam.time_offset_s >= 0.0f);
      ++i;
    }
  }
  RC_ASSERT(i == expected.size());
}

class DriveReaderProperty : public testing::Test {
 protected:
  // The same cases on every run; RC_PARAMS in the environment asks for others, or for more.
  static void SetUpTestSuite() { setenv("RC_PARAMS", "seed=1 max_success=300", 0); }
};

TEST_F(DriveReaderProperty, AnyAllowedFormIsReadBackWithTheSameValues) {
  EXPECT_TRUE(rc::check([] {
    const ReaderFolder folder;
    const int counter_bits = coin() ? 16 : 32;
    const bool mirrored = coin();
    folder.write("robot.yaml",
                 "wainscot_robot: 1\ndrive: {left_m_per_tick: 1e-4, right_m_per_tick: -1e-4, track_width_m: 0.3, "
                 "counter_bits: " +
                     std::to_string(counter_bits) +
                     "}\nlidar: {sweep_s: 0.1, mirrored: " + (mirrored ? "true" : "false") + "}\n");
    const Wheels wheels = draw_wheels();
    write_wheels(folder, wheels, counter_bits);
    const Turns turns = draw_turns(wheels.time_ms.front());
    const bool as_scans = coin();
    if (as_scans) {
      write_scans(folder, turns);
    } else {
      write_returns(folder, turns);
    }
    const Drive drive = read_drive(folder.path());
    check_wheels(wheels, drive);
    check_returns(expected_returns(turns, drive.robot.lidar, mirrored), drive);
    if (as_scans) {
      RC_ASSERT(drive.scans.size() == turns.time_ms.size());
      for (std::size_t s = 0; s < drive.scans.size(); ++s) {
        RC_ASSERT(drive.scans[s].time_s == static_cast<double>(turns.time_ms[s]) / 1000.0);
      }
    }
  }));
}

TEST_F(DriveReaderProperty, OdometryOfAnyHeadingConventionIsReadBack) {
  EXPECT_TRUE(rc::check([] {
    const ReaderFolder folder;
    folder.write("robot.yaml", "wainscot_robot: 1\n");
    folder.write("scans.csv", "time_s,0\n0,1\n");
    const bool from_zero = coin();
    std::vector<std::vector<std::string>> rows = {{"time_s", "x_m", "y_m", "heading_rad"}};
    std::vector<Pose2> poses;
    Pose2 pose{whole(-9000, 9000) / 1000.0, whole(-9000, 9000) / 1000.0, whole(-3000, 3000) / 1000.0};
    for (int i = 0; i < 30; ++i) {
      poses.push_back(pose);
      double heading = std::remainder(pose.heading_rad, 2 * std::numbers::pi);
      if (from_zero && heading < 0.0) heading += 2 * std::numbers::pi;
      char text[64];
      std::snprintf(text, sizeof(text), "%.12f", heading);
      rows.push_back({number_text(100 * i), number_text(std::llround(1000 * pose.x_m)),
                      number_text(std::llround(1000 * pose.y_m)), text});
      pose = pose * exp({whole(5, 30) / 1000.0, 0.0, whole(-200, 200) / 1000.0});
      pose.x_m = std::round(1000 * pose.x_m) / 1000;
      pose.y_m = std::round(1000 * pose.y_m) / 1000;
    }
    folder.write("odometry.csv", table_text(rows, true));
    const Drive drive = read_drive(folder.path());
    RC_ASSERT(drive.breaks.empty());
    RC_ASSERT(drive.odometry.size() == poses.size());
    for (std::size_t i = 0; i < poses.size(); ++i) {
      RC_ASSERT(drive.odometry[i].time_s == static_cast<double>(i) / 10.0);
      RC_ASSERT(std::abs(drive.odometry[i].pose.x_m - poses[i].x_m) < 1e-9);
      RC_ASSERT(std::abs(drive.odometry[i].pose.y_m - poses[i].y_m) < 1e-9);
      const double turned = drive.odometry[i].pose.heading_rad - drive.odometry[0].pose.heading_rad;
      RC_ASSERT(std::abs(turned - (poses[i].heading_rad - poses[0].heading_rad)) < 1e-9);
    }
  }));
}

}  // namespace
}  // namespace wainscot
