#include "io/draw/svg_plot.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

std::size_t count_of(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

TEST(SvgPlot, TicksAreRound) {
  EXPECT_EQ(round_ticks(0.0, 10.0, 5), (std::vector<double>{0, 2, 4, 6, 8, 10}));
  EXPECT_EQ(round_ticks(-0.9, 1.1, 4).size(), 4u);  // -0.5, 0, 0.5, 1
  EXPECT_NEAR(round_ticks(331.0, 334.0, 6).front(), 331.0, 1e-9);
}

// The axes reach from the least to the greatest value: the line begins at the left and ends at the right border.
TEST(SvgPlot, ALineStandsWhereItsValuesAre) {
  Plot plot;
  plot.series = {{"rising", {10.0, 20.0, 30.0}, {0.0, 1.0, 2.0}, false}};
  const std::string svg = svg_plot(plot, SvgUse::file);
  const std::size_t at = svg.find("points=\"");
  ASSERT_NE(at, std::string::npos);
  const std::string points = svg.substr(at + 8, svg.find('"', at + 8) - at - 8);
  EXPECT_EQ(points.rfind("84,362 ", 0), 0u) << points;
  EXPECT_NE(points.find(" 462,"), std::string::npos) << points;
  EXPECT_NE(points.find(" 840,"), std::string::npos) << points;
}

TEST(SvgPlot, HostileNamesAreText) {
  Plot plot;
  plot.title = "<script>alert(1)</script>";
  plot.series = {{"a\" onload=\"b & <c>", {1.0, 2.0}, {1.0, 3.0}, true}};
  for (const SvgUse use : {SvgUse::file, SvgUse::page}) {
    const std::string svg = svg_plot(plot, use);
    EXPECT_EQ(svg.find("<script"), std::string::npos);
    EXPECT_EQ(svg.find("onload=\""), std::string::npos);
    EXPECT_NE(svg.find("&lt;script&gt;"), std::string::npos);
  }
}

TEST(SvgPlot, LeavesOutWhatHasNoLogarithm) {
  Plot plot;
  plot.logarithmic = true;
  plot.series = {{"error", {0.5, 1.0, 10.0}, {0.0, 2.0, 20.0}, true}};
  EXPECT_EQ(count_of(svg_plot(plot, SvgUse::page), "r=\"3\""), 2u);
}

TEST(SvgPlot, LongSeriesAreThinnedButKeepTheirPeaks) {
  Plot plot;
  PlotSeries series{"long", {}, {}, false};
  for (int i = 0; i < 40000; ++i) {
    series.x.push_back(i);
    series.y.push_back(i == 12345 ? 7.0 : 0.001 * (i % 5));
  }
  plot.series = {series};
  const std::string svg = svg_plot(plot, SvgUse::page);
  EXPECT_LT(svg.size(), 60000u);
  // The greatest value alone reaches the top of the axis, 4 % below the frame.
  EXPECT_NE(svg.find(",77.38"), std::string::npos);
}

// At the width of a telephone title and legend take more lines, nothing is written beyond the border, and lines have
// the colours of what they mean.
TEST(SvgPlot, ANarrowPlotWrapsTitleAndLegend) {
  Plot plot;
  plot.title = "Relative difference over the length of a stretch";
  plot.series = {{"found", {1.0, 2.0}, {1.0, 3.0}, false},
                 {"odometry alone", {1.0, 2.0}, {2.0, 3.0}, false, "odometry"},
                 {"and a third one", {1.0, 2.0}, {2.0, 1.0}, false, "path-2"}};
  EXPECT_NE(svg_plot(plot, SvgUse::page).find(">Relative difference over the length of a stretch</text>"),
            std::string::npos);
  plot.width_px = 360.0;
  const std::string svg = svg_plot(plot, SvgUse::page);
  EXPECT_NE(svg.find("viewBox=\"0 0 360 "), std::string::npos);
  EXPECT_NE(svg.find(">Relative difference over the length</text>"), std::string::npos) << svg;
  EXPECT_NE(svg.find("<path class=\"line odometry\" d=\"M84 "), std::string::npos) << svg;
  EXPECT_EQ(count_of(svg, "<polyline class=\"line path-2\""), 1u);
}

TEST(SvgPlot, DrawsNothingOfNothing) { EXPECT_NE(svg_plot({}, SvgUse::file).find("</svg>"), std::string::npos); }

}  // namespace
}  // namespace wainscot
