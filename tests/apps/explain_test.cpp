// The command `explain`, run with the real program as a user runs it.

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class ExplainCommand : public CommandLine {};

TEST_F(ExplainCommand, ExplainsADriveOnAPage) {
  const Outcome made = run("explain drive --out explain.html");
  ASSERT_EQ(made.status, 0) << made.err;
  EXPECT_EQ(made.out, "");
  const std::string page = content(folder_.path() / "explain.html");
  EXPECT_EQ(page.rfind("<!DOCTYPE html>", 0), 0U);
  EXPECT_NE(page.find("simulated drive"), std::string::npos);
  expect_refused("explain drive --out explain.html", 2, "--replace");
  EXPECT_EQ(run("explain drive --out explain.html --replace --quiet --threads 1").err, "");
  EXPECT_EQ(content(folder_.path() / "explain.html"), page) << "the same drive gives the same bytes";
}

TEST_F(ExplainCommand, ExplainRefusesWhatMakesNoSense) {
  expect_refused("explain drive", 2, "--lesson 1");
  expect_refused("explain drive --out a.html --answers", 2, "--answers");
  expect_refused("explain drive --lesson 8", 2, "8");
  expect_refused("explain drive --out a.html --match-at 1000", 2, "1000");
  expect_refused("explain nowhere --lesson 1", 2, "nowhere");
  expect_refused("explain drive --out none/a.html", 2, "none/a.html");
  write("robot.yaml", "wainscot_robot: 2\n");
  expect_refused("explain drive --out a.html", 2, "newer");
  fs::create_directory(folder_.path() / "map");
  std::ofstream(folder_.path() / "map" / "grid.yaml") << "wainscot_map: 1\n";
  expect_refused("explain map --out a.html", 2, "is a map");
  EXPECT_FALSE(fs::exists(folder_.path() / "a.html"));
}

TEST_F(ExplainCommand, LessonsAskAndAnswer) {
  const Outcome asked = run("explain drive --lesson 3 --quiet");
  EXPECT_EQ(asked.status, 0) << asked.err;
  EXPECT_EQ(asked.out.rfind("Lesson 3 of 7: The pose graph (a simulated drive)", 0), 0U) << asked.out;
  EXPECT_EQ(asked.out.find("Answer:"), std::string::npos);
  EXPECT_NE(asked.out.find("wainscot explain drive --lesson 3 --answers"), std::string::npos);
  const Outcome answered = run("explain drive --lesson 3 --answers --quiet");
  EXPECT_NE(answered.out.find("Answer:"), std::string::npos);
}

TEST_F(ExplainCommand, WrongOptions) {
  expect_refused("explain drive --lesson 0", 2, "--lesson");
  expect_refused("explain drive --lesson one", 2, "--lesson");
  expect_refused("explain drive --out a.html --threads 257", 2, "--threads");
  expect_refused("explain drive --out a.html --match-at soon", 2, "--match-at");
  expect_refused("explain drive drive --out a.html", 2, "one word too many");
}

TEST_F(ExplainCommand, ThePageAndALessonCanBeAskedForTogether) {
  const Outcome both = run("explain drive --out explain.html --lesson 1 --match-at 2.0");
  EXPECT_EQ(both.status, 0) << both.err;
  EXPECT_EQ(both.out.rfind("Lesson 1 of 7", 0), 0U) << both.out;
  EXPECT_EQ(both.err.rfind("Wrote explain.html (", 0), 0U) << both.err;
  EXPECT_NE(both.err.find("wainscot explain drive --lesson 1\n"), std::string::npos) << both.err;
  EXPECT_NE(content(folder_.path() / "explain.html").find("</html>"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
