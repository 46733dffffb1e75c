#include "io/log/return_reader.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <numbers>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

std::string row(double time_s, double angle_deg, double range_m) {
  char text[96];
  std::snprintf(text, sizeof(text), "%.6f,%.3f,%.3f\n", time_s, angle_deg, range_m);
  return text;
}

class ReturnReaderTest : public testing::Test {
 protected:
  std::vector<Scan> read(const std::string& rows, const std::string& header = "time_s,angle_deg,range_m\n") {
    FileReader file(folder_.write("returns.csv", header + rows));
    return read_returns(file, lidar_, warnings_);
  }

  std::string refusal(const std::string& rows) {
    try {
      read(rows);
    } catch (const InputError& error) {
      const std::string message = error.what();
      return message.substr(message.rfind("returns.csv"));
    }
    return "";
  }

  ReaderFolder folder_;
  LidarConstants lidar_;
  std::vector<std::string> warnings_;
};

// A lidar at 10 Hz that fires every 7.3 degrees, so that no two turns have the same angles.
std::string steady_turns(double direction, double from_deg, int returns) {
  std::string rows;
  for (int i = 0; i < returns; ++i) {
    const double travel = 7.3 * i;
    double angle = std::fmod(from_deg + direction * travel, 360.0);
    if (angle < 0.0) angle += 360.0;
    rows += row(10.0 + 0.1 * travel / 360.0, angle, 1.0 + 0.001 * i);
  }
  return rows;
}

TEST_F(ReturnReaderTest, RevolutionsAreCutWhereTheAngleJumpsBack) {
  for (const double direction : {1.0, -1.0}) {
    const std::vector<Scan> scans = read(steady_turns(direction, 0.0, 500));
    ASSERT_GE(scans.size(), 10u);
    std::size_t i = 0;
    for (const Scan& scan : scans) {
      double last_offset = -1.0;
      for (const Return& beam : scan.returns) {
        const double travel = 7.3 * static_cast<double>(i);
        EXPECT_NEAR(std::remainder(beam.angle_rad - direction * travel * kDegree, 2 * std::numbers::pi), 0.0, 1e-5);
        EXPECT_NEAR(beam.range_m, 1.0 + 0.001 * static_cast<double>(i), 1e-6);
        EXPECT_NEAR(scan.time_s + beam.time_offset_s, 10.0 + 0.1 * travel / 360.0, 2e-6);
        EXPECT_GT(beam.time_offset_s, last_offset);
        last_offset = beam.time_offset_s;
        ++i;
      }
      EXPECT_LT(last_offset, 0.1);
    }
    EXPECT_EQ(i, 500u);
    // Turn k has the returns whose travel lies in [360 k, 360 k + 360): 49 or 50 of them. The clockwise lidar's first
    // angle, 0, is already the end of a turn that counts down.
    for (std::size_t k = 1; k + 1 < scans.size(); ++k)
      EXPECT_NEAR(static_cast<double>(scans[k].returns.size()), 49.5, 0.6);
  }
}

TEST_F(ReturnReaderTest, AnglesThatCountOnAreCutAfterAFullTurn) {
  std::string rows;
  for (int i = 0; i < 1000; ++i) rows += row(0.001 * i, 725.0 + 3.6 * i, 2.0);
  const std::vector<Scan> scans = read(rows);
  ASSERT_EQ(scans.size(), 10u);
  for (std::size_t k = 0; k < 10; ++k) {
    EXPECT_EQ(scans[k].returns.size(), 100u);
    EXPECT_NEAR(scans[k].time_s, 0.1 * static_cast<double>(k), 1e-9);
    EXPECT_NEAR(scans[k].returns[0].angle_rad, 5.0 * kDegree, 1e-5);
  }
}

TEST_F(ReturnReaderTest, SaysOnWhichLinesRevolutionsBegin) {
  std::string rows = "time_s,angle_deg,range_m\n# a comment\n";
  for (int i = 0; i < 300; ++i) rows += row(0.001 * i, 725.0 + 3.6 * i, i % 100 == 0 ? 0.0 : 2.0);
  FileReader file(folder_.write("returns.csv", rows));
  std::vector<std::size_t> begins;
  EXPECT_EQ(read_returns(file, lidar_, warnings_, &begins).size(), 3u);
  EXPECT_EQ(begins, (std::vector<std::size_t>{3, 103, 203})) << "also where the first beam had no return";
}

