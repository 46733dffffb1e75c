#include "io/log/odometry_reader.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <functional>
#include <numbers>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

constexpr double kTick_m = 1e-4;

class OdometryReaderTest : public testing::Test {
 protected:
  OdometryReaderTest() {
    constants_.left_m_per_tick = kTick_m;
    constants_.right_m_per_tick = -kTick_m;
    constants_.track_width_m = 0.3;
  }

  WheelLog read_wheels_text(const std::string& rows) {
    FileReader file(folder_.write("wheels.csv", "time_s,left_ticks,right_ticks\n" + rows));
    return read_wheels(file, constants_, warnings_);
  }

  PoseLog read_odometry_text(const std::string& rows) {
    FileReader file(folder_.write("odometry.csv", "time_s,x_m,y_m,heading_rad\n" + rows));
    return read_odometry(file, units_, warnings_);
  }

  // Twenty seconds at 0.3 m/s, 50 rows a second: 60 ticks a row. `seen` is what the log makes of row and count.
  using Seen = std::function<std::pair<std::int64_t, std::int64_t>(int row, std::int64_t left, std::int64_t right)>;
  WheelLog drive_with_counter(
      const Seen& seen, const std::function<double(int)>& time = [](int row) { return 0.02 * row; }) {
    std::string rows;
    for (int i = 0; i < 1000; ++i) {
      const auto [left, right] = seen(i, 60 * i, -60 * i);
      rows += std::to_string(time(i)) + "," + std::to_string(left) + "," + std::to_string(right) + "\n";
    }
    return read_wheels_text(rows);
  }

  ReaderFolder folder_;
  DriveConstants constants_;
  OdometryUnits units_;
  std::vector<std::string> warnings_;
};

void expect_steady(const WheelLog& log, std::size_t unknown_steps) {
  ASSERT_EQ(log.counts.size(), 1000u);
  const std::int64_t driven = 60 * static_cast<std::int64_t>(999 - unknown_steps);
  EXPECT_EQ(log.counts.back().left_ticks - log.counts.front().left_ticks, driven);
  EXPECT_EQ(log.counts.back().right_ticks - log.counts.front().right_ticks, -driven);
}

TEST_F(OdometryReaderTest, CountsAreKeptAsTheyStand) {
  const WheelLog log = read_wheels_text("1.5,100,-7\n2.5,-150,0\n");
  ASSERT_EQ(log.counts.size(), 2u);
  EXPECT_EQ(log.counts[0].time_s, 1.5);
  EXPECT_EQ(log.counts[0].left_ticks, 100);
  EXPECT_EQ(log.counts[1].left_ticks, -150);
  EXPECT_EQ(log.counts[1].right_ticks, 0);
  EXPECT_TRUE(log.breaks.empty());
}

