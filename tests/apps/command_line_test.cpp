// What all commands have in common; what one of them does is tested beside its name.

#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

TEST_F(CommandLine, BuildsComparesAndDraws) {
  const Outcome build = run("build drive --out flat --timings times.json");
  ASSERT_EQ(build.status, 0) << build.err;
  EXPECT_EQ(build.out, "");
  EXPECT_NE(build.err.find("(simulated)"), std::string::npos);
  EXPECT_NE(build.err.find("wainscot compare flat --truth drive/truth.csv"), std::string::npos);
  EXPECT_NE(build.err.find("Caution: "), std::string::npos);
  EXPECT_EQ(build.err.find('\r'), std::string::npos);  // no progress bar, since this is no terminal
  EXPECT_NE(content(folder_.path() / "times.json").find("\"wall_s\""), std::string::npos);

  const Outcome compare = run("compare flat --truth drive/truth.csv");
  EXPECT_EQ(compare.status, 0) << compare.err;
  EXPECT_EQ(compare.err, "To see where: the same command with --page comparison.html, a page for any browser.\n");
  EXPECT_EQ(compare.out.rfind("Simulated drive", 0), 0U);
  EXPECT_NE(compare.out.find("odometry alone"), std::string::npos);

  const Outcome draw = run("draw flat --out plan.png");
  EXPECT_EQ(draw.status, 0) << draw.err;
  EXPECT_EQ(content(folder_.path() / "plan.png").substr(1, 3), "PNG");
  expect_refused("draw flat --out plan.png", 2, "--replace");
}

TEST_F(CommandLine, NothingIsWrittenIntoAMap) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const std::string before = content(folder_.path() / "flat" / "grid.yaml");
  expect_refused("compare flat --csv flat/grid.yaml --replace", 2, "would lie in the folder of the map flat");
  expect_refused("draw flat --out flat/plan.svg", 2, "would lie in the folder of the map flat");
  expect_refused("export flat --out flat/plans", 2, "would lie in the folder of the map flat");
  expect_refused("extend flat drive --out flat/new", 2, "would lie in the folder of the map flat");
  EXPECT_EQ(content(folder_.path() / "flat" / "grid.yaml"), before);
  EXPECT_FALSE(fs::exists(folder_.path() / "flat" / "plans"));
}

// The grid shows the house as it was seen last: what has gone from it is no wall, though earlier scans lie on it.
TEST_F(CommandLine, WhatHasGoneIsNeitherExportedNorMeasuredTo) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const fs::path raster = folder_.path() / "flat" / "grid.pgm";
  std::string bytes = content(raster);
  const std::size_t header = bytes.find("255\n") + 4;
  for (std::size_t i = header; i < bytes.size(); ++i) bytes[i] = '\xff';
  std::ofstream(raster, std::ios::binary) << bytes;
  const Outcome exported = run("export flat --out hand");
  EXPECT_EQ(exported.status, 0) << exported.err;
  EXPECT_EQ(exported.err.rfind("0 walls in hand (simulated).\nNot among them: ", 0), 0U) << exported.err;
  const Outcome measured = run("measure flat -1.5,0.5 2.9,0.6");
  EXPECT_EQ(measured.status, 1);
  EXPECT_NE(measured.err.find("Not measured to: "), std::string::npos) << measured.err;
}

TEST_F(CommandLine, ATableThatCannotBeWrittenIsNoSuccess) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  for (const std::string command : {"measure flat --room 0.5,0.4", "compare flat", "--help"}) {
    const Outcome full = run(command, "sh -c '\"$@\" >/dev/full' sh");
    EXPECT_EQ(full.status, 2) << command << full.err;
    EXPECT_NE(full.err.find("wainscot: standard output cannot be written"), std::string::npos) << full.err;
  }
}

TEST_F(CommandLine, HelpHasAnExampleForEveryCommand) {
  EXPECT_EQ(run("--version").out, "wainscot " WAINSCOT_VERSION "\n");
  for (const std::string command : {"", "build ", "calibrate ", "compare ", "draw ", "explain ", "export ", "extend ",
                                    "locate ", "measure ", "simulate "}) {
    const Outcome help = run(command + "--help");
    EXPECT_EQ(help.status, 0);
    EXPECT_EQ(help.err, "");
    const std::size_t example = help.out.find("Example:\n  wainscot " + command);
    EXPECT_NE(example, std::string::npos) << command;
    EXPECT_EQ(help.out.find("Example:", example + 1), std::string::npos) << command;  // one, and its own
  }
}

TEST_F(CommandLine, WrongCommandLines) {
  expect_refused("", 2, "no command was given; see wainscot --help");
  expect_refused("buidl drive --out flat", 2, "no command buidl; did you mean build?");
  expect_refused("build drive --otu flat", 2, "no option --otu; did you mean --out?");
  expect_refused("build drive --out flat --repalce", 2, "did you mean --replace?");
  expect_refused("--verison", 2, "did you mean --version?");
  expect_refused("build drive", 2, "--out");
  expect_refused("build --out flat", 2, "DRIVE");
  expect_refused("build drive --out", 2, "--out");
  expect_refused("build my drive --out flat", 2, "one word too many");
  expect_refused("build drive --out flat --cell-size 7", 2, "0.01 to 0.5");
  expect_refused("build drive --out flat --cell-size nan", 2, "0.01 to 0.5");
  expect_refused("build drive --out flat --cell-size 5cm", 2, "0.01 to 0.5");
  expect_refused("build drive --out flat --threads 0", 2, "--threads");
  expect_refused("build drive --out flat --threads two", 2, "--threads");
  expect_refused("compare absent --truth drive/truth.csv", 2, "absent: is not there");
  expect_refused("draw drive --out plan.png", 2, "drive: is the folder of a drive, not of a map");
}

TEST_F(CommandLine, HelpIsAWordToo) {
  EXPECT_EQ(run("help").out, run("--help").out);
  EXPECT_EQ(run("help draw").out, run("draw --help").out);
  EXPECT_NE(run("help draw").out.find("PICTURE.png"), std::string::npos);
}

TEST_F(CommandLine, NothingIsOverwrittenUnlessTold) {
  ASSERT_EQ(run("simulate --random-house 3 --write-plan plan.yaml").status, 0);
  const std::string plan = content(folder_.path() / "plan.yaml");
  expect_refused("simulate --random-house 4 --write-plan plan.yaml", 2, "plan.yaml: exists already; give --replace");
  expect_refused("simulate --random-house 4 --surfaces plan.yaml", 2, "plan.yaml: exists already; give --replace");
  expect_refused("build drive --out flat --timings plan.yaml", 2, "plan.yaml: exists already; give --replace");
  EXPECT_EQ(content(folder_.path() / "plan.yaml"), plan);
  EXPECT_EQ(run("simulate --random-house 4 --write-plan plan.yaml --replace").status, 0);
  EXPECT_NE(content(folder_.path() / "plan.yaml"), plan);
}

TEST_F(CommandLine, WishesThatContradictEachOther) {
  expect_refused("simulate --random-house 3 --form wheels,odometry --out d", 2, "not both");
  expect_refused("simulate --random-house 3 --form scans,returns --out d", 2, "not both");
  expect_refused("simulate --random-house 3 --perfect --calibrated --out d", 2, "excludes");
  expect_refused("simulate --random-house 3 --seed -1 --out d", 2, "-1 is not a whole number");
  expect_refused("simulate --random-house 3 --out nowhere/d", 2, "nowhere/d: cannot be written");
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("draw flat --out flat.jpg", 2, "end in .png or .svg");
}

}  // namespace
}  // namespace wainscot