TEST_F(ReturnReaderTest, AGapOfMoreThanOneAndAHalfRevolutionsEndsARevolution) {
  std::string rows;
  for (int i = 0; i < 300; ++i) rows += row(0.001 * i, 3.6 * (i % 100), 2.0);  // three turns of 0.1 s
  for (int i = 0; i < 50; ++i) rows += row(0.3 + 0.001 * i, 3.6 * i, 2.0);     // half a turn
  const auto with_gap = [&](double gap_s) {
    std::string rest;
    for (int i = 50; i < 100; ++i) rest += row(0.3 + gap_s + 0.001 * i, 3.6 * i, 2.0);
    return read(rows + rest);
  };
  EXPECT_EQ(with_gap(0.0).size(), 4u);
  EXPECT_EQ(with_gap(0.14).size(), 4u);
  const std::vector<Scan> cut = with_gap(0.16);
  ASSERT_EQ(cut.size(), 5u);
  EXPECT_NEAR(cut[4].time_s, 0.51, 1e-9);
  EXPECT_EQ(cut[4].returns.size(), 50u);
}

TEST_F(ReturnReaderTest, RowsWithoutAReturnMayBeThereOrNot) {
  std::string with;
  std::string without;
  for (int i = 0; i < 1000; ++i) {
    const bool hit = i % 3 != 1;  // the first beam of every turn hits or not, as it falls
    const double angle = 3.6 * (i % 100);
    with += row(0.001 * i, angle, hit ? 2.0 : 0.0);
    if (hit) without += row(0.001 * i, angle, 2.0);
  }
  const std::vector<Scan> a = read(with);
  const std::vector<Scan> b = read(without);
  ASSERT_EQ(a.size(), 10u);
  ASSERT_EQ(b.size(), 10u);
  for (std::size_t k = 0; k < 10; ++k) {
    EXPECT_NEAR(a[k].time_s, 0.1 * static_cast<double>(k), 1e-9) << "the first beam's moment, hit or not";
    ASSERT_EQ(a[k].returns.size(), b[k].returns.size());
    for (std::size_t i = 0; i < a[k].returns.size(); ++i) {
      EXPECT_EQ(a[k].returns[i].angle_rad, b[k].returns[i].angle_rad);
      EXPECT_NEAR(a[k].time_s + a[k].returns[i].time_offset_s, b[k].time_s + b[k].returns[i].time_offset_s, 1e-7);
    }
  }
}

TEST_F(ReturnReaderTest, ReturnsWithOneStampAreSpreadByAngle) {
  std::string rows;
  for (int i = 0; i < 1000; ++i) rows += row(0.02 * (i / 20), 3.6 * (i % 100), 2.0);  // packets of twenty, 0.1 s a turn
  const std::vector<Scan> scans = read(rows);
  ASSERT_EQ(scans.size(), 10u);
  for (std::size_t k = 0; k < 10; ++k) {
    ASSERT_EQ(scans[k].returns.size(), 100u);
    for (std::size_t i = 0; i < 100; ++i) {
      EXPECT_NEAR(scans[k].time_s + scans[k].returns[i].time_offset_s,
                  0.1 * static_cast<double>(k) + 0.001 * static_cast<double>(i), 1e-6);
    }
  }
}

TEST_F(ReturnReaderTest, SpreadTimesStayBeforeTheNextStamp) {
  lidar_.sweep_s = 0.3;  // stated three times too slow
  std::string rows;
  for (int i = 0; i < 400; ++i) rows += row(0.02 * (i / 20), 3.6 * (i % 100), 2.0);
  double last = -1.0;
  for (const Scan& scan : read(rows)) {
    for (const Return& beam : scan.returns) {
      EXPECT_GT(scan.time_s + beam.time_offset_s, last);
      last = scan.time_s + beam.time_offset_s;
    }
  }
  EXPECT_GT(last, 0.38);
}

