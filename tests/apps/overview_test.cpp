// The command `overview`, run with the real program as a user runs it.

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "io/results/job_record.hpp"
#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

class OverviewCommandLine : public CommandLine {
 protected:
  /// A map as `build` makes it, one as a job makes it, and a job that failed.
  void make_maps() const {
    std::filesystem::create_directories(folder_.path() / "houses" / "hall");
    ASSERT_EQ(run("build drive --out houses/attic --quiet").status, 0);
    ASSERT_EQ(run("build drive --out houses/hall/map --quiet").status, 0);
    job("hall",
        job_record_json({"1", "hall", {"build"}, "drive", "f", "c", 0, "", TruthErrors{0.0021, 0.0064, 0.066}}));
    job("kitchen", job_record_json({"1", "kitchen", {"build"}, "drives/kitchen", "f", "c", 2, "no counts", {}}));
    std::filesystem::create_directories(folder_.path() / "houses" / "notes");
  }
  void job(const std::string& name, const std::string& text) const {
    std::filesystem::create_directories(folder_.path() / "houses" / name);
    std::ofstream(folder_.path() / "houses" / name / "job.json") << text;
  }
};

TEST_F(OverviewCommandLine, TellsHowGoodManyMapsAre) {
  make_maps();
  const Outcome told = run("overview houses");
  EXPECT_EQ(told.status, 0) << told.err;
  EXPECT_NE(told.out.find("No map:\n  kitchen (failed, status 2): no counts\n2 maps: "), std::string::npos) << told.out;
  EXPECT_NE(told.out.find("path against the truth:     median 2.1 mm, worst 2.1 mm (hall), of 1 drive\n"),
            std::string::npos);
  EXPECT_NE(told.out.find("Simulated drives are among these"), std::string::npos);
  EXPECT_EQ(told.err,
            "Passed over: 1 sub-folder without a map.\nWhy the first one failed: wainscot check drives/kitchen\n");
}

TEST_F(OverviewCommandLine, WritesPageAndTableTheSameAtAnyNumberOfThreads) {
  make_maps();
  ASSERT_EQ(run("overview houses --page one.html --csv one.csv --threads 1").status, 0);
  const Outcome two = run("overview houses --page two.html --csv two.csv --threads 2");
  ASSERT_EQ(two.status, 0);
  EXPECT_NE(two.err.find("Written to two.csv.\nWritten to two.html.\n"), std::string::npos) << two.err;
  EXPECT_EQ(content(folder_.path() / "one.html"), content(folder_.path() / "two.html"));
  EXPECT_EQ(content(folder_.path() / "one.csv"), content(folder_.path() / "two.csv"));
  const std::string page = content(folder_.path() / "one.html");
  EXPECT_NE(page.find("houses/hall/map/report.html"), std::string::npos);
  EXPECT_NE(page.find("houses/attic/report.html"), std::string::npos);
  EXPECT_NE(page.find("\"png\":\""), std::string::npos);
  expect_refused("overview houses --page one.html", 2, "--replace");
  EXPECT_EQ(run("overview houses --page one.html --replace").status, 0);
}

TEST_F(OverviewCommandLine, ADamagedJobIsAWarning) {
  make_maps();
  job("hall", "{");
  const Outcome told = run("overview houses");
  EXPECT_EQ(told.status, 0);
  EXPECT_NE(told.err.find("Warning: houses/hall/job.json: is no job.json"), std::string::npos) << told.err;
  EXPECT_NE(told.out.find("2 maps: "), std::string::npos) << "its map is as good as before";
}

TEST_F(OverviewCommandLine, RefusesWrongInput) {
  std::filesystem::create_directory(folder_.path() / "empty");
  expect_refused("overview", 2, "FOLDER");
  expect_refused("overview absent", 2, "absent: cannot be read");
  expect_refused("overview empty", 2, "has no sub-folder with a map in it; give");
  expect_refused("overview empty --page p.html --csv p.html", 2, "p.html");
  expect_refused("overview empty --threads 0", 2, "--threads");
}

}  // namespace
}  // namespace wainscot
