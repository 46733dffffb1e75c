// The real program while its writing goes wrong: each call on a file at which it can fail, be stopped or be killed, one
// after another. Always there is all of the new or all of the old, a sentence, and nothing else.

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstddef>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <sys/types.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"
#include "tests/faults/failing_calls.hpp"

int wainscot_main(int argc, char** argv);  // that of apps/main.cpp, by another name

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// Every file of a folder with its bytes, every folder in it with "/".
using Content = std::map<std::string, std::string>;

const std::string all_writing = "open,make,write,sync,rename,link";

class Faults : public CommandLine {
 protected:
  Faults() {
    // Where the tests themselves run under nohup or in the background, these are ignored, and so by the program.
    for (const int signal : {SIGINT, SIGTERM, SIGHUP}) std::signal(signal, SIG_DFL);
    // A small map whose cells differ from those that are made here, and what is handed on of it.
    EXPECT_EQ(run("build drive --out flat --quiet --cell-size 0.1").status, 0);
    EXPECT_EQ(run("build drive --out fine --quiet").status, 0);
    write_calibration_runs(folder_.path() / "runs");
  }

  /// The program's own `main` in a process of its own, which need not load the program's 150 libraries anew.
  Outcome run_with(const std::string& arguments, const Fault& fault, const fs::path& list = {}) const {
    std::cout.flush();
    std::fflush(nullptr);
    const pid_t child = ::fork();
    if (child == 0) run_here(arguments, fault, list);
    int status = 0;
    while (::waitpid(child, &status, 0) < 0 && errno == EINTR) continue;
    // As a shell says it.
    return {WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status), content(logs_.path() / "out"),
            content(logs_.path() / "err")};
  }
  Outcome run(const std::string& arguments) const { return run_with(arguments, {}); }

  [[noreturn]] void run_here(const std::string& arguments, const Fault& fault, const fs::path& list) const {
    ::alarm(200);  // should it hang
    const bool is_ready = ::chdir(folder_.path().c_str()) == 0 && std::freopen("/dev/null", "r", stdin) != nullptr &&
                          std::freopen((logs_.path() / "out").c_str(), "w", stdout) != nullptr &&
                          std::freopen((logs_.path() / "err").c_str(), "w", stderr) != nullptr;
    if (!is_ready) std::_Exit(127);
    std::istringstream text(arguments);
    std::vector<std::string> words = {"wainscot"};
    for (std::string word; text >> word;) words.push_back(word);
    std::vector<char*> argv;
    for (std::string& word : words) argv.push_back(word.data());
    argv.push_back(nullptr);
    go_wrong(fault, folder_.path().string(), list.string());
    std::exit(wainscot_main(static_cast<int>(words.size()), argv.data()));
  }
  /// How many such calls a run makes that nothing happens to.
  int count(const std::string& arguments, const std::string& calls) const {
    const fs::path list = logs_.path() / "list";
    fs::remove(list);
    EXPECT_EQ(run_with(arguments, {calls, "0", ""}, list).status, 0) << arguments;
    const std::string lines = content(list);
    return static_cast<int>(std::count(lines.begin(), lines.end(), '\n'));
  }

  Content now() const {
    Content all;
    for (const auto& entry : fs::recursive_directory_iterator(folder_.path())) {
      const std::string name = fs::relative(entry.path(), folder_.path()).string();
      all[name] = entry.is_directory() ? "/" : content(entry.path());
    }
    return all;
  }
  void restore(const Content& all) const {
    if (now() == all) return;
    for (const auto& entry : fs::directory_iterator(folder_.path())) fs::remove_all(entry.path());
    for (const auto& [name, bytes] : all) {
      if (bytes == "/") {
        fs::create_directory(folder_.path() / name);
      } else {
        std::ofstream(folder_.path() / name, std::ios::binary) << bytes;
      }
    }
  }
  /// Without what stands under hidden names.
  static Content seen(const Content& all) {
    Content some;
    for (const auto& [name, bytes] : all) {
      if (name.find("/.") == std::string::npos && name.front() != '.') some[name] = bytes;
    }
    return some;
  }

  /// What the command makes of what is there.
  Content made_by(const std::string& arguments) const {
    const Content before = now();
    EXPECT_EQ(run(arguments).status, 0) << arguments;
    Content after = now();
    EXPECT_NE(before, after);
    restore(before);
    return after;
  }

  /// A sentence, and all that was there; or all that is made.
  void expect_all_or_none(const Outcome& outcome, const Content& before, const Content& after) const {
    const Content found = now();
    if (outcome.status == 0) {
      EXPECT_TRUE(found == after) << "status 0, and not all is made\n" << names(found);
      return;
    }
    EXPECT_TRUE(outcome.status == 1 || outcome.status == 2) << outcome.status;
    EXPECT_TRUE(found == before) << "something is left or lost\n" << names(found);
    const std::size_t sentence = outcome.err.rfind("wainscot: ");
    ASSERT_NE(sentence, std::string::npos);
    EXPECT_EQ(outcome.err.find('\n', sentence), outcome.err.size() - 1);
    EXPECT_EQ(outcome.err.find("fault of its own"), std::string::npos);
  }
  static std::string names(const Content& all) {
    std::string text;
    for (const auto& [name, bytes] : all) text += fmt::format("{} ({} bytes)\n", name, bytes.size());
    return text;
  }

  /// Each call fails once: the disk is full, or broken, by turns.
  void survive_errors(const std::string& arguments, const std::string& kinds = all_writing) const {
    const Content before = now();
    const Content after = made_by(arguments);
    const int calls = count(arguments, kinds);
    restore(before);
    for (int call = 1; call <= calls; ++call) {
      const char* const error = call % 2 == 0 ? "ENOSPC" : "EIO";
      const Outcome outcome = run_with(arguments, {kinds, std::to_string(call), error});
      SCOPED_TRACE(fmt::format("{} with {} at call {}\n{}", arguments, error, call, outcome.err));
      expect_all_or_none(outcome, before, after);
      restore(before);
    }
    std::cout << fmt::format("{}: {} calls failed, one a run\n", arguments, calls);
  }

  /// Killed before each call that makes, renames or removes something: then all of the old is there or all of the new,
  /// and the next run makes the rest and leaves nothing.
  void survive_kills(const std::string& arguments) const {
    const std::string kinds = "open,make,rename,link,remove";
    const Content before = now();
    const Content after = made_by(arguments);
    const int calls = count(arguments, kinds);
    restore(before);
    for (int call = 1; call <= calls; ++call) {
      SCOPED_TRACE(fmt::format("{} killed at call {}", arguments, call));
      run_with(arguments, {kinds, std::to_string(call), "SIGKILL"});
      const Content found = seen(now());
      EXPECT_TRUE(found == seen(before) || found == seen(after)) << names(found);
      const Outcome next = run(arguments);
      EXPECT_TRUE(next.status == 0 || found == seen(after)) << next.err;
      EXPECT_TRUE(now() == after) << names(now());
      restore(before);
    }
    std::cout << fmt::format("{}: {} kills\n", arguments, calls);
  }

  /// The same where names beside each other are taken one after another, each file whole; with --replace the next run
  /// makes all of them anew.
  void survive_kills_between(const std::string& arguments) const {
    const Content before = now();
    const Content after = made_by(arguments);
    const int calls = count(arguments, "rename,link");
    restore(before);
    for (int call = 1; call <= calls; ++call) {
      SCOPED_TRACE(fmt::format("{} killed at call {}", arguments, call));
      run_with(arguments, {"rename,link", std::to_string(call), "SIGKILL"});
      for (const auto& [name, bytes] : seen(now())) {
        const bool is_whole =
            (before.count(name) > 0 && before.at(name) == bytes) || (after.count(name) > 0 && after.at(name) == bytes);
        EXPECT_TRUE(is_whole) << name;
      }
      EXPECT_EQ(run(arguments + " --replace").status, 0);
      EXPECT_TRUE(now() == after) << names(now());
      restore(before);
    }
    std::cout << fmt::format("{}: {} kills\n", arguments, calls);
  }

  /// How often a run asks for memory.
  int count_memory(const std::string& arguments) const {
    const Content before = now();
    const fs::path list = logs_.path() / "list";
    fs::remove(list);
    EXPECT_EQ(run_with(arguments, {"memory", "0", ""}, list).status, 0);
    restore(before);
    return std::stoi(content(list).substr(std::string("memory ").size()));
  }

  /// No memory at one of some thousand calls for it, a run: at a few throughout, and at many towards the end, where
  /// files are written. A shortage after that ends with a sentence though all is made; one in a destructor leaves what
  /// a kill leaves, which the next run removes.
  void survive_shortages(const std::string& arguments) const {
    const Content before = now();
    const Content after = made_by(arguments);
    const int calls = count_memory(arguments);
    int runs = 0;
    for (int call = 1; call <= calls; ++runs) {
      const Outcome outcome = run_with(arguments, {"memory", std::to_string(call), ""});
      SCOPED_TRACE(fmt::format("{} without memory at call {}\n{}", arguments, call, outcome.err));
      const Content found = now();
      if (outcome.status != 0 && found != seen(found)) {
        EXPECT_TRUE(seen(found) == before) << "something is left or lost\n" << names(found);
        EXPECT_NE(outcome.err.find("wainscot: there is not enough memory; close other programs"), std::string::npos);
        EXPECT_EQ(run(arguments).status, 0);
        EXPECT_TRUE(now() == after) << names(now());
      } else {
        expect_all_or_none(outcome, outcome.status != 0 && found == after ? after : before, after);
      }
      restore(before);
      const int last_part = std::max(1, calls - 400);
      call = call < last_part ? std::min(call + calls / 12, last_part) : call + 11;
    }
    std::cout << fmt::format("{}: {} shortages\n", arguments, runs);
  }

  /// A signal before each call.
  void survive_stops(const std::string& arguments) const {
    const std::string kinds = "open,make,rename,link,sync,remove";
    const std::vector<std::pair<const char*, int>> signals = {
        {"SIGINT", SIGINT}, {"SIGTERM", SIGTERM}, {"SIGHUP", SIGHUP}};
    const Content before = now();
    const Content after = made_by(arguments);
    const int calls = count(arguments, kinds);
    restore(before);
    for (int call = 1; call <= calls; ++call) {
      const auto& [name, number] = signals[static_cast<std::size_t>(call) % signals.size()];
      const Outcome outcome = run_with(arguments, {kinds, std::to_string(call), name});
      SCOPED_TRACE(fmt::format("{} with {} at call {}\n{}", arguments, name, call, outcome.err));
      EXPECT_EQ(outcome.status, 128 + number);
      const std::string line = fmt::format("wainscot: stopped by {}; nothing half-written is left\n", name);
      EXPECT_TRUE(outcome.err.ends_with(line));
      const Content found = now();
      EXPECT_TRUE(found == before || found == after) << names(found);
      restore(before);
    }
    std::cout << fmt::format("{}: {} signals\n", arguments, calls);
  }
};

