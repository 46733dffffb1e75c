#include "io/overview/fleet.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/io/overview/sample_jobs.hpp"

namespace wainscot {
namespace {

std::vector<DriveRow> rows_of(const std::vector<double>& widths_m) {
  std::vector<DriveRow> rows;
  const DriveRow row = sample_row("d", 0.288);
  for (const double width_m : widths_m) {
    rows.push_back(row);
    rows.back().name = fmt::format("d{}", rows.size());
    rows.back().constants[1].found.value = width_m;
  }
  return rows;
}

const ConstantSeries& widths_in(const Fleet& fleet) { return fleet.robots.front().series.at(1); }

TEST(Fleet, TellsWhichDriveDiffersFromItsSisters) {
  const Fleet fleet = fleet_of(rows_of({0.288, 0.289, 0.287, 0.288, 0.301, 0.288, 0.2885, 0.2875, 0.2885, 0.288}));
  ASSERT_EQ(fleet.robots.size(), 1U);
  EXPECT_EQ(fleet.robots[0].rows.size(), 10U);
  ASSERT_EQ(fleet.odd.size(), 1U);
  EXPECT_EQ(fleet.odd[0].row, 4U);
  EXPECT_EQ(odd_sentence(fleet.odd[0]),
            "drive.track_width_m 0.3010 m (standard uncertainty 0.0010 m), its 9 sisters' 0.2880 m");
}

TEST(Fleet, RobotsThatStateSomethingElseAreNoSisters) {
  std::vector<DriveRow> rows = rows_of({0.288, 0.288, 0.301, 0.288, 0.288, 0.288, 0.288});
  rows[2].constants[1].stated = 0.30;
  const Fleet fleet = fleet_of(rows);
  ASSERT_EQ(fleet.robots.size(), 2U);
  EXPECT_EQ(fleet.robots[1].rows, std::vector<std::size_t>{2});
  EXPECT_EQ(fleet.robot_of, (std::vector<std::size_t>{0, 0, 1, 0, 0, 0, 0}));
  EXPECT_TRUE(fleet.odd.empty());
}

TEST(Fleet, OnlyObservedConstantsOfUsableMapsCount) {
  std::vector<DriveRow> rows = rows_of({0.288, 0.288, 0.4, 0.288, 0.5, 0.288, 0.288});
  rows[2].constants[1].observed = false;
  rows[4].verdict = "unusable";
  const Fleet fleet = fleet_of(rows);
  EXPECT_TRUE(fleet.odd.empty());
  EXPECT_EQ(widths_in(fleet).rows, (std::vector<std::size_t>{0, 1, 3, 5, 6}));
}

TEST(Fleet, TellsAWheelThatWearsAndALidarThatWasKnocked) {
  std::vector<DriveRow> drifting = rows_of({0.280, 0.283, 0.286, 0.289, 0.292, 0.295, 0.298, 0.301, 0.304});
  EXPECT_EQ(change_sentence(widths_in(fleet_of(drifting)), drifting),
            "drive.track_width_m drifts from d1 to d9, from 0.2800 m to 0.3040 m, by 0.0240 m (standard uncertainty "
            "0.0010 m)");  // 0.001 m times 8 / sqrt(60), of x from -4 to 4
  const std::vector<DriveRow> knocked = rows_of({0.288, 0.289, 0.288, 0.287, 0.288, 0.305, 0.306, 0.305, 0.304, 0.305});
  const std::string sentence = change_sentence(widths_in(fleet_of(knocked)), knocked);
  EXPECT_EQ(sentence.rfind("drive.track_width_m changes between d5 and d6, from 0.28", 0), 0U) << sentence;
  const std::vector<DriveRow> steady = rows_of({0.288, 0.289, 0.288, 0.287, 0.288, 0.288, 0.2885, 0.2875});
  EXPECT_EQ(change_sentence(widths_in(fleet_of(steady)), steady), "");
}

TEST(Fleet, OneDriveThatWentWrongIsNoChange) {
  std::vector<double> widths_m(300, 0.288);
  for (std::size_t i = 0; i < widths_m.size(); ++i) widths_m[i] += i % 2 == 0 ? 0.0005 : -0.0005;
  widths_m[2] = 0.32;
  const std::vector<DriveRow> rows = rows_of(widths_m);
  const Fleet fleet = fleet_of(rows);
  EXPECT_EQ(fleet.odd.size(), 1U);
  EXPECT_EQ(change_sentence(widths_in(fleet), rows), "");
}

TEST(Fleet, RowsThatStateNothingBelongToNoRobot) {
  std::vector<DriveRow> rows = rows_of({0.288, 0.288});
  rows[1].constants.clear();
  const Fleet fleet = fleet_of(rows);
  EXPECT_EQ(fleet.robot_of, (std::vector<std::size_t>{0, kNoRobot}));
  EXPECT_TRUE(fleet_of({}).robots.empty());
}

}  // namespace
}  // namespace wainscot
