// How fast a drive is read, in bytes of text a second on one core, its checksum included. The drives are made up here:
// ranges drawn at random, since only their number of digits matters. The bytes
// that the drive holds for each return stand beside it.

#include <benchmark/benchmark.h>
#include <malloc.h>

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <random>
#include <string>

#include "io/checksum.hpp"
#include "io/log/drive_reader.hpp"

namespace {

namespace fs = std::filesystem;

constexpr int kScans = 3000;  // five minutes at 10 Hz

std::string format(const char* form, double value) {
  char text[32];
  std::snprintf(text, sizeof(text), form, value);
  return text;
}

void write_robot_and_wheels(const fs::path& folder) {
  std::ofstream(folder / "robot.yaml")
      << "wainscot_robot: 1\n"
         "drive: {left_m_per_tick: 8.5e-5, right_m_per_tick: 8.5e-5, track_width_m: 0.31}\n"
         "lidar: {sweep_s: 0.1}\n";
  std::ofstream wheels(folder / "wheels.csv");
  wheels << "time_s,left_ticks,right_ticks\n";
  for (int i = 0; i < kScans * 5; ++i) wheels << format("%.3f", 0.02 * i) << ',' << 70 * i << ',' << 68 * i << '\n';
}

void write_scans(const fs::path& folder, int beams, const char* range_form) {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> range(0.2, 7.9);
  std::ofstream scans(folder / "scans.csv");
  scans << "time_s";
  for (int i = 0; i < beams; ++i) scans << ',' << format("%.1f", 360.0 * i / beams);
  for (int s = 0; s < kScans; ++s) {
    scans << '\n' << format("%.4f", 0.1 * s);
    for (int i = 0; i < beams; ++i) scans << ',' << format(range_form, range(random));
  }
  scans << '\n';
}

void write_returns(const fs::path& folder, int beams) {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> range(0.2, 7.9);
  std::ofstream returns(folder / "returns.csv");
  returns << "time_s,angle_deg,range_m\n";
  for (int i = 0; i < kScans * beams; ++i) {
    returns << format("%.5f", 0.1 * i / beams) << ',' << format("%.2f", 360.0 * (i % beams) / beams) << ','
            << format("%.3f", range(random)) << '\n';
  }
}

// A folder of its own that vanishes with its owner.
class DriveFolder {
 public:
  DriveFolder() : path_(fs::temp_directory_path() / ("read_bench_" + std::to_string(std::random_device{}()))) {
    fs::create_directory(path_);
    write_robot_and_wheels(path_);
  }
  ~DriveFolder() { fs::remove_all(path_); }
  DriveFolder(const DriveFolder&) = delete;
  DriveFolder& operator=(const DriveFolder&) = delete;
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

void read(benchmark::State& state, const fs::path& folder) {
  std::size_t bytes = 0;
  for (const auto& file : fs::directory_iterator(folder)) bytes += file.file_size();
  double held_per_return = 0.0;
  for (auto _ : state) {
    const std::size_t before = mallinfo2().uordblks + mallinfo2().hblkhd;
    const wainscot::Drive drive = wainscot::read_drive(folder);
    state.PauseTiming();
    std::size_t returns = 0;
    for (const wainscot::Scan& scan : drive.scans) returns += scan.returns.size();
    held_per_return =
        static_cast<double>(mallinfo2().uordblks + mallinfo2().hblkhd - before) / static_cast<double>(returns);
    state.ResumeTiming();
  }
  state.SetBytesProcessed(static_cast<std::int64_t>(bytes) * state.iterations());
  state.counters["bytes_held_per_return"] = held_per_return;
}

void read_scans(benchmark::State& state) {
  const DriveFolder folder;
  write_scans(folder.path(), static_cast<int>(state.range(0)), state.range(1) == 3 ? "%.3f" : "%.4f");
  read(state, folder.path());
}
BENCHMARK(read_scans)
    ->ArgNames({"beams", "decimals"})
    ->ArgsProduct({{360, 720}, {3, 4}})
    ->Unit(benchmark::kMillisecond);

void read_returns(benchmark::State& state) {
  const DriveFolder folder;
  write_returns(folder.path(), 450);
  read(state, folder.path());
}
BENCHMARK(read_returns)->Unit(benchmark::kMillisecond);

void checksum(benchmark::State& state) {
  const std::string text(1 << 20, 'x');
  for (auto _ : state) benchmark::DoNotOptimize(wainscot::sha256(text));
  state.SetBytesProcessed(static_cast<std::int64_t>(text.size()) * state.iterations());
}
BENCHMARK(checksum)->Unit(benchmark::kMillisecond);

}  // namespace
