// How fast logs are converted, in bytes of the log a second on one core, with all that is written (and brought to the
// disk) but without reading the drive back. The logs are made up here: ranges drawn at random, since only their number
// of digits matters. Beside each stands how long the same bytes take to be cut into lines, and the JSON lines to be
// parsed by another library, for comparison on the same machine.

#include <benchmark/benchmark.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <functional>
#include <random>
#include <string>
#include <string_view>
#include <vector>

#include <nlohmann/json.hpp>

#include "io/convert/columns_yaml.hpp"
#include "io/convert/drive_conversion.hpp"
#include "io/convert/log_lines.hpp"

namespace {

namespace fs = std::filesystem;

constexpr int kTurns = 6000;  // ten minutes at 10 Hz
constexpr int kBeams = 360;

std::string text_of(const char* form, double value) {
  char text[32];
  std::snprintf(text, sizeof(text), form, value);
  return text;
}

struct MadeLog {
  std::string columns;
  std::string text;
};

const char* const kOfScans = "  first_angle: 0 deg\n  angle_step: 1 deg\n";

/// A line a message, millimetres and milliseconds, or metres and seconds, which are copied.
MadeLog messages(bool converted) {
  MadeLog log;
  const std::string time = converted ? "  time: {column: 2, unit: ms}\n" : "  time: {column: 2, unit: s}\n";
  log.columns = "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: commas}\nwheels:\n  where: {1: W}\n" + time +
                "  left: {column: 3}\n  right: {column: 4}\nscans:\n  where: {1: S}\n" + time +
                "  ranges: {from: 3, unit: " + (converted ? "mm" : "m") + "}\n" + kOfScans;
  std::mt19937 random(1);
  std::uniform_real_distribution<double> range(0.2, 7.9);
  const double to_log = converted ? 1000.0 : 1.0;
  const char* const range_form = converted ? "%.0f" : "%.3f";
  for (int i = 0; i < kTurns; ++i) {
    for (int w = 0; w < 5; ++w) {
      log.text += "W," + text_of("%.3f", to_log * (0.1 * i + 0.02 * w)) + "," + std::to_string(70 * (5 * i + w)) + "," +
                  std::to_string(68 * (5 * i + w)) + "\n";
    }
    log.text += "S," + text_of("%.3f", to_log * 0.1 * i);
    for (int k = 0; k < kBeams; ++k) log.text += "," + text_of(range_form, to_log * range(random));
    log.text += "\n";
  }
  return log;
}

/// A table with a line a beam.
MadeLog beams() {
  MadeLog log;
  log.columns =
      "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: commas, header: true}\nreturns:\n"
      "  time: {column: ms, unit: ms}\n  angle: {column: deg, unit: deg}\n  range: {column: mm, unit: mm}\n";
  log.text = "ms,deg,mm\n";
  std::mt19937 random(1);
  std::uniform_real_distribution<double> range(200, 7900);
  for (int i = 0; i < kTurns * kBeams / 2; ++i) {
    log.text += text_of("%.2f", 100.0 * i / kBeams) + "," + text_of("%.2f", 360.0 * (i % kBeams) / kBeams) + "," +
                text_of("%.0f", range(random)) + "\n";
  }
  return log;
}

MadeLog json_lines() {
  MadeLog log;
  log.columns =
      "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: json}\nwheels:\n  where: {kind: wheels}\n"
      "  time: {column: t, unit: s}\n  left: {column: ticks.left}\n  right: {column: ticks.right}\n"
      "scans:\n  where: {kind: turn}\n  time: {column: t, unit: s}\n  ranges: {from: lidar.mm, unit: mm}\n" +
      std::string(kOfScans);
  std::mt19937 random(1);
  std::uniform_real_distribution<double> range(200, 7900);
  for (int i = 0; i < kTurns; ++i) {
    for (int w = 0; w < 5; ++w) {
      log.text += R"({"kind": "wheels", "t": )" + text_of("%.3f", 0.1 * i + 0.02 * w) + R"(, "ticks": {"left": )" +
                  std::to_string(70 * i) + R"(, "right": )" + std::to_string(68 * i) + "}}\n";
    }
    log.text += R"({"kind": "turn", "t": )" + text_of("%.3f", 0.1 * i) + R"(, "lidar": {"mm": [)";
    for (int k = 0; k < kBeams; ++k) log.text += (k > 0 ? ", " : "") + text_of("%.0f", range(random));
    log.text += "]}}\n";
  }
  return log;
}

/// A folder of its own with the log, in memory where there is such a place.
class LogFolder {
 public:
  explicit LogFolder(const MadeLog& log) {
    const fs::path memory = "/dev/shm";
    path_ = (fs::is_directory(memory) ? memory : fs::temp_directory_path()) /
            ("convert_bench_" + std::to_string(std::random_device{}()));
    fs::create_directory(path_);
    std::ofstream(path_ / "a.log", std::ios::binary) << log.text;
  }
  ~LogFolder() { fs::remove_all(path_); }
  LogFolder(const LogFolder&) = delete;
  LogFolder& operator=(const LogFolder&) = delete;
  fs::path log() const { return path_ / "a.log"; }
  fs::path drive() const { return path_ / "drive"; }

 private:
  fs::path path_;
};

void set_bytes(benchmark::State& state, const MadeLog& log) {
  state.SetBytesProcessed(static_cast<std::int64_t>(log.text.size()) * state.iterations());
}

void convert(benchmark::State& state, const MadeLog& log) {
  const LogFolder folder(log);
  const wainscot::LogColumns columns = wainscot::parse_columns_yaml(log.columns, "columns.yaml");
  for (auto _ : state) {
    fs::create_directory(folder.drive());
    wainscot::convert_logs(columns, {folder.log()}, folder.drive());
    fs::remove_all(folder.drive());
  }
  set_bytes(state, log);
}
BENCHMARK_CAPTURE(convert, messages_converted, messages(true))->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(convert, messages_copied, messages(false))->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(convert, line_a_beam, beams())->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(convert, json_lines, json_lines())->Unit(benchmark::kMillisecond);

void for_each_line(const LogFolder& folder, const std::function<void(std::string_view)>& use) {
  std::vector<std::string> warnings;
  wainscot::LogLines lines(folder.log(), warnings);
  std::string_view line;
  while (lines.next(line)) use(line);
}

void cut_into_lines(benchmark::State& state, const MadeLog& log) {
  const LogFolder folder(log);
  for (auto _ : state) {
    std::size_t bytes = 0;
    for_each_line(folder, [&bytes](std::string_view line) { bytes += line.size(); });
    benchmark::DoNotOptimize(bytes);
  }
  set_bytes(state, log);
}
BENCHMARK_CAPTURE(cut_into_lines, messages, messages(true))->Unit(benchmark::kMillisecond);

void parse_by_another_library(benchmark::State& state, const MadeLog& log) {
  const LogFolder folder(log);
  for (auto _ : state) {
    for_each_line(folder, [](std::string_view line) { benchmark::DoNotOptimize(nlohmann::json::parse(line)); });
  }
  set_bytes(state, log);
}
BENCHMARK_CAPTURE(parse_by_another_library, json_lines, json_lines())->Unit(benchmark::kMillisecond);

}  // namespace
