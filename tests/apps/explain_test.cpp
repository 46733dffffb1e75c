#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

TEST_F(CommandLine, ExplainsADriveOnAPage) {
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

TEST_F(CommandLine, ExplainRefusesWhatMakesNoSense) {
  expect_refused("explain drive", 2, "--lesson 1");
  expect_refused("explain drive --out a.html --answers", 2, "--answers");
  expect_refused("explain drive --lesson 7", 2, "7");
  expect_refused("explain drive --out a.html --match-at 1000", 2, "1000");
  expect_refused("explain nowhere --lesson 1", 2, "nowhere");
  expect_refused("explain drive --out none/a.html", 2, "none/a.html");
  write("robot.yaml", "wainscot_robot: 2\n");
  expect_refused("explain drive --out a.html", 2, "newer");
  std::filesystem::create_directory(folder_.path() / "map");
  std::ofstream(folder_.path() / "map" / "grid.yaml") << "wainscot_map: 1\n";
  expect_refused("explain map --out a.html", 2, "is a map");
  EXPECT_FALSE(std::filesystem::exists(folder_.path() / "a.html"));
}

TEST_F(CommandLine, LessonsAskAndAnswer) {
  const Outcome asked = run("explain drive --lesson 3 --quiet");
  EXPECT_EQ(asked.status, 0) << asked.err;
  EXPECT_EQ(asked.out.rfind("Lesson 3 of 6: The pose graph (a simulated drive)", 0), 0U) << asked.out;
  EXPECT_EQ(asked.out.find("Answer:"), std::string::npos);
  EXPECT_NE(asked.out.find("wainscot explain drive --lesson 3 --answers"), std::string::npos);
  const Outcome answered = run("explain drive --lesson 3 --answers --quiet");
  EXPECT_NE(answered.out.find("Answer:"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