const std::string build = "build drive --out m --quiet";
const std::string replacing_build = "build drive --out flat --quiet --replace";
const std::string export_plans = "export fine --out plans --clearance tif";
const std::string calibrate = "calibrate runs --write new.yaml --c-header wheels.h";
const std::string compare = "compare fine --csv a.csv --json a.json --page a.html --svg plots";

TEST_F(Faults, BuildSurvivesErrors) { survive_errors(build); }
TEST_F(Faults, BuildSurvivesKills) { survive_kills(build); }
TEST_F(Faults, BuildThatReplacesSurvivesErrors) { survive_errors(replacing_build); }
TEST_F(Faults, BuildThatReplacesSurvivesKills) { survive_kills(replacing_build); }
TEST_F(Faults, BuildThatReplacesSurvivesStops) { survive_stops(replacing_build); }

TEST_F(Faults, ExportSurvives) {
  survive_errors(export_plans);
  survive_stops(export_plans);
}

/// The plans of another map, with a letter among them.
TEST_F(Faults, ExportThatReplacesSurvives) {
  ASSERT_EQ(run("export flat --out plans").status, 0);
  std::ofstream(folder_.path() / "plans" / "letter") << "dear";
  survive_errors(export_plans + " --replace");
  survive_kills(export_plans + " --replace");
}

