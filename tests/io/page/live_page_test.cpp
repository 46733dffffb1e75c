#include "io/page/live_page.hpp"

#include <algorithm>
#include <regex>
#include <set>
#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "io/page/files.hpp"
#include "tests/io/page_checks.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

using nlohmann::json;

LivePage form() {
  LivePage page;
  page.drive = "my-drive";
  page.out = "flat";
  page.program_version = "9.8.7";
  page.key = "0123";
  return page;
}

TEST(LivePage, NamesDriveAndMapAndCautions) {
  const std::string page = live_page(form());
  EXPECT_NE(page.find("Drive my-drive, followed as it is recorded. When it ends, the map in flat"), std::string::npos);
  EXPECT_NE(page.find("<h2>Caution</h2>"), std::string::npos);
  EXPECT_NE(page.find("wainscot 9.8.7"), std::string::npos);
  EXPECT_NE(page.find(R"(id="data">{"key":"0123"}</script>)"), std::string::npos);
  EXPECT_EQ(page.find("simulated"), std::string::npos);
  LivePage simulated = form();
  simulated.simulated = true;
  EXPECT_NE(live_page(simulated).find("simulated drive"), std::string::npos);
}

TEST(LivePage, AsksNobodyButItsServerAndEscapesNames) {
  LivePage hostile = form();
  hostile.drive = "<img src=x onerror=alert(1)>@OUT@";
  hostile.out = "</script><script>alert(1)</script>";
  const std::string page = live_page(hostile);
  EXPECT_NE(page.find("connect-src 'self'"), std::string::npos);
  EXPECT_EQ(page.find("<img src=x"), std::string::npos);
  EXPECT_EQ(page.find("<script>alert"), std::string::npos);
  EXPECT_NE(page.find("onerror=alert(1)&gt;@OUT@"), std::string::npos) << "a name is not taken for a word of the form";
  EXPECT_TRUE(is_well_formed(page));
}

// The script finds what it shows by names that stand in the form.
TEST(LivePage, TheFormHasWhatTheScriptLooksFor) {
  const std::string script(live_js());
  const std::string page = live_page(form());
  static const std::regex found(R"re(find\('([^']+)'\))re");
  std::set<std::string> names;
  for (std::sregex_iterator at(script.begin(), script.end(), found), end; at != end; ++at) names.insert(at->str(1));
  EXPECT_GT(names.size(), 15U);
  for (const std::string& name : names) {
    EXPECT_NE(page.find("id=\"" + name + "\""), std::string::npos) << name;
  }
}

TEST(LivePage, TellsTheMap) {
  const Map map = sample_map();
  LiveMapNews news;
  news.map = &map;
  LiveMapPicture picture = live_map_picture(map.grid);
  picture.edges = {{{0.0, 1.0}, {0.5, 1.00049}}};
  news.picture = &picture;
  news.verdict = "good";
  news.since_loop_m = 1.5;
  news.tail = {{1.0, 0.25, 0.0}, {1.01, 0.25, 0.0}, {1.2, 0.25, 0.0}};
  const json told = json::parse(live_map_json(news));
  EXPECT_NEAR(told["grid"]["left"], -37 * 0.05, 1e-9);
  EXPECT_NEAR(told["grid"]["top"], 6 * 0.05, 1e-9);
  EXPECT_NEAR(told["grid"]["width"], 3 * 0.05, 1e-9);
  EXPECT_NEAR(told["grid"]["height"], 2 * 0.05, 1e-9);
  EXPECT_EQ(told["grid"]["png"].get<std::string>().rfind("iVBORw0KGgo", 0), 0U) << "base64 of a PNG's first bytes";
  EXPECT_EQ(told["path"], json::parse("[[0,0],[0.5,0],[1,0.25]]"));
  EXPECT_EQ(told["tail"], json::parse("[[1,0.25],[1.2,0.25]]")) << "a place each 5 cm";
  EXPECT_EQ(told["closures"], json::parse("[[0,0,1,0.25]]")) << "those that are accepted";
  EXPECT_EQ(told["edges"], json::parse("[[0,1,0.5,1]]")) << "in millimetres";
  EXPECT_EQ(told["verdict"], "good");
  EXPECT_EQ(told["way_m"], 1.12);
  EXPECT_EQ(told["since_loop_m"], 1.5);
}

// Of a large building a pixel is several cells, counted from the upper left corner.
TEST(LivePage, TheGridOfALargeBuildingIsShownWithFewerPixels) {
  OccupancyGrid grid;
  grid.frame = {0.05, 0, 0, 3001, 10};
  grid.probability.assign(30010, 0.1F);
  const LiveMapPicture picture = live_map_picture(grid);
  EXPECT_NEAR(picture.top_m, 0.5, 1e-9);
  EXPECT_NEAR(picture.width_m, 3003 * 0.05, 1e-9);
  EXPECT_NEAR(picture.height_m, 12 * 0.05, 1e-9);
}

TEST(LivePage, TellsWhereTheRobotIs) {
  LiveHereNews news;
  news.time_s = 12.5;
  news.pose = {1.23456, -0.5, 0.25};
  news.sure = "to 1 cm";
  news.speed_m_s = 0.3;
  news.turn_rad_s = -0.1;
  news.seen_m = {{2.0, 0.00049}};
  const json told = json::parse(live_here_json(news));
  EXPECT_EQ(told["pose"], json::parse("[1.235,-0.5,0.25]"));
  EXPECT_EQ(told["seen"], json::parse("[[2,0]]"));
  EXPECT_EQ(told["time_s"], 12.5);
  EXPECT_EQ(told["sure"], "to 1 cm");
  EXPECT_EQ(told["speed_m_s"], 0.3);
  EXPECT_EQ(told["turn_rad_s"], -0.1);
}

// An event is one line: what people wrote into files may hold anything.
TEST(LivePage, WhatIsToldIsOneLineOfAscii) {
  LiveMomentNews news;
  news.state = "a\nb\r\xe2\x80\xa8";
  news.warnings = {"\"quoted\"", "\xff"};
  news.log = {"first", "last"};
  const std::string told = live_moment_json(news);
  EXPECT_EQ(told.find_first_of("\r\n"), std::string::npos);
  EXPECT_TRUE(std::all_of(told.begin(), told.end(), [](unsigned char c) { return c < 0x80; })) << told;
  const json parsed = json::parse(told);
  EXPECT_EQ(parsed["state"], "a\nb\r\xe2\x80\xa8");
  EXPECT_EQ(parsed["warnings"][0], "\"quoted\"");
  EXPECT_EQ(parsed["log"], json::parse(R"(["first","last"])"));
  EXPECT_EQ(json::parse(live_end_json("done\n"))["words"], "done\n");
}

}  // namespace
}  // namespace wainscot
