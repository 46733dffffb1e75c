#include "io/page/location_page.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/io/page_checks.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

LocatedScan answered(double time_s, Answer answer, const Pose2& pose) {
  LocatedScan scan;
  scan.time_s = time_s;
  scan.location.answer = answer;
  if (answer == Answer::lost) return scan;
  PlaceInMap place;
  place.pose = pose;
  place.covariance = 1e-4 * Eigen::Matrix3d::Identity();
  scan.location.places.push_back(place);
  return scan;
}

/// Lost for two scans, in doubt for one, found for three, lost again.
std::vector<LocatedScan> a_drive() {
  std::vector<LocatedScan> drive;
  for (const Answer answer :
       {Answer::lost, Answer::lost, Answer::ambiguous, Answer::found, Answer::found, Answer::found, Answer::lost}) {
    const auto i = static_cast<double>(drive.size());
    drive.push_back(answered(10.0 + i, answer, {-1.80 + 0.01 * i, 0.25, 0.0}));
  }
  return drive;
}

LocationPage words() {
  LocationPage page;
  page.map = "flat";
  page.drive = "tuesday";
  page.program_version = "9.8.7";
  return page;
}

std::string page_of(const std::vector<LocatedScan>& located, const LocationPage& page = words()) {
  return location_page(sample_map().grid, located, page);
}

TEST(LocationPage, StretchesAreOfOneAnswer) {
  const std::vector<AnswerStretch> stretches = answer_stretches(a_drive());
  ASSERT_EQ(stretches.size(), 4U);
  const std::vector<std::size_t> firsts = {0, 2, 3, 6};
  const std::vector<std::size_t> lasts = {1, 2, 5, 6};
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(stretches[i].first, firsts[i]);
    EXPECT_EQ(stretches[i].last, lasts[i]);
  }
  EXPECT_EQ(stretches[2].answer, Answer::found);
  EXPECT_TRUE(answer_stretches({}).empty());
}

TEST(LocationPage, SaysFirstHowOftenTheRobotWasFound) {
  const std::string page = page_of(a_drive());
  const std::size_t lead = page.find("On tuesday the robot was found in flat at 43 % of 7 scans; at 14 % several");
  ASSERT_NE(lead, std::string::npos) << page.substr(page.find("<main>"), 600);
  EXPECT_LT(lead, page.find("<svg"));
  EXPECT_NE(page.find("It was first found 3 s after the first scan"), std::string::npos);
  EXPECT_EQ(page_of({a_drive().front()}).find("It was first found"), std::string::npos);
}

TEST(LocationPage, ListsWhenTheAnswerWasAnother) {
  const std::string page = page_of(a_drive());
  EXPECT_NE(page.find(">10.0</td><td class=\"n\">11.0</td><td>lost</td><td class=\"n\">nowhere</td>"),
            std::string::npos);
  EXPECT_NE(page.find(">13.0</td><td class=\"n\">15.0</td><td>found</td><td class=\"n\">-1.77, 0.25</td>"),
            std::string::npos);
  EXPECT_EQ(count(page, "<tr><td"), 4U);
}

// Nobody reads a table of thousands of rows.
TEST(LocationPage, ALongTableIsCutShort) {
  std::vector<LocatedScan> flickering;
  for (int i = 0; i < 450; ++i) {
    flickering.push_back(answered(i, i % 2 == 0 ? Answer::found : Answer::ambiguous, {-1.8, 0.25, 0.0}));
  }
  const std::string page = page_of(flickering);
  EXPECT_EQ(count(page, "<tr><td"), 200U);
  EXPECT_NE(page.find("and 250 more."), std::string::npos);
}

TEST(LocationPage, LoadsNothingRunsNothingAndEscapesNames) {
  LocationPage hostile = words();
  hostile.map = "<script>alert(1)</script>";
  hostile.drive = "\" onload=\"x";
  const std::string page = page_of(a_drive(), hostile);
  EXPECT_EQ(page.find("<script"), std::string::npos);
  EXPECT_EQ(page.find("onload=\""), std::string::npos);
  EXPECT_EQ(page.find("http", page.find("http-equiv") + 1), std::string::npos);
  EXPECT_EQ(page.find("src="), std::string::npos);
  EXPECT_NE(page.find("Caution"), std::string::npos);
  EXPECT_NE(page.find("wainscot 9.8.7"), std::string::npos);
  EXPECT_TRUE(is_well_formed(page));
}

TEST(LocationPage, SaysThatADriveIsSimulated) {
  EXPECT_EQ(page_of(a_drive()).find("simulated"), std::string::npos);
  LocationPage simulated = words();
  simulated.simulated = true;
  EXPECT_NE(page_of(a_drive(), simulated).find("come from a simulated drive"), std::string::npos);
}

// One scan has no length of time, and a robot that was never found no way.
TEST(LocationPage, OfOneScanAndOfNoneFound) {
  EXPECT_NE(page_of({a_drive().back()}).find("nothing in the map fitted"), std::string::npos);
  const std::string page = page_of({a_drive()[3]});
  EXPECT_EQ(page.find("nan"), std::string::npos);
  EXPECT_EQ(page.find("inf\""), std::string::npos);
  EXPECT_TRUE(is_well_formed(page));
}

}  // namespace
}  // namespace wainscot