const std::string convert = "convert wheels.log turns.log --columns columns.yaml --robot drive/robot.yaml --out mine";

TEST_F(Faults, ConvertSurvives) {
  fs::copy_file(drive_ / "wheels.csv", folder_.path() / "wheels.log");
  fs::copy_file(drive_ / "scans.csv", folder_.path() / "turns.log");
  std::ofstream(folder_.path() / "columns.yaml")
      << "wainscot_columns: 1\nfiles:\n  - {name: wheels.log, lines: commas, header: true}\n"
         "  - {name: turns.log, lines: commas, header: true}\n"
         "wheels:\n  file: wheels.log\n  time: {column: time_s, unit: s}\n  left: {column: left_ticks}\n"
         "  right: {column: right_ticks}\n"
         "scans:\n  file: turns.log\n  time: {column: time_s, unit: s}\n  ranges: {from: '0', unit: m}\n"
         "  first_angle: 0 deg\n  angle_step: 3 deg\n";
  survive_errors(convert);
  survive_kills(convert);
  survive_stops(convert);
  ASSERT_EQ(run(convert).status, 0);
  std::ofstream(folder_.path() / "mine" / "letter") << "dear";
  std::ofstream(folder_.path() / "mine" / "gyro.csv") << "of a run before";
  survive_errors(convert + " --replace");
  survive_kills(convert + " --replace");
}

