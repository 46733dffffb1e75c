#include "io/draw/log_picture.hpp"

#include <string>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

LogPicture ten_seconds() {
  LogPicture picture;
  picture.drive = "kitchen";
  picture.course.time = {0.0, 10.0};
  for (int i = 0; i <= 10; ++i) {
    picture.course.wheels_m_s.add(i, 0.2);
    picture.course.wheels_rad_s.add(i, 0.1);
    picture.course.scans_m_s.add(i, 0.21);
    picture.course.scans_rad_s.add(i, 0.11);
    picture.course.apart_m.add(i, 0.01);
    picture.course.apart_rad.add(i, 0.01);
    picture.course.returns.add(i, 300 + i);
  }
  picture.course.most_returns = 310;
  picture.course.holes = {{"no scan for 0.25 s: 1 time, 0.4 s", {{3.0, 3.4}}}};
  return picture;
}

Finding finding_at(Fault fault, const std::string& what, double time_s) {
  Finding finding;
  finding.fault = fault;
  finding.what = what;
  finding.time_s = time_s;
  return finding;
}

TEST(LogPicture, EveryPanelHasItsUnit) {
  LogPicture picture = ten_seconds();
  const std::string svg = log_picture(picture);
  for (const char* words :
       {"The log of kitchen<", "Speed, m/s", "Turning, °/s", "cm each stride", "° each stride", "Returns a scan",
        "the fullest scan has 310", "no scan for 0.25 s", "Time of the log, s", "by the wheels", "by the scans"}) {
    EXPECT_NE(svg.find(words), std::string::npos) << words << "\n" << svg;
  }
  EXPECT_EQ(svg.find(">gyro<"), std::string::npos);
  picture.simulated = true;
  EXPECT_NE(log_picture(picture).find("The log of kitchen (simulated)<"), std::string::npos);
}

TEST(LogPicture, FindingsStandBelowByTheirNumbers) {
  LogPicture picture = ten_seconds();
  picture.findings = {finding_at(Fault::slip, "the wheels slipped", 5.0),
                      finding_at(Fault::lost_scans, "scans are missing from the log", 3.0)};
  picture.findings.emplace_back().what = "the lidar's angles run the other way round";
  picture.notes = {"the clock could not be checked"};
  const std::string svg = log_picture(picture);
  EXPECT_NE(svg.find(">1. The wheels slipped, at 5.0 s.<"), std::string::npos) << svg;
  EXPECT_NE(svg.find(">2. Scans are missing from the log, at 3.0 s.<"), std::string::npos);
  EXPECT_NE(svg.find(">3. The lidar&#39;s angles run the other way round.<"), std::string::npos) << svg;
  EXPECT_NE(svg.find(">The clock could not be checked.<"), std::string::npos);
  const std::size_t slip = svg.find("strong halo\">1</text>");
  const std::size_t lost = svg.find("strong halo\">2</text>");
  const std::size_t apart = svg.find("cm each stride");
  const std::size_t missing = svg.find("What is missing");
  ASSERT_NE(slip, std::string::npos);
  ASSERT_NE(lost, std::string::npos);
  EXPECT_GT(slip, apart);
  EXPECT_LT(slip, missing);
  EXPECT_GT(lost, missing);
  EXPECT_EQ(svg.find("strong halo\">3</text>"), std::string::npos) << "it has no time";
}

// Of scans alone there is no speed of the wheels, and what was found still stands somewhere.
TEST(LogPicture, WhatIsNotThereHasNoPanel) {
  LogPicture picture;
  picture.course.time = {0.0, 2.0};
  picture.course.returns.add(0.0, 100.0);
  picture.findings = {finding_at(Fault::slip, "the wheels slipped", 1.0)};
  const std::string svg = log_picture(picture);
  EXPECT_EQ(svg.find("Speed"), std::string::npos);
  EXPECT_NE(svg.find("strong halo\">1</text>"), std::string::npos);
  EXPECT_NE(log_picture({}).find("</svg>"), std::string::npos);
}

TEST(LogPicture, AThousandFindingsAreToldInPart) {
  LogPicture picture = ten_seconds();
  for (int i = 0; i < 1000; ++i) picture.findings.push_back(finding_at(Fault::slip, "the wheels slipped", 0.01 * i));
  const std::string svg = log_picture(picture);
  EXPECT_NE(svg.find("And 940 more, which check tells."), std::string::npos);
  EXPECT_LT(svg.size(), 300'000U);
}

}  // namespace
}  // namespace wainscot
