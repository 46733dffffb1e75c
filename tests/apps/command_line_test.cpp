// What all commands share: the line that a user writes, help, and that nothing is overwritten unasked.

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

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
  for (const std::string command : {"", "build ", "calibrate ", "compare ", "convert ", "draw ", "explain ", "export ",
                                    "extend ", "locate ", "measure ", "simulate "}) {
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
  expect_refused("build drive --out", 2, "--out");
  expect_refused("build my drive --out flat", 2, "one word too many");
}

TEST_F(CommandLine, HelpIsAWordToo) {
  EXPECT_EQ(run("help").out, run("--help").out);
  EXPECT_EQ(run("help draw").out, run("draw --help").out);
  EXPECT_EQ(run("version").out, run("--version").out);
  expect_refused("help nosuch", 2, "there is no command nosuch");
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

// Under the names that a killed run could have left, where a run cleans up before it writes.
TEST_F(CommandLine, NothingIsDeletedThroughALink) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  write_calibration_runs(folder_.path() / "runs");
  const fs::path precious = folder_.path() / "precious";
  fs::create_directory(precious);
  for (const char* name : {"grid.pgm", "letter", "wainscot-writes-here"}) std::ofstream(precious / name) << "dear";
  for (const std::string name : {"m", "x.html", "x.svg", "x.csv", "x.yaml", "plans", "d"}) {
    for (const char* number : {"999999", "abc", "abcdef"}) {
      fs::create_symlink("precious", folder_.path() / fmt::format(".{}.writing-{}", name, number));
    }
  }
  const auto before = entries();
  for (const std::string command :
       {"build drive --out m", "explain drive --out x.html", "draw flat --out x.svg", "compare flat --csv x.csv",
        "calibrate runs --write x.yaml", "export flat --out plans", "simulate --hard-place round-room --out d"}) {
    EXPECT_EQ(run(command).status, 0) << command;
  }
  for (const std::string& entry : before) EXPECT_TRUE(fs::exists(fs::symlink_status(entry))) << entry;
  EXPECT_EQ(std::distance(fs::directory_iterator(precious), {}), 3);
}

TEST_F(CommandLine, OutputsAreLookedAtBeforeTheWork) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "there.csv") << "mine";
  expect_refused("compare flat --csv a --page a", 2, "a: is asked for twice");
  expect_refused("compare flat --csv a --svg a", 2, "a: is asked for twice");
  expect_refused("compare nowhere --csv there.csv", 2, "there.csv: exists already");
  expect_refused("draw nowhere --out nowhere/a.svg", 2, "nowhere/a.svg: cannot be written");
  expect_refused("export nowhere --out absent/plans", 2, "cannot be made");
  expect_refused("simulate --random-house 3 --out a --write-plan a", 2, "a: is asked for twice");
  expect_refused("simulate --random-house 3 --surfaces a --write-plan ./a", 2, "a: is asked for twice");
}

TEST_F(CommandLine, WishesThatContradictEachOther) {
  expect_refused("simulate --random-house 3 --form wheels,odometry --out d", 2, "not both");
  expect_refused("simulate --random-house 3 --form scans,returns --out d", 2, "not both");
  expect_refused("simulate --random-house 3 --perfect --calibrated --out d", 2, "excludes");
  expect_refused("simulate --random-house 3 --seed -1 --out d", 2, "-1 is not a whole number");
  expect_refused("simulate --random-house 3 --out nowhere/d", 2, "nowhere/d: cannot be written");
}

}  // namespace
}  // namespace wainscot