TEST_F(ReturnReaderTest, ASweepOfZeroKeepsTheStamps) {
  lidar_.sweep_s = 0.0;
  std::string rows;
  for (int i = 0; i < 400; ++i) rows += row(0.1 * (i / 100), 3.6 * (i % 100), 2.0);
  const std::vector<Scan> scans = read(rows);
  ASSERT_EQ(scans.size(), 4u);
  for (const Return& beam : scans[2].returns) EXPECT_EQ(beam.time_offset_s, 0.0f);
}

TEST_F(ReturnReaderTest, ALittleWayBackOverTheSeamIsNoRevolution) {
  std::string rows;
  for (int turn = 0; turn < 5; ++turn) {
    const double t = 0.1 * turn;
    for (int i = 1; i < 100; ++i) rows += row(t + 0.001 * i, 3.6 * i, 2.0);
    rows += row(t + 0.1002, 0.1, 2.0) + row(t + 0.1004, 359.95, 2.0) + row(t + 0.1006, 0.3, 2.0);
  }
  EXPECT_EQ(read(rows).size(), 6u);  // five turns and the beginning of the sixth
}

TEST_F(ReturnReaderTest, ClockMirrorRangeUnitAndBlindSector) {
  lidar_.clock_rate = 1.5;
  lidar_.time_offset_s = 1.0;
  lidar_.mirrored = true;
  lidar_.range_unit_m = 0.001;
  lidar_.blind_deg = {{-100, -80}};
  const std::vector<Scan> scans = read("20,0,1500\n20.05,90,1500\n20.1,180,100\n20.15,270,9000\n20.2,0,2000\n");
  ASSERT_EQ(scans.size(), 2u);
  EXPECT_DOUBLE_EQ(scans[0].time_s, 21.0);
  EXPECT_NEAR(scans[1].time_s, 20 + 0.2 * 1.5 + 1.0, 1e-12);
  ASSERT_EQ(scans[0].returns.size(), 2u);
  EXPECT_NEAR(scans[0].returns[0].range_m, 1.5, 1e-6);
  EXPECT_NEAR(scans[0].returns[1].angle_rad, 90 * kDegree, 1e-6);
  EXPECT_EQ(scans[0].returns[1].range_m, 8.0f);
  EXPECT_NEAR(scans[0].returns[1].time_offset_s, 0.15 * 1.5, 1e-7);
}

TEST_F(ReturnReaderTest, StrengthAndColumnOrderAndDoubledRows) {
  const std::vector<Scan> scans =
      read("7,1,0,0\n,2,1,0.1\n8,2,2,0.2\n8,2,2,0.2\n", "strength,range_m,angle_deg,time_s\n");
  ASSERT_EQ(scans.size(), 1u);
  EXPECT_EQ(scans[0].returns.size(), 3u);
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("1 row like the one before"), std::string::npos);
}

// It was refused, though nothing is made of it.
TEST_F(ReturnReaderTest, AStrengthInWordsIsWarnedOf) {
  const std::vector<Scan> scans = read("good,1,0,0\nweak,1,1,0.1\n", "strength,range_m,angle_deg,time_s\n");
  EXPECT_EQ(scans[0].returns.size(), 2u);
  ASSERT_EQ(warnings_.size(), 1u);
  EXPECT_NE(warnings_[0].find("the strength is no number in 2 rows"), std::string::npos) << warnings_[0];
}

TEST_F(ReturnReaderTest, Refusals) {
  EXPECT_NE(refusal("0,0,-1\n").find("returns.csv:2: range_m is -1, which is negative"), std::string::npos);
  EXPECT_NE(refusal("0,,1\n").find("returns.csv:2: angle_deg is empty"), std::string::npos);
  EXPECT_NE(refusal("0,inf,1\n").find("returns.csv:2: angle_deg is 'inf'"), std::string::npos);
  EXPECT_NE(refusal("1,0,1\n0,0,1\n").find("returns.csv:3: time_s goes back"), std::string::npos);
  EXPECT_EQ(refusal(""), "returns.csv: has a header but no row; record it again or remove it");
}

TEST_F(ReturnReaderTest, OneRowIsOneScan) { EXPECT_EQ(read("5,0,1\n").size(), 1u); }

}  // namespace
}  // namespace wainscot
