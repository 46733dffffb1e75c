#include "io/log/growing_drive.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <numbers>
#include <optional>
#include <random>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include "core/errors.hpp"
#include "io/log/drive_reader.hpp"
#include "io/robot/robot_yaml.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr double kStart_s = 5.0;  // of a log's clock

/// A robot that drives a metre in three seconds and turns slowly, 0.1 mm a tick, with counters of 16 bits that wrap.
std::string wheel_rows(int first, int last) {
  std::string text;
  for (int i = first; i < last; ++i) {
    const auto wrapped = [](long ticks) { return static_cast<std::int16_t>(static_cast<std::uint64_t>(ticks)); };
    text += fmt::format("{:.3f},{},{}\n", kStart_s + 0.02 * i, wrapped(30'000 + 60 * i), wrapped(-120 + 72 * i));
  }
  return text;
}

std::string gyro_rows(int first, int last) {
  std::string text;
  for (int i = first; i < last; ++i) text += fmt::format("{:.3f},{:.4f}\n", kStart_s + 0.02 * i, 0.001 * (i % 97));
  return text;
}

/// As odometry.csv; the heading is logged between -pi and pi, and turns round.
std::string pose_rows(int first, int last) {
  std::string text;
  for (int i = first; i < last; ++i) {
    const double heading = std::remainder(0.02 * i, 2.0 * std::numbers::pi);
    text += fmt::format("{:.3f},{:.4f},{:.4f},{:.5f}\n", kStart_s + 0.02 * i, 0.3 * std::sin(0.02 * i),
                        0.3 * (1.0 - std::cos(0.02 * i)), heading);
  }
  return text;
}

constexpr int kBeams = 24;

std::string scan_header() {
  std::string text = "time_s";
  for (int beam = 0; beam < kBeams; ++beam) text += fmt::format(",{}", 15 * beam);
  return text + "\n";
}

/// Ten turns a second, of a motor that is not quite steady.
std::string scan_rows(int first, int last) {
  std::string text;
  for (int i = first; i < last; ++i) {
    text += fmt::format("{:.4f}", kStart_s + 0.1 * i + 0.002 * std::sin(i));
    for (int beam = 0; beam < kBeams; ++beam) {
      text += (i + beam) % 7 == 0 ? "," : fmt::format(",{:.3f}", 1.0 + 0.01 * beam + 0.001 * (i % 50));
    }
    text += "\n";
  }
  return text;
}

/// 7.3 degrees from one to the next, so that no two turns have the same angles. `counts_on`: 725, 732.3, ...
std::string return_rows(int first, int last, bool counts_on) {
  std::string text;
  for (int i = first; i < last; ++i) {
    const double travel = 7.3 * i;
    text += fmt::format("{:.6f},{:.1f},{:.3f}\n", kStart_s + 0.1 * travel / 360.0,
                        counts_on ? 725.0 + travel : std::fmod(travel, 360.0), 1.0 + 0.001 * (i % 1000));
  }
  return text;
}

constexpr const char* kWheelHeader = "time_s,left_ticks,right_ticks\n";

const std::string kRobot =
    "wainscot_robot: 1\n"
    "drive:\n  left_m_per_tick: 1.0e-4\n  right_m_per_tick: 1.0e-4\n  track_width_m: 0.3\n  counter_bits: 16\n"
    "lidar:\n  time_offset_s: -0.013\n  clock_rate: 1.0002\n";
const std::string kStatedSweep = "  sweep_s: 0.1\n";

/// All that a growing drive has given out so far.
struct Given {
  void add(NewReadings&& came) {
    for (const std::size_t row : came.breaks) breaks.push_back(row + wheels.size() + odometry.size());
    wheels.insert(wheels.end(), came.wheels.begin(), came.wheels.end());
    odometry.insert(odometry.end(), came.odometry.begin(), came.odometry.end());
    gyro.insert(gyro.end(), came.gyro.begin(), came.gyro.end());
    std::move(came.scans.begin(), came.scans.end(), std::back_inserter(scans));
    warnings.insert(warnings.end(), came.warnings.begin(), came.warnings.end());
    begins += came.begun_anew ? 1 : 0;
  }
  bool says(const std::string& words) const {
    return std::any_of(warnings.begin(), warnings.end(),
                       [&words](const std::string& warning) { return warning.find(words) != std::string::npos; });
  }

  std::vector<WheelCounts> wheels;
  std::vector<TimedPose> odometry;
  std::vector<std::size_t> breaks;
  std::vector<YawRate> gyro;
  std::vector<Scan> scans;
  std::vector<std::string> warnings;
  int begins = 0;
};

class GrowingDriveTest : public testing::Test {
 protected:
  GrowingDriveTest() { begin(kRobot + kStatedSweep); }

  void begin(const std::string& robot) {
    given_ = {};
    drive_.emplace(folder_.path(), read_robot_yaml(folder_.write("robot.yaml", robot), WheelConstants::optional));
  }
  /// The recorder writes, and it is looked.
  void add(const std::string& table, const std::string& text) {
    std::ofstream(folder_.path() / table, std::ios::app | std::ios::binary) << text;
    given_.add(drive_->read());
  }
  void write_anew(const std::string& table, const std::string& text) {
    fs::rename(folder_.write("new", text), folder_.path() / table);
    given_.add(drive_->read());
    given_.add(drive_->read());
  }
  void finish() { given_.add(drive_->finish()); }

  using Tables = std::vector<std::pair<std::string, std::string>>;
  /// Records tables side by side in pieces of random lengths, at most `most` bytes.
  void record(const Tables& tables, std::size_t most) {
    std::mt19937 random(7);
    std::vector<std::size_t> at(tables.size(), 0);
    for (bool more = true; more;) {
      more = false;
      for (std::size_t i = 0; i < tables.size(); ++i) {
        const auto& [name, text] = tables[i];
        // Of the longer ones more at a time, so that all of them come to their end together.
        const std::size_t share = most * text.size() / tables.front().second.size() + 1;
        const std::size_t length = std::min<std::size_t>(1 + random() % share, text.size() - at[i]);
        if (length == 0) continue;
        add(name, text.substr(at[i], length));
        at[i] += length;
        more = true;
      }
    }
    finish();
  }

  /// That what was given out is what the finished folder holds. `same_offsets`: of the beams, too.
  void expect_as_whole(bool same_offsets) const {
    const Drive whole = read_drive(folder_.path());
    ASSERT_EQ(given_.wheels.size(), whole.wheels.size());
    for (std::size_t i = 0; i < whole.wheels.size(); ++i) {
      ASSERT_EQ(given_.wheels[i].time_s, whole.wheels[i].time_s) << i;
      ASSERT_EQ(given_.wheels[i].left_ticks, whole.wheels[i].left_ticks) << i;
      ASSERT_EQ(given_.wheels[i].right_ticks, whole.wheels[i].right_ticks) << i;
    }
    ASSERT_EQ(given_.odometry.size(), whole.odometry.size());
    for (std::size_t i = 0; i < whole.odometry.size(); ++i) {
      ASSERT_EQ(given_.odometry[i].time_s, whole.odometry[i].time_s) << i;
      ASSERT_EQ(given_.odometry[i].pose.x_m, whole.odometry[i].pose.x_m) << i;
      ASSERT_NEAR(given_.odometry[i].pose.heading_rad, whole.odometry[i].pose.heading_rad, 1e-9) << i;
    }
    EXPECT_EQ(given_.breaks, whole.breaks);
    ASSERT_EQ(given_.gyro.size(), whole.gyro.size());
    for (std::size_t i = 0; i < whole.gyro.size(); ++i) {
      ASSERT_EQ(given_.gyro[i].time_s, whole.gyro[i].time_s) << i;
      ASSERT_EQ(given_.gyro[i].yaw_rate_rad_s, whole.gyro[i].yaw_rate_rad_s) << i;
    }
    expect_same_scans(whole.scans, same_offsets);
    EXPECT_EQ(given_.warnings, std::vector<std::string>());
    EXPECT_EQ(given_.begins, 0);
  }
  void expect_same_scans(const std::vector<Scan>& whole, bool same_offsets) const {
    ASSERT_EQ(given_.scans.size(), whole.size());
    for (std::size_t i = 0; i < whole.size(); ++i) {
      ASSERT_NEAR(given_.scans[i].time_s, whole[i].time_s, 1e-9) << i;
      ASSERT_EQ(given_.scans[i].returns.size(), whole[i].returns.size()) << i;
      for (std::size_t k = 0; k < whole[i].returns.size(); ++k) {
        ASSERT_EQ(given_.scans[i].returns[k].angle_rad, whole[i].returns[k].angle_rad) << i;
        ASSERT_EQ(given_.scans[i].returns[k].range_m, whole[i].returns[k].range_m) << i;
        // A turn that is not stated is the interval to the next scan, which has not come yet: 4 % of 0.1 s at most.
        ASSERT_NEAR(given_.scans[i].returns[k].time_offset_s, whole[i].returns[k].time_offset_s,
                    same_offsets ? 1e-6 : 0.006)
            << i;
      }
    }
  }

  ReaderFolder folder_;
  std::optional<GrowingDrive> drive_;
  Given given_;
};

// Far more rows than are kept, and counters that wrap many times.
TEST_F(GrowingDriveTest, WheelsGyroAndScansAreThoseOfTheWholeDrive) {
  record({{"wheels.csv", kWheelHeader + wheel_rows(0, 6000)},
          {"scans.csv", scan_header() + scan_rows(0, 1200)},
          {"gyro.csv", "time_s,yaw_rate_rad_s\n" + gyro_rows(0, 6000)}},
         200);
  expect_as_whole(true);
  EXPECT_GT(given_.wheels.back().left_ticks, 300'000) << "they were unwrapped";
}

TEST_F(GrowingDriveTest, ByteByByteTheyAreTheSame) {
  record({{"wheels.csv", "\xef\xbb\xbf# recorded\r\n" + std::string(kWheelHeader) + wheel_rows(0, 400)},
          {"scans.csv", scan_header() + scan_rows(0, 80)},
          {"gyro.csv", "time_s,yaw_rate_rad_s\n" + gyro_rows(0, 400)}},
         1);
  expect_as_whole(true);
}

TEST_F(GrowingDriveTest, ThePosesOfARobotThatIntegratesThemItself) {
  record({{"odometry.csv", "time_s,x_m,y_m,heading_rad\n" + pose_rows(0, 5000)},
          {"scans.csv", scan_header() + scan_rows(0, 1000)}},
         300);
  expect_as_whole(true);
  EXPECT_GT(given_.odometry.back().pose.heading_rad, 90.0) << "the headings were unwrapped";
}

TEST_F(GrowingDriveTest, ATurnThatIsNotStatedIsFoundFromTheScansTimes) {
  begin(kRobot);
  record({{"wheels.csv", kWheelHeader + wheel_rows(0, 1000)}, {"scans.csv", scan_header() + scan_rows(0, 200)}}, 100);
  expect_as_whole(false);
}

TEST_F(GrowingDriveTest, SingleReturnsAreCutIntoTheSameTurns) {
  record({{"wheels.csv", kWheelHeader + wheel_rows(0, 1000)},
          {"returns.csv", "time_s,angle_deg,range_m\n" + return_rows(0, 9863, false)}},
         100);
  expect_as_whole(true);
  EXPECT_EQ(given_.scans.size(), 200U);
}

// Nothing in such angles tells where a turn begins but all the turns before.
TEST_F(GrowingDriveTest, AlsoWhereTheirAnglesCountOn) {
  record({{"wheels.csv", kWheelHeader + wheel_rows(0, 1000)},
          {"returns.csv", "time_s,angle_deg,range_m\n" + return_rows(0, 9863, true)}},
         100);
  expect_as_whole(true);
}

TEST_F(GrowingDriveTest, TablesMayComeThroughPipes) {
  std::array<int, 2> wheels{};
  std::array<int, 2> scans{};
  ASSERT_EQ(::pipe(wheels.data()), 0);
  ASSERT_EQ(::pipe(scans.data()), 0);
  std::map<std::string, GrowingText> tables;
  tables.emplace("wheels.csv", GrowingText(Descriptor(wheels[0])));
  tables.emplace("scans.csv", GrowingText(Descriptor(scans[0])));
  GrowingDrive drive(std::move(tables), read_robot_yaml(folder_.path() / "robot.yaml", WheelConstants::optional));
  const Descriptor to_wheels(wheels[1]);
  const Descriptor to_scans(scans[1]);
  EXPECT_TRUE(drive.read().empty());
  const auto say = [](const Descriptor& pipe, const std::string& text) {
    ASSERT_EQ(::write(pipe.number(), text.data(), text.size()), std::ssize(text));
  };
  say(to_wheels, kWheelHeader + wheel_rows(0, 20));
  say(to_scans, scan_header() + scan_rows(0, 2));
  const NewReadings came = drive.read();
  EXPECT_EQ(came.wheels.size(), 20U);
  EXPECT_EQ(came.scans.size(), 2U);
}

TEST_F(GrowingDriveTest, ATurnIsGivenOutWhenItIsWhole) {
  add("wheels.csv", kWheelHeader + wheel_rows(0, 10));
  add("returns.csv", "time_s,angle_deg,range_m\n" + return_rows(0, 49, false));
  EXPECT_TRUE(given_.scans.empty());
  add("returns.csv", return_rows(49, 51, false));
  ASSERT_EQ(given_.scans.size(), 1U);
  EXPECT_EQ(given_.scans.front().returns.size(), 50U);
  finish();
  ASSERT_EQ(given_.scans.size(), 2U) << "and what there is of the last, at the end";
  finish();
  EXPECT_EQ(given_.scans.size(), 2U);
}

TEST_F(GrowingDriveTest, TheTablesNeedNotBeThereYet) {
  EXPECT_TRUE(drive_->read().empty());
  add("scans.csv", scan_header() + scan_rows(0, 2));
  EXPECT_EQ(given_.scans.size(), 2U);
  add("wheels.csv", kWheelHeader + wheel_rows(0, 1));
  EXPECT_EQ(given_.wheels.size(), 1U);
  finish();
  EXPECT_EQ(given_.scans.size(), 2U);
}

TEST_F(GrowingDriveTest, ARowThatIsTornIsSaidAndTheRestIsRead) {
  add("wheels.csv", kWheelHeader + wheel_rows(0, 100));
  add("wheels.csv", "7.0");  // the recorder was ended here, and begun again
  add("wheels.csv", wheel_rows(100, 101));
  add("wheels.csv", wheel_rows(101, 200));
  add("scans.csv", scan_header() + scan_rows(0, 10) + "6.1,1.0,2.0\n");
  EXPECT_TRUE(given_.says("wheels.csv:102: ")) << "the line, with what is wrong in it";
  ASSERT_EQ(given_.wheels.size(), 199U);
  EXPECT_EQ(given_.begins, 0);
  EXPECT_EQ(given_.breaks, std::vector<std::size_t>{100}) << "over it the motion is not known";
  EXPECT_EQ(given_.wheels.back().left_ticks - given_.wheels[100].left_ticks, 98 * 60);
}

// The whole of what a recorder has flushed at once comes in one piece.
TEST_F(GrowingDriveTest, RowsBesideATornOneAreNotLost) {
  add("scans.csv", scan_header() + scan_rows(0, 5));
  add("scans.csv", scan_rows(5, 8) + "5.8,1.0,2.0\n" + scan_rows(9, 12));
  add("scans.csv", scan_rows(12, 20));
  EXPECT_TRUE(given_.says("scans.csv:10: "));
  EXPECT_EQ(given_.scans.size(), 19U);
}

TEST_F(GrowingDriveTest, OfADamagedTableTheFirstFaultsAreSaid) {
  add("gyro.csv", "time_s,yaw_rate_rad_s\n" + gyro_rows(0, 5));
  for (int i = 0; i < 50; ++i) add("gyro.csv", "damaged\n");
  EXPECT_EQ(given_.warnings.size(), 5U);
  add("gyro.csv", gyro_rows(60, 70));
  EXPECT_EQ(given_.gyro.size(), 15U);
}

TEST_F(GrowingDriveTest, ATableThatCannotBeReadAtAllIsRefused) {
  EXPECT_THROW(add("wheels.csv", "time,left,right\n1,2,3\n"), InputError);
}

TEST_F(GrowingDriveTest, TwoTablesOfOneKindAreRefused) {
  folder_.write("wheels.csv", kWheelHeader);
  folder_.write("odometry.csv", "time_s,x_m,y_m,heading_rad\n");
  EXPECT_THROW(drive_->read(), InputError);
}

TEST_F(GrowingDriveTest, ACounterThatBeginsAnewIsABreak) {
  const std::string robot = kRobot;
  begin(std::string(robot).replace(robot.find("16"), 2, "32"));
  add("wheels.csv", std::string(kWheelHeader) + "1.00,100000,200000\n1.02,100060,200060\n1.04,100120,200120\n");
  add("wheels.csv", "1.06,0,0\n");
  add("wheels.csv", "1.08,60,60\n1.10,120,120\n");
  ASSERT_EQ(given_.wheels.size(), 6U);
  EXPECT_EQ(given_.breaks, std::vector<std::size_t>{3});
  EXPECT_EQ(given_.wheels.back().left_ticks - given_.wheels[3].left_ticks, 120);
  EXPECT_EQ(given_.begins, 0);
}

// The other tables' rows are of before until they begin anew, too.
TEST_F(GrowingDriveTest, AFileThatIsReplacedBeginsAnew) {
  add("wheels.csv", kWheelHeader + wheel_rows(0, 50));
  add("scans.csv", scan_header() + scan_rows(0, 10));
  write_anew("wheels.csv", kWheelHeader + wheel_rows(0, 5));
  EXPECT_EQ(given_.begins, 1);
  EXPECT_TRUE(given_.says("wheels.csv: begins anew")) << "it is said";
  EXPECT_EQ(given_.wheels.size(), 55U);
  add("scans.csv", scan_rows(10, 12));
  EXPECT_EQ(given_.scans.size(), 10U) << "they are of before";
  write_anew("scans.csv", scan_header() + scan_rows(0, 3));
  EXPECT_EQ(given_.scans.size(), 13U);
  EXPECT_EQ(given_.begins, 1) << "they follow; who forgot all now would forget the new wheels";
  write_anew("scans.csv", scan_header() + scan_rows(0, 3));
  EXPECT_EQ(given_.begins, 2);
}

// A clock's rate counts from the first scan of the drive, not from that of another one before.
TEST_F(GrowingDriveTest, ADriveThatBeginsAnewHasItsOwnFirstScan) {
  folder_.write("scans.csv", scan_header() + scan_rows(5000, 5003));
  folder_.write("wheels.csv", kWheelHeader + wheel_rows(0, 1));
  given_.add(drive_->read());
  given_ = {};
  write_anew("scans.csv", scan_header() + scan_rows(0, 30));
  write_anew("wheels.csv", kWheelHeader + wheel_rows(0, 150));
  finish();
  expect_same_scans(read_drive(folder_.path()).scans, true);
}

TEST_F(GrowingDriveTest, AFileThatIsReplacedAtTheEndLeavesNothingToSay) {
  add("scans.csv", scan_header() + scan_rows(0, 10));
  fs::rename(folder_.write("new", scan_header()), folder_.path() / "scans.csv");
  finish();
  EXPECT_EQ(given_.warnings.size(), 1U) << "that it begins anew";
  finish();
  EXPECT_EQ(given_.warnings.size(), 1U);
}

TEST_F(GrowingDriveTest, AClockThatIsSetBackBeginsAnew) {
  add("wheels.csv", kWheelHeader + wheel_rows(100, 200));
  add("scans.csv", scan_header() + scan_rows(20, 40));
  for (int i = 0; i < 50; ++i) add("wheels.csv", wheel_rows(i, i + 1));
  for (int i = 0; i < 10; ++i) add("scans.csv", scan_rows(i, i + 1));
  EXPECT_GE(given_.begins, 1);
  EXPECT_TRUE(given_.says("goes back"));
  EXPECT_TRUE(given_.says("begins anew"));
  EXPECT_EQ(given_.wheels.size(), 149U) << "but for the row that told it";
  EXPECT_EQ(given_.scans.size(), 29U);
}

// As where a computer gets the time from a network while the lidar still spins up.
TEST_F(GrowingDriveTest, AClockThatIsSetBackBeforeTheFirstScanCostsNoScans) {
  add("wheels.csv", kWheelHeader + wheel_rows(100, 200));
  for (int i = 0; i < 50; ++i) add("wheels.csv", wheel_rows(i, i + 1));
  add("scans.csv", scan_header() + scan_rows(0, 10));
  EXPECT_EQ(given_.scans.size(), 10U);
}

}  // namespace
}  // namespace wainscot