TEST_F(Faults, CalibrateSurvives) {
  survive_errors(calibrate);
  survive_kills_between(calibrate);
}

TEST_F(Faults, CalibrateThatReplacesSurvives) {
  std::ofstream(folder_.path() / "new.yaml") << "old";
  std::ofstream(folder_.path() / "wheels.h") << "old";
  survive_errors(calibrate + " --replace");
  survive_stops(calibrate + " --replace");
}

TEST_F(Faults, CommandsSurviveShortages) {
  survive_shortages("draw fine --out a.svg");
  survive_shortages(calibrate);
}

// A library's destructor that wants memory: no handler in `main` sees what it throws.
TEST_F(Faults, AShortageInADestructorHasTheSameSentence) {
  survive_shortages("compare fine --json a.json");
  survive_shortages(build);
}

// The same where something else is thrown there.
TEST_F(Faults, AFaultInADestructorHasASentence) {
  const std::string arguments = "compare fine --json a.json";
  const int calls = count_memory(arguments);
  const Content before = now();
  int aborted = 0;
  for (int call = calls; call > 0 && aborted == 0; --call) {
    const Outcome outcome = run_with(arguments, {"memory", std::to_string(call), "logic_error"});
    if (outcome.status == 128 + SIGABRT) {
      ++aborted;
      EXPECT_EQ(outcome.err, "wainscot: stopped by a fault of its own; please report it with the command line\n");
    }
    restore(before);
  }
  EXPECT_EQ(aborted, 1);
}

TEST_F(Faults, CompareSurvives) {
  survive_errors(compare, "make,rename");
  survive_kills_between(compare);
}

TEST_F(Faults, DrawSurvives) {
  survive_errors("draw fine --out a.svg");
  survive_kills("draw fine --out a.svg");
  survive_stops("draw fine --out a.svg");
}

TEST_F(Faults, SimulateThatReplacesSurvives) {
  std::ofstream(folder_.path() / "plan.yaml") << "wainscot_plan: 1\nwalls:\n  - {from: [0, 0], to: [5, 0]}\n"
                                                 "route: [[1, 1], [2, 1]]\n";
  ASSERT_EQ(run("simulate plan.yaml --seed 1 --out simulated").status, 0);
  survive_errors("simulate plan.yaml --seed 2 --out simulated --replace");
  survive_kills("simulate plan.yaml --seed 2 --out simulated --replace");
}

// Another run takes the name when this one has looked at it and is writing: that one keeps it.
TEST_F(Faults, NothingIsReplacedThatCameMeanwhile) {
  const Content before = now();
  for (const std::string command : {"build drive --out m", "export fine --out m", "draw fine --out m.svg",
                                    "calibrate runs --c-header m.svg", "simulate --hard-place round-room --out m"}) {
    SCOPED_TRACE(command);
    const int renames = count(command, "rename");
    restore(before);
    const Outcome outcome = run_with(command, {"rename", std::to_string(renames), "cp -r flat m; echo mine > m.svg"});
    EXPECT_EQ(outcome.status, 2);
    EXPECT_NE(outcome.err.find("has come to be since this began, and stays as it is"), std::string::npos)
        << outcome.err;
    Content expected = before;
    for (const auto& [name, bytes] : before) {
      if (name.starts_with("flat")) expected["m" + name.substr(4)] = bytes;
    }
    expected["m.svg"] = "mine\n";
    EXPECT_TRUE(now() == expected) << names(now());
    restore(before);
  }
}

