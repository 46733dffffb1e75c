#include "io/page/overview_page.hpp"

#include <regex>
#include <set>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "io/page/files.hpp"
#include "tests/io/overview/sample_jobs.hpp"
#include "tests/io/page_checks.hpp"

namespace wainscot {
namespace {

Overview overview_of(std::vector<DriveRow> rows) {
  Overview overview;
  overview.name = "houses";
  overview.rows = std::move(rows);
  overview.constants = {{"lidar.x_m", "m"}, {"drive.track_width_m", "m"}};
  overview.fleet = fleet_of(overview.rows);
  return overview;
}

nlohmann::json data_in(const std::string& page) {
  const std::string begin = "id=\"data\">";
  const std::size_t at = page.find(begin) + begin.size();
  return nlohmann::json::parse(page.substr(at, page.find("</script>", at) - at));
}

TEST(OverviewPage, CarriesARowADriveWithItsConstants) {
  DriveRow other = sample_row("kitchen", 0.2891234567);
  other.constants[0].observed = false;
  other.map = "map";
  const std::string page = overview_page(overview_of({sample_row("hall", 0.288), other}), {"9.8.7", "../houses"});
  EXPECT_NE(page.find("<p class=\"lead\">2 maps: 2 good.</p>"), std::string::npos);
  EXPECT_NE(page.find("wainscot 9.8.7"), std::string::npos);
  EXPECT_NE(page.find("simulated drives among them"), std::string::npos);
  EXPECT_TRUE(is_well_formed(page));
  const nlohmann::json data = data_in(page);
  ASSERT_EQ(data["rows"].size(), 2U);
  EXPECT_EQ(data["rows"][0]["link"], "../houses/hall/report.html");
  EXPECT_EQ(data["rows"][1]["link"], "../houses/kitchen/map/report.html");
  EXPECT_EQ(data["rows"][1]["constants"].dump(), "[[0.059,0.0002,0],[0.28912,0.001]]");
  EXPECT_EQ(data["rows"][1]["place"], 0.003);
  EXPECT_FALSE(data["rows"][1].contains("truth")) << "what is not known is not there";
  EXPECT_EQ(data["robots"][0]["drives"], 2);
  EXPECT_NE(page.find("by more than chance.</p>"), std::string::npos);
}

TEST(OverviewPage, DrivesWithoutSistersAreToldSo) {
  const std::string page = overview_page(overview_of({sample_row("hall", 0.288)}), {"9.8.7", ""});
  EXPECT_NE(page.find(": no two of these drives have a robot.yaml that states the same.</p>"), std::string::npos);
}

TEST(OverviewPage, HostileWordsStayWords) {
  DriveRow row = sample_row("hall", 0.288);
  row.name = row.folder = "</script><script>alert(1)</script>@VERSION@";
  row.reason = "<img src=x onerror=alert(1)>";
  Overview overview = overview_of({row});
  overview.name = "<b>@COUNTS@";
  const std::string page = overview_page(overview, {"9.8.7", "javascript:x"});
  EXPECT_EQ(page.find("<script>alert"), std::string::npos);
  EXPECT_EQ(page.find("<img src=x"), std::string::npos);
  EXPECT_NE(page.find("Maps in &lt;b&gt;@COUNTS@"), std::string::npos);
  EXPECT_TRUE(is_well_formed(page));
  EXPECT_EQ(data_in(page)["rows"][0]["link"],
            "javascript%3Ax/%3C/script%3E%3Cscript%3Ealert%281%29%3C/script%3E%40VERSION%40/report.html");
}

TEST(OverviewPage, TellsWhatDiffersAndWhatChanged) {
  std::vector<DriveRow> rows;
  for (int i = 0; i < 16; ++i) rows.push_back(sample_row(fmt::format("d{}", i), i < 10 ? 0.288 : 0.3));
  const std::string page = overview_page(overview_of(rows), {"1", ""});
  EXPECT_NE(page.find("<li>drive.track_width_m changes between d9 and d10"), std::string::npos);
  const nlohmann::json data = data_in(page);
  EXPECT_TRUE(data["robots"][0]["series"][1].contains("said"));
  EXPECT_EQ(data["odd"].size(), 6U);
  EXPECT_FALSE(data["rows"][0].contains("link")) << "no folder, no links";
  const std::string quiet = overview_page(overview_of({sample_row("d", 0.288)}), {"1", ""});
  EXPECT_NE(quiet.find("No constant changed"), std::string::npos);
}

// The script finds what it shows by names that stand in the form.
TEST(OverviewPage, TheFormHasWhatTheScriptLooksFor) {
  const std::string script(overview_js());
  const std::string form(overview_html());
  static const std::regex found(R"re(find\('([^']+)'\))re");
  std::set<std::string> names;
  for (std::sregex_iterator at(script.begin(), script.end(), found), end; at != end; ++at) names.insert(at->str(1));
  names.erase("data");  // of the frame
  EXPECT_GT(names.size(), 10U);
  for (const std::string& name : names) {
    EXPECT_NE(form.find("id=\"" + name + "\""), std::string::npos) << name;
  }
}

}  // namespace
}  // namespace wainscot
