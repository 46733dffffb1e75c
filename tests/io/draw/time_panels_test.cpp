#include "io/draw/time_panels.hpp"

#include <cmath>
#include <limits>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

std::size_t occurrences(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

TimePanels one_panel(PanelSeries series) {
  TimePanels panels;
  panels.title = "a log";
  panels.begin_s = series.time_s.front();
  panels.end_s = series.time_s.back();
  panels.panels.emplace_back();
  panels.panels[0].title = "Speed, m/s";
  panels.panels[0].series.push_back(std::move(series));
  return panels;
}

PanelSeries ramp(int values, double step_s) {
  PanelSeries series{"by the wheels", {}, {}, "path"};
  for (int i = 0; i < values; ++i) {
    series.time_s.push_back(step_s * i);
    series.value.push_back(std::sin(0.37 * i));
  }
  return series;
}

// The panel's left border is at 54, its right one at 468.
TEST(TimePanels, ALineReachesFromTheBeginToTheEnd) {
  const std::string svg = svg_time_panels(one_panel(ramp(30, 1.0)), SvgUse::file);
  const std::size_t at = svg.find("points=\"54,");
  ASSERT_NE(at, std::string::npos) << svg;
  EXPECT_NE(svg.find(" 468,", at), std::string::npos);
  EXPECT_NE(svg.find("Speed, m/s"), std::string::npos);
  EXPECT_NE(svg.find("Time of the log, s"), std::string::npos);
}

TEST(TimePanels, AnHourOfRowsKeepsItsPeakAndABoundedSize) {
  PanelSeries series = ramp(400'000, 0.01);
  series.value[123'456] = 3.5;
  const std::string svg = svg_time_panels(one_panel(std::move(series)), SvgUse::file);
  EXPECT_LT(svg.size(), 120'000U);
  // The peak alone reaches 20/21 of the panel's height of 110 pixels, all others lie lower.
  EXPECT_EQ(occurrences(svg, "<polyline"), 1U);
  const std::string other = svg_time_panels(one_panel(ramp(400'000, 0.01)), SvgUse::file);
  EXPECT_NE(svg, other);
}

TEST(TimePanels, WhatIsNoNumberPartsTheLine) {
  PanelSeries series = ramp(30, 1.0);
  series.value[10] = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(occurrences(svg_time_panels(one_panel(std::move(series)), SvgUse::file), "<polyline"), 2U);
}

// One absurd value of a thousand would press all others into a line.
TEST(TimePanels, WhatIsFarBeyondIsCutOffAndTold) {
  PanelSeries series = ramp(1000, 0.1);
  series.value[500] = 1e6;
  const std::string svg = svg_time_panels(one_panel(std::move(series)), SvgUse::file);
  EXPECT_NE(svg.find("cut off"), std::string::npos);
  EXPECT_EQ(svg.find("1000000"), std::string::npos);
  EXPECT_EQ(svg_time_panels(one_panel(ramp(1000, 0.1)), SvgUse::file).find("cut off"), std::string::npos);
}

TEST(TimePanels, NumbersStandAtTheirTimes) {
  TimePanels panels = one_panel(ramp(101, 1.0));
  panels.panels[0].marks = {{50.0, 7}, {50.1, 8}, {50.2, 9}, {50.3, 10}};
  const std::string svg = svg_time_panels(panels, SvgUse::file);
  EXPECT_NE(svg.find("<text x=\"261\" y=\""), std::string::npos) << svg;  // the middle of 54 and 468
  EXPECT_NE(svg.find(">7</text>"), std::string::npos);
  EXPECT_NE(svg.find(">9</text>"), std::string::npos);
  EXPECT_EQ(svg.find(">10</text>"), std::string::npos) << "a fourth one over each other has no room";
}

TEST(TimePanels, BarsThatTouchBecomeOneAndEachIsSeen) {
  TimePanels panels;
  panels.end_s = 1000.0;
  panels.panels.emplace_back();
  panels.panels[0].title = "What is missing";
  PanelBars bars{"scans", {}, {}};
  for (int i = 0; i < 20'000; ++i) {  // in the first tenth, far too many to be told apart
    bars.begin_s.push_back(0.005 * i);
    bars.end_s.push_back(0.005 * i + 0.001);
  }
  bars.begin_s.push_back(500.0);
  bars.end_s.push_back(500.001);
  panels.panels[0].bars.push_back(bars);
  const std::string svg = svg_time_panels(panels, SvgUse::file);
  const std::size_t at = svg.find("class=\"bar\" d=\"");
  ASSERT_NE(at, std::string::npos);
  const std::string path = svg.substr(at + 15, svg.find('"', at + 15) - at - 15);
  EXPECT_EQ(occurrences(path, "M"), 2U) << path;
  EXPECT_NE(path.find("M261 "), std::string::npos) << path;
  EXPECT_NE(path.find("H263"), std::string::npos) << path;
}

TEST(TimePanels, LateTimesAreToldFromAWholeSecondOn) {
  PanelSeries series = ramp(30, 1.0);
  for (double& time : series.time_s) time += 1'700'000'000.5;
  const std::string svg = svg_time_panels(one_panel(std::move(series)), SvgUse::file);
  EXPECT_NE(svg.find("Time after 1700000000 s of the log, s"), std::string::npos);
}

TEST(TimePanels, AMomentAloneIsDrawn) {
  PanelSeries series{"one", {5.0}, {1.0}, "path"};
  const std::string svg = svg_time_panels(one_panel(std::move(series)), SvgUse::file);
  EXPECT_EQ(svg.find("nan"), std::string::npos);
  EXPECT_NE(svg.find("points=\"54,"), std::string::npos) << svg;
}

TEST(TimePanels, HostileNamesAreText) {
  TimePanels panels = one_panel(ramp(3, 1.0));
  panels.title = "<script>alert(1)</script>";
  panels.notes = {"<img src=x>"};
  const std::string svg = svg_time_panels(panels, SvgUse::file);
  EXPECT_EQ(svg.find("<script"), std::string::npos);
  EXPECT_EQ(svg.find("<img"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