TEST_F(OdometryReaderTest, CountersThatWrap) {
  constants_.counter_bits = 16;
  const auto unsigned_16 = [](int, std::int64_t l, std::int64_t r) {
    return std::pair<std::int64_t, std::int64_t>(l & 0xffff, r & 0xffff);
  };
  expect_steady(drive_with_counter(unsigned_16), 0);
  const auto signed_16 = [](int, std::int64_t l, std::int64_t r) {
    return std::pair<std::int64_t, std::int64_t>(static_cast<std::int16_t>(l), static_cast<std::int16_t>(r));
  };
  expect_steady(drive_with_counter(signed_16), 0);
  constants_.counter_bits = 32;
  const auto unsigned_32 = [](int, std::int64_t l, std::int64_t r) {
    return std::pair<std::int64_t, std::int64_t>((l + 4'294'960'000) & 0xffffffff, (r + 5000) & 0xffffffff);
  };
  expect_steady(drive_with_counter(unsigned_32), 0);
  const auto signed_32 = [](int, std::int64_t l, std::int64_t r) {
    return std::pair<std::int64_t, std::int64_t>(static_cast<std::int32_t>(l + 2'147'480'000),
                                                 static_cast<std::int32_t>(r - 2'147'480'000));
  };
  expect_steady(drive_with_counter(signed_32), 0);
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(OdometryReaderTest, ARestartedCounterBreaksTheChain) {
  const auto restarted = [](int row, std::int64_t l, std::int64_t r) {
    const std::int64_t zero = row < 500 ? 0 : 60 * 500;
    return std::pair(l - zero, r + zero);
  };
  const WheelLog log = drive_with_counter(restarted);
  EXPECT_EQ(log.breaks, std::vector<std::size_t>{500});
  expect_steady(log, 1);
  EXPECT_EQ(log.counts[500].left_ticks, log.counts[499].left_ticks);
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("between 9.980 and 10.000 s"), std::string::npos);
}

TEST_F(OdometryReaderTest, ARestartSoonAfterTheStart) {
  const auto restarted = [](int row, std::int64_t l, std::int64_t r) {
    const std::int64_t zero = row < 8 ? 0 : 60 * 8;  // 4 cm driven, at a speed that would be possible
    return std::pair(l - zero, r + zero);
  };
  const WheelLog log = drive_with_counter(restarted);
  EXPECT_EQ(log.breaks, std::vector<std::size_t>{8});
}

TEST_F(OdometryReaderTest, OneWheelsCounterMayRestartAlone) {
  const auto restarted = [](int row, std::int64_t l, std::int64_t r) {
    return std::pair(l, row < 500 ? r : r + 60 * 500);
  };
  EXPECT_EQ(drive_with_counter(restarted).breaks, std::vector<std::size_t>{500});
}

TEST_F(OdometryReaderTest, ARestartBehindAPause) {
  // Half a minute without rows: slow enough to be possible, but both counters begin anew.
  const auto restarted = [](int row, std::int64_t l, std::int64_t r) {
    const std::int64_t zero = row < 500 ? 0 : 60 * 499;
    return std::pair(l - zero, r + zero);
  };
  const auto time = [](int row) { return 0.02 * row + (row < 500 ? 0.0 : 30.0); };
  const WheelLog log = drive_with_counter(restarted, time);
  EXPECT_EQ(log.breaks, std::vector<std::size_t>{500});
}

TEST_F(OdometryReaderTest, ARobotThatStandsOrMovesInAPauseIsNoRestart) {
  const auto time = [](int row) { return 0.02 * row + (row < 500 ? 0.0 : 30.0); };
  const auto same = [](int, std::int64_t l, std::int64_t r) { return std::pair(l, r); };
  expect_steady(drive_with_counter(same, time), 0);
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(OdometryReaderTest, AGarbledRowIsLeftOut) {
  const auto garbled = [](int row, std::int64_t l, std::int64_t r) {
    return std::pair(row == 300 ? l + 1'000'000 : l, r);
  };
  const WheelLog log = drive_with_counter(garbled);
  EXPECT_EQ(log.counts.size(), 999u);
  EXPECT_TRUE(log.breaks.empty());
  EXPECT_EQ(log.counts.back().left_ticks, 60 * 999);
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("at 6.000 s"), std::string::npos);
}

TEST_F(OdometryReaderTest, BreaksCountRowsThatAreLeft) {
  const auto both = [](int row, std::int64_t l, std::int64_t r) {
    return std::pair(row == 300 ? l + 1'000'000 : row < 600 ? l : l + 40'000, r);
  };
  EXPECT_EQ(drive_with_counter(both).breaks, std::vector<std::size_t>{599});
}

TEST_F(OdometryReaderTest, OrdinaryDrivingHasNoBreaks) {
  // Standing, a dash, coarse swings around zero, stamps in bursts.
  std::string rows;
  std::int64_t left = 0;
  for (int i = 0; i < 2000; ++i) {
    const double t = 0.02 * (i - i % 5) + 1e-4 * (i % 5);  // five rows at once
    if (i > 1000 && i < 1200) left += 200;                 // 1 m/s
    if (i > 1800) left = left / 2 * 2 + i % 2;
    char text[64];
    std::snprintf(text, sizeof(text), "%.4f,%d,%d\n", t, static_cast<int>(left), i % 2);
    rows += text;
  }
  EXPECT_TRUE(read_wheels_text(rows).breaks.empty());
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(OdometryReaderTest, CoarseEncodersSwingAroundZero) {
  constants_.left_m_per_tick = 0.01;
  constants_.right_m_per_tick = 0.01;
  EXPECT_TRUE(read_wheels_text("0,0,0\n0.1,0,0\n0.2,1,0\n0.3,1,0\n0.4,0,0\n0.5,0,0\n").breaks.empty());
}

TEST_F(OdometryReaderTest, RowsWithOneTimeAreMerged) {
  const WheelLog log = read_wheels_text("0,0,0\n1,10,10\n1,11,11\n2,20,20\n");
  ASSERT_EQ(log.counts.size(), 3u);
  EXPECT_EQ(log.counts[1].left_ticks, 11);
  ASSERT_EQ(warnings_.size(), 1u);
}

TEST_F(OdometryReaderTest, ExtremeCountsDoNotOverflow) {
  EXPECT_THROW(read_wheels_text("0,9223372036854775807,0\n"), InputError);
  EXPECT_THROW(read_wheels_text("0,0,-1000000000000001\n"), InputError);
  const WheelLog log = read_wheels_text("0,1000000000000000,-1000000000000000\n1,-1000000000000000,1000000000000000\n");
  EXPECT_EQ(log.counts.size(), 2u);
}

// A path along a circle of 1 m radius at 0.4 m/s, 20 rows a second, headings in (-pi, pi].
std::string circle(
    int rows, const std::function<Pose2(int, Pose2)>& seen,
    const std::function<double(int)>& time = [](int i) { return 0.05 * i; }) {
  std::string text;
  for (int i = 0; i < rows; ++i) {
    const double way = 0.02 * i;
    const Pose2 pose = seen(i, {std::sin(way), 1 - std::cos(way), wrap_angle(way)});
    char line[128];
    std::snprintf(line, sizeof(line), "%.3f,%.9f,%.9f,%.9f\n", time(i), pose.x_m, pose.y_m, pose.heading_rad);
    text += line;
  }
  return text;
}

TEST_F(OdometryReaderTest, HeadingsAreUnwrapped) {
  const PoseLog log = read_odometry_text(circle(1000, [](int, Pose2 p) { return p; }));
  ASSERT_EQ(log.poses.size(), 1000u);
  EXPECT_TRUE(log.breaks.empty());
  for (std::size_t i = 0; i < log.poses.size(); ++i) {
    EXPECT_NEAR(log.poses[i].pose.heading_rad, 0.02 * static_cast<double>(i), 1e-6);
  }
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(OdometryReaderTest, HeadingsInDegreesAreNamed) {
  const auto degrees = [](int, Pose2 p) { return Pose2{p.x_m, p.y_m, p.heading_rad * 180.0 / std::numbers::pi}; };
  EXPECT_EQ(read_odometry_text(circle(1000, degrees)).poses.size(), 1000U);
  ASSERT_FALSE(warnings_.empty());
  EXPECT_NE(warnings_[0].find("heading_unit_rad: 0.0174533"), std::string::npos) << warnings_[0];
  units_.heading_rad = std::numbers::pi / 180.0;
  warnings_.clear();
  EXPECT_NEAR(read_odometry_text(circle(1000, degrees)).poses.back().pose.heading_rad, 0.02 * 999, 1e-6);
  EXPECT_TRUE(warnings_.empty());
  units_ = {};
  // Backwards all the way, and sideways as no wheels do: odd, but not degrees.
  const auto turned = [](double by) {
    return [by](int, Pose2 p) { return Pose2{p.x_m, p.y_m, wrap_angle(p.heading_rad + by)}; };
  };
  EXPECT_EQ(read_odometry_text(circle(1000, turned(std::numbers::pi))).poses.size(), 1000U);
  EXPECT_EQ(read_odometry_text(circle(1000, turned(0.5 * std::numbers::pi))).poses.size(), 1000U);
}

// It was refused as degrees: a robot that turns on the spot, and slides where its headings in degrees would point.
TEST_F(OdometryReaderTest, ARobotThatTurnsAndSlidesIsRead) {
  const auto slides = [](int i, Pose2) {
    const double turned = 0.02 * i;
    const double way_rad = turned * std::numbers::pi / 180.0;
    return Pose2{0.05 * i * std::cos(way_rad), 0.05 * i * std::sin(way_rad), wrap_angle(turned)};
  };
  EXPECT_EQ(read_odometry_text(circle(300, slides)).poses.size(), 300U);
}

// Each step of a log in millimetres was a break.
TEST_F(OdometryReaderTest, MillimetresHaveNoBreaksButJumps) {
  const auto millimetres = [](int i, Pose2 p) {
    return Pose2{1e3 * p.x_m + (i < 400 ? 0.0 : 500.0), 1e3 * p.y_m, p.heading_rad};
  };
  EXPECT_EQ(read_odometry_text(circle(1000, millimetres)).breaks, std::vector<std::size_t>{400});
  units_.position_m = 0.001;
  const PoseLog log = read_odometry_text(circle(1000, millimetres));
  EXPECT_EQ(log.breaks, std::vector<std::size_t>{400});
  EXPECT_NEAR(log.poses[50].pose.x_m, std::sin(1.0), 1e-6);
}

TEST_F(OdometryReaderTest, OdometryThatJumpsBreaksTheChain) {
  const auto jump = [](int i, Pose2 p) { return i < 400 ? p : Pose2{p.x_m + 0.5, p.y_m, p.heading_rad}; };
  EXPECT_EQ(read_odometry_text(circle(1000, jump)).breaks, std::vector<std::size_t>{400});
  const auto turn = [](int i, Pose2 p) { return i < 400 ? p : Pose2{p.x_m, p.y_m, p.heading_rad + 0.5}; };
  EXPECT_EQ(read_odometry_text(circle(1000, turn)).breaks, std::vector<std::size_t>{400});
}

TEST_F(OdometryReaderTest, OdometryThatBeginsAnewBehindAPause) {
  const auto anew = [](int i, Pose2 p) {
    if (i < 400) return p;
    const double way = 0.02 * (i - 400);
    return Pose2{std::sin(way), 1 - std::cos(way), wrap_angle(way)};
  };
  const auto time = [](int i) { return 0.05 * i + (i < 400 ? 0 : 60); };
  EXPECT_EQ(read_odometry_text(circle(550, anew, time)).breaks, std::vector<std::size_t>{400});
}

TEST_F(OdometryReaderTest, ManyBreaksAreSummedUp) {
  const auto jumps = [](int i, Pose2 p) { return Pose2{p.x_m + 5.0 * (i / 20), p.y_m, p.heading_rad}; };
  const PoseLog log = read_odometry_text(circle(1000, jumps));
  EXPECT_EQ(log.breaks.size(), 49u);
  ASSERT_EQ(warnings_.size(), 6u);
  EXPECT_NE(warnings_[5].find("and 44 more"), std::string::npos);
}

TEST_F(OdometryReaderTest, TruthMayJump) {
  FileReader file(folder_.write("truth.csv", "heading_rad,time_s,x_m,y_m\n3.1,0,0,0\n-3.1,1,100,0\n"));
  const std::vector<TimedPose> truth = read_truth(file, warnings_);
  ASSERT_EQ(truth.size(), 2u);
  EXPECT_NEAR(truth[1].pose.heading_rad, 2 * std::numbers::pi - 3.1, 1e-12);
  EXPECT_EQ(truth[1].pose.x_m, 100.0);
  EXPECT_TRUE(warnings_.empty());
}

TEST_F(OdometryReaderTest, Refusals) {
  EXPECT_THROW(read_wheels_text("0,1.5,0\n"), InputError);
  EXPECT_THROW(read_wheels_text("1,0,0\n0,0,0\n"), InputError);
  EXPECT_THROW(read_odometry_text("0,1e9,0,0\n"), InputError);
  EXPECT_THROW(read_odometry_text("0,0,0,nan\n"), InputError);
}

}  // namespace
}  // namespace wainscot
