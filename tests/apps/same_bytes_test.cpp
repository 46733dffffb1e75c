// The same input gives the same bytes: every file and every table of every command, over two runs and at two numbers of
// threads.

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class SameBytes : public CommandLine {
 protected:
  /// All that the commands write and print, run in an empty folder: names and bytes.
  std::map<std::string, std::string> outputs(const std::string& name, int threads) const {
    const fs::path folder = folder_.path() / name;
    fs::create_directory(folder);
    const std::string with_threads = fmt::format(" --threads {}", threads);
    const std::vector<std::string> commands = {
        "simulate --random-house 3 --seed 2 --calibration-runs --out runs --write-plan plan.yaml --surfaces faces.csv",
        "build ../drive --out flat --quiet" + with_threads,
        "build ../drive --out upright --upright --no-loop-closure --quiet" + with_threads,
        "check ../drive --json --quiet" + with_threads,
        "check ../drive --quiet" + with_threads,
        "calibrate runs --write robot.yaml --c-header constants.h" + with_threads,
        "compare flat --page drift.html --csv drift.csv --json drift.json --svg plots",
        "compare flat upright --page both.html",
        "compare flat --truth ../drive/truth.csv --csv truth.csv",
        "draw flat --out flat.svg",
        "draw flat --out flat.png --width 500",
        "explain ../drive --out explain.html",
        "explain ../drive --lesson 1 --answers",
        "export flat --out plans --image tif --clearance tif",
        "export flat --out robot --image pgm --clearance pgm",
        "locate flat ../drive --all",
        "measure flat --room 0.5,0.4",
        "extend flat ../drive2 --out more --quiet" + with_threads};
    std::map<std::string, std::string> found;
    for (const std::string& command : commands) {
      const Outcome outcome = run(command, fmt::format("cd '{}';", name));
      EXPECT_NE(outcome.status, 2) << command << "\n" << outcome.err;
      const std::string without_threads = command.substr(0, command.find(with_threads));
      found[without_threads] = fmt::format("{}\n{}", outcome.status, outcome.out);
    }
    for (const auto& entry : fs::recursive_directory_iterator(folder)) {
      if (entry.is_regular_file()) found[fs::relative(entry.path(), folder).string()] = content(entry.path());
    }
    return found;
  }

  void expect_same(const std::map<std::string, std::string>& first, const std::map<std::string, std::string>& second) {
    for (const auto& [name, bytes] : first) {
      ASSERT_TRUE(second.contains(name)) << name;
      const std::string& other = second.at(name);
      const auto differs = std::mismatch(bytes.begin(), bytes.end(), other.begin(), other.end()).first;
      EXPECT_TRUE(bytes == other) << name << " differs from byte " << differs - bytes.begin() << " of " << bytes.size();
    }
    EXPECT_EQ(first.size(), second.size());
  }
};

TEST_F(SameBytes, OfEveryOutputOfEveryCommand) {
  fs::copy(drive_, folder_.path() / "drive2");
  write("robot.yaml", read("robot.yaml") + "# another day\n");
  const auto first = outputs("first", 1);
  expect_same(first, outputs("again", 1));
  expect_same(first, outputs("threads", 3));
  EXPECT_GT(first.size(), 50U);
}

}  // namespace
}  // namespace wainscot
