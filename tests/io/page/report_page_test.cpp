#include "io/page/report_page.hpp"

#include <limits>
#include <string>

#include <gtest/gtest.h>

#include "io/markup.hpp"
#include "tests/io/page_checks.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

std::string sample_page() { return report_page(sample_map(), sample_drive(), sample_origin()); }

TEST(ReportPage, IsWellFormed) {
  EXPECT_TRUE(is_well_formed(sample_page()));
  EXPECT_FALSE(is_well_formed(sample_page() + "<p>"));
}

TEST(ReportPage, SaysWhereRobotYamlLeavesTheWheelsOut) {
  Drive drive = sample_drive();
  EXPECT_EQ(report_page(sample_map(), drive, sample_origin()).find("leaves out the wheels"), std::string::npos);
  drive.robot.left_out = {true, true, false, true};
  const std::string page = report_page(sample_map(), drive, sample_origin());
  EXPECT_NE(page.find("leaves out the wheels and the lidar's place"), std::string::npos);
  EXPECT_TRUE(is_well_formed(page));
}

TEST(ReportPage, IsWellFormedForAnEmptyMapAndUnknownFigures) {
  Map map;
  map.quality.scale_sd = std::numeric_limits<double>::quiet_NaN();
  EXPECT_TRUE(is_well_formed(report_page(map, Drive{}, MapOrigin{"1", false, false})));
}

TEST(ReportPage, LoadsNothing) {
  const std::string page = sample_page();
  // The one address is the name that SVG elements have for themselves; nothing is fetched from there.
  EXPECT_EQ(count(page, "http:"), count(page, "createElementNS('http://www.w3.org/2000/svg'"));
  EXPECT_EQ(page.find("https:"), std::string::npos);
  EXPECT_EQ(page.find("url("), std::string::npos);
  EXPECT_EQ(page.find("import("), std::string::npos);
  EXPECT_EQ(page.find("fetch("), std::string::npos);
  EXPECT_EQ(page.find(" src="), std::string::npos);
  EXPECT_EQ(count(page, "href="), count(page, "href=\"data:image/png;base64,"));
}

// The policy lets the page's own script run and no other: Python's hashlib, an outside library, computes its hash anew.
TEST(ReportPage, AllowsItsOwnScriptOnly) {
  const std::string page = sample_page();
  EXPECT_EQ(count(page, "<script"), 2U);
  EXPECT_NE(page.find("content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-"),
            std::string::npos);
  const ReaderFolder folder;
  const std::string file = folder.write("report.html", page).string();
  const std::string check =
      "import base64,hashlib,sys;t=open(sys.argv[1],'rb').read();"
      "s=t[t.rindex(b'<script>')+8:t.rindex(b'</script>')];"
      "sys.exit(b'sha256-'+base64.b64encode(hashlib.sha256(s).digest()) not in t)";
  EXPECT_EQ(std::system(("python3 -c \"" + check + "\" '" + file + "'").c_str()), 0);
}

TEST(ReportPage, IsTheSameEachTime) { EXPECT_EQ(sample_page(), sample_page()); }

TEST(ReportPage, ShowsNamesAndWarningsAsTextOnly) {
  const std::string page = sample_page();
  EXPECT_EQ(page.find("<b>"), std::string::npos);
  EXPECT_NE(page.find("hall &lt;b&gt;&amp; &quot;kitchen&quot;"), std::string::npos);
  EXPECT_EQ(count(page, "the robot saw &lt;nothing&gt; for 2 s"), 1U);
  EXPECT_EQ(count(page, "an unfinished last row was dropped"), 1U);
}

// It was escaped twice: "R&amp;amp;D".
TEST(ReportPage, ItsTitleIsTheDrivesName) {
  Drive drive = sample_drive();
  drive.name = "R&D flat";
  const std::string page = report_page(sample_map(), drive, sample_origin());
  EXPECT_NE(page.find("<title>Map from the drive “R&amp;D flat”</title>"), std::string::npos);
  EXPECT_NE(page.find("<h1>Map from the drive “R&amp;D flat”</h1>"), std::string::npos);
}

TEST(ReportPage, SaysWhatIsSimulatedAndWhatWasLeftOut) {
  EXPECT_NE(sample_page().find("simulated drive"), std::string::npos);
  EXPECT_EQ(sample_page().find("without loop closure"), std::string::npos);
  const std::string real = report_page(sample_map(), sample_drive(), {"1", false, false});
  EXPECT_EQ(real.find("imulated"), std::string::npos);
  EXPECT_NE(real.find("made without loop closure"), std::string::npos);
}

TEST(ReportPage, HasFiguresConstantsClosuresAndCaution) {
  const std::string page = sample_page();
  EXPECT_NE(page.find("believed to lie right within 3.0 mm"), std::string::npos);
  EXPECT_NE(page.find("0.431 ± 0.021"), std::string::npos);
  EXPECT_NE(page.find("1 accepted of 2 candidates"), std::string::npos);
  EXPECT_NE(page.find("a wall was seen through"), std::string::npos);
  EXPECT_NE(page.find(html_text(map_caution)), std::string::npos);
  EXPECT_NE(page.find("points=\"0,0 0.5,0 1,-0.25\""), std::string::npos);
}

TEST(ReportPage, OfSeveralDrivesTellsThemApart) {
  const std::string page = report_page(sample_map_of_two(), sample_drives(), sample_origin());
  EXPECT_TRUE(is_well_formed(page));
  EXPECT_NE(page.find("&quot;” and “tuesday”</h1>"), std::string::npos);
  EXPECT_NE(
      page.find("Drive 2, tuesday: 0.25 m in 12 s, 2 scans; it begins at 10.0 s of its clock, 3.0 s on this page"),
      std::string::npos);
  EXPECT_EQ(count(page, "<polyline class=\"path\""), 1U);
  EXPECT_EQ(count(page, "<polyline class=\"path-2\""), 1U);
  EXPECT_NE(page.find("What changed between the drives"), std::string::npos);
  EXPECT_EQ(count(page, "<td>gone since drive 2</td>"), 1U);
  EXPECT_EQ(count(page, "<td>there since drive 2</td>"), 1U);
  EXPECT_NE(page.find("checksum 4567."), std::string::npos);
  EXPECT_EQ(sample_page().find("What changed between the drives"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