// A map that another run makes while this one is writing, before this one looks for the last time.
TEST_F(Faults, AMapThatCameMeanwhileStays) {
  const Content before = now();
  const Outcome outcome = run_with("build drive --out m --quiet", {"sync", "4", "cp -r flat m"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_NE(outcome.err.find("m: is a map already; give --replace"), std::string::npos) << outcome.err;
  EXPECT_EQ(content(folder_.path() / "m" / "grid.pgm"), content(folder_.path() / "flat" / "grid.pgm"));
}

// What comes into a map while it is replaced is not thrown away with it.
TEST_F(Faults, AFileThatComesIntoAMapMeanwhileStays) {
  const Content before = now();
  const int renames = count(replacing_build, "rename");
  restore(before);
  const Outcome outcome = run_with(replacing_build, {"rename", std::to_string(renames), "echo dear > flat/letter"});
  EXPECT_EQ(outcome.status, 2);
  EXPECT_NE(outcome.err.find("flat: something has come into it since this began"), std::string::npos) << outcome.err;
  Content expected = before;
  expected["flat/letter"] = "dear\n";
  EXPECT_TRUE(now() == expected) << names(now());
}

/// File systems on which a rename has no flags, and those that know no second links besides.
class PoorFileSystem : public Faults, public testing::WithParamInterface<const char*> {
 protected:
  Outcome run_poorly(const std::string& arguments) const { return run_with(arguments, {GetParam(), "every", "EPERM"}); }
};

INSTANTIATE_TEST_SUITE_P(Without, PoorFileSystem, testing::Values("flags", "flags,link"));

TEST_P(PoorFileSystem, NewNamesAreTaken) {
  for (const std::string& command : {build, export_plans, calibrate, compare, std::string("draw fine --out a.svg")}) {
    SCOPED_TRACE(command);
    const Content after = made_by(command);
    const Content before = now();
    const Outcome outcome = run_poorly(command);
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_TRUE(now() == after) << names(now());
    restore(before);
  }
}

TEST_P(PoorFileSystem, FilesAreReplaced) {
  ASSERT_EQ(run("export flat --out plans").status, 0);
  std::ofstream(folder_.path() / "plans" / "letter") << "dear";
  std::ofstream(folder_.path() / "new.yaml") << "old";
  for (const std::string& command : {export_plans + " --replace", calibrate + " --replace"}) {
    SCOPED_TRACE(command);
    const Content after = made_by(command);
    const Outcome outcome = run_poorly(command);
    EXPECT_EQ(outcome.status, 0) << outcome.err;
    EXPECT_TRUE(now() == after) << names(now());
  }
}

TEST_P(PoorFileSystem, AMapIsNotReplacedAndThatIsSaidBeforeTheWork) {
  const Content before = now();
  const Outcome outcome = run_poorly("build nowhere --out flat --replace");
  EXPECT_EQ(outcome.status, 2);
  EXPECT_NE(outcome.err.find("flat: cannot be written (this file system cannot exchange two folders in one step)"),
            std::string::npos)
      << outcome.err;
  EXPECT_TRUE(now() == before) << names(now());
}

TEST_P(PoorFileSystem, NothingIsReplacedThatCameMeanwhile) {
  const Content before = now();
  for (const std::string command : {"build drive --out m", "draw fine --out m.svg"}) {
    const Outcome outcome = run_with(command, {GetParam(), "1", "mkdir m; touch m/letter; echo mine > m.svg"});
    EXPECT_EQ(outcome.status, 2);
    EXPECT_NE(outcome.err.find("has come to be since this began, and stays as it is"), std::string::npos)
        << outcome.err;
    EXPECT_EQ(now().size(), before.size() + 3) << names(now());
    EXPECT_EQ(content(folder_.path() / "m.svg"), "mine\n");
    restore(before);
  }
}

}  // namespace
}  // namespace wainscot
