// Logs of invented layouts from simulated drives, converted by the guess alone: how many come out right, and whether
// a doubt is named where one does not. Not a timed test.
//
//   build/tests/bench/convert_guess --developing
//   build/tests/bench/convert_guess --first 101 --logs 40

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "tests/bench/conversion_score.hpp"
#include "tests/bench/invented_log.hpp"
#include "tests/bench/temporary_folder.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  bool developing = false;
  std::uint64_t first = 101;
  int logs = 40;
  int jobs = 2;
  double seconds = 100.0;
  bool tell = false;
  std::string keep;
};

struct Line {
  std::string layout;
  ConversionScore score;
  bool wheels_named = false;
};

Line score_seed(std::uint64_t seed, const Options& options) {
  const TemporaryFolder temporary;
  const std::filesystem::path logs =
      options.keep.empty() ? temporary.path() / "logs" : std::filesystem::path(options.keep) / fmt::format("{}", seed);
  std::filesystem::create_directories(logs);
  std::filesystem::create_directories(temporary.path() / "drive");
  const InventedLog log = write_invented_log(seed, !options.developing, options.seconds, logs);
  return {log.layout, score_guess(log, temporary.path() / "drive"), log.wheels_named};
}

const char* verdict(const ConversionScore& score) {
  if (score.is_right()) return score.guess.has_doubts() ? "right, with doubts" : "right";
  if (!score.failure.empty()) return "NO DRIVE";
  return score.is_doubted() ? "wrong, doubted" : "WRONG, NO DOUBT NAMED";
}

std::string text_of(std::uint64_t seed, const Line& line, bool tell) {
  std::string text =
      fmt::format("{:>4}  {:<22} {:.1f} s  {}\n", seed, verdict(line.score), line.score.guess_s, line.layout);
  if (!line.score.failure.empty()) text += "        " + line.score.failure + "\n";
  for (const ConversionFault& fault : line.score.faults) {
    text += fmt::format("        {}{}{}\n", fault.what, fault.doubted ? " (doubted)" : "",
                        fault.in_mirror ? " (nothing tells)" : "");
  }
  for (const GuessedItem& item : line.score.guess.items) {
    if (!tell && item.percent >= kSurePercent) continue;
    text += fmt::format("        . {}: {} ({} %): {}\n", item.what, item.value, item.percent, item.why);
  }
  return text;
}

void print_sums(const std::vector<Line>& lines) {
  int right = 0, plain = 0, doubted = 0, untold = 0, wrong = 0, none = 0;
  for (const Line& line : lines) {
    const ConversionScore& score = line.score;
    right += score.is_right() ? 1 : 0;
    plain += score.is_right() && !score.guess.has_doubts() ? 1 : 0;
    none += score.failure.empty() ? 0 : 1;
    doubted += score.is_doubted() ? 1 : 0;
    untold += score.is_doubted() && score.faults.front().in_mirror ? 1 : 0;
    wrong += score.failure.empty() && !score.is_right() && !score.is_doubted() ? 1 : 0;
  }
  fmt::print(
      "Simulated: {} logs; {} converted right ({:.1f} %), {} of them without any doubt; {} wrong with the doubt named, "
      "of "
      "these {} where nothing in the log tells; {} wrong without; {} not converted\n",
      lines.size(), right, 100.0 * right / static_cast<double>(lines.size()), plain, doubted, untold, wrong, none);
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Converts logs of invented layouts by the guess alone and compares with the drives they are from.");
  app.add_flag("--developing", options.developing, "seeds 1 to 30, with the names that the guess was developed with");
  app.add_option("--first", options.first, "the first layout's seed")->capture_default_str();
  app.add_option("--logs", options.logs, "how many")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--jobs", options.jobs, "logs at a time")->capture_default_str()->check(CLI::Range(1, 64));
  app.add_option("--seconds", options.seconds, "of each drive")->capture_default_str();
  app.add_option("--keep", options.keep, "a folder that the logs are left in");
  app.add_flag("--tell", options.tell, "print all that was guessed, not the doubts alone");
  CLI11_PARSE(app, argc, argv);
  if (options.developing && app.count("--first") == 0) options.first = 1;
  if (options.developing && app.count("--logs") == 0) options.logs = 30;
  std::vector<Line> lines(static_cast<std::size_t>(options.logs));
  std::atomic<std::size_t> next{0};
  std::mutex talk;
  const auto work = [&] {
    for (std::size_t i = next++; i < lines.size(); i = next++) {
      const std::uint64_t seed = options.first + i;
      lines[i] = score_seed(seed, options);
      const std::lock_guard<std::mutex> lock(talk);
      fmt::print("{}", text_of(seed, lines[i], options.tell));
    }
  };
  std::vector<std::thread> threads;
  for (int job = 0; job < options.jobs; ++job) threads.emplace_back(work);
  for (std::thread& thread : threads) thread.join();
  print_sums(lines);
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
