#pragma once

// The real program, run as a user runs it, with a small drive: what it says, its status, and that it leaves nothing
// half-made.

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>
#include <string>
#include <vector>

#include <sys/wait.h>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"

namespace wainscot {

inline std::string content(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

struct Outcome {
  int status = 0;
  std::string out;
  std::string err;
};

/// A range from (x, y) in the direction `angle_rad` to the walls of a room from (-1.5, -1) to (3, 2).
inline double range_in_room(double x, double y, double angle_rad) {
  const double dx = std::cos(angle_rad);
  const double dy = std::sin(angle_rad);
  const double along_x = dx > 0.0 ? (3.0 - x) / dx : (-1.5 - x) / dx;
  const double along_y = dy > 0.0 ? (2.0 - y) / dy : (-1.0 - y) / dy;
  return std::min(std::isfinite(along_x) ? along_x : 1e9, std::isfinite(along_y) ? along_y : 1e9);
}

/// The scans of the room with a wall across one corner, without which it would look the same from both ends.
inline std::string scans_of_cut_room(int count) {
  std::string text = "time_s";
  for (int beam = 0; beam < 120; ++beam) text += fmt::format(",{}", 3 * beam);
  for (int i = 0; i < count; ++i) {
    const double time_s = 0.2 + 0.1 * i;
    text += fmt::format("\n{:.1f}", time_s);
    for (int beam = 0; beam < 120; ++beam) {
      const double angle = 3 * beam * std::acos(-1.0) / 180.0;
      const double towards = std::cos(angle) + std::sin(angle);  // the corner; the wall stands where x + y = 3.5
      const double cut = towards > 1e-9 ? (3.5 - 0.25 * time_s) / towards : 1e9;
      text += fmt::format(",{:.3f}", std::min(cut, range_in_room(0.25 * time_s, 0.0, angle)));
    }
  }
  return text + "\n";
}

inline std::string replaced(std::string text, const std::string& old_text, const std::string& new_text) {
  return text.replace(text.find(old_text), old_text.size(), new_text);
}

/// As if a second drive had joined the map `flat`: the first one's path again, a metre to the left.
inline void add_second_drive(const std::filesystem::path& map) {
  for (const char* name : {"trajectory.csv", "odometry.csv"}) {
    std::istringstream rows(content(map / name));
    std::ofstream file(map / name, std::ios::app);
    std::string row;
    std::getline(rows, row);
    while (std::getline(rows, row)) {
      std::istringstream cells(row);
      std::array<std::string, 4> cell;
      for (std::string& text : cell) std::getline(cells, text, ',');
      file << fmt::format("{},{},{:.6f},{},2\n", cell[0], cell[1], std::stod(cell[2]) + 1.0, cell[3]);
    }
  }
}

/// As if a later drive had found all of a map's walls gone: its grid becomes free floor.
inline void take_all_walls_away(const std::filesystem::path& map) {
  const std::filesystem::path raster = map / "grid.pgm";
  std::string bytes = content(raster);
  const std::size_t header = bytes.find("255\n") + 4;
  for (std::size_t i = header; i < bytes.size(); ++i) bytes[i] = '\xff';
  std::ofstream(raster, std::ios::binary) << bytes;
}

/// Runs with a tape, for calibrate, of a robot with 1.0e-4 m a tick and a width of 0.3 m.
inline void write_calibration_runs(const std::filesystem::path& folder) {
  std::filesystem::create_directory(folder);
  std::ofstream(folder / "robot.yaml") << "wainscot_robot: 1\ndrive:\n  left_m_per_tick: 1.1e-4\n"
                                          "  right_m_per_tick: 1.1e-4\n  track_width_m: 0.28\n";
  std::ofstream(folder / "runs.csv") << "run,surface,forward_m,left_m,turn_deg,left_ticks,right_ticks\n"
                                        "ahead-1,wood,2.001,0.002,0.1,20000,20005\n"
                                        "ahead-2,wood,1.999,-0.003,-0.1,20000,19995\n"
                                        "left-1,wood,,,360.2,-9425,9425\nright-1,wood,,,-359.7,9425,-9425\n"
                                        "left-2,wood,,,720.3,-18850,18850\nright-2,wood,,,-719.6,18850,-18850\n";
}

class CommandLine : public testing::Test {
 protected:
  CommandLine() {
    std::filesystem::create_directory(drive_);
    write("robot.yaml",
          "# simulated\nwainscot_robot: 1\ndrive:\n  left_m_per_tick: 0.001\n  right_m_per_tick: 0.001\n"
          "  track_width_m: 0.3\nlidar:\n  sweep_s: 0\n");
    write("wheels.csv", wheels());
    write("scans.csv", scans(drive_scans, true));
    write("truth.csv", truth());
  }

  static constexpr int drive_scans = 40;

  /// 0.25 m/s straight on, for 4.5 s.
  static std::string wheels() {
    std::string text = "time_s,left_ticks,right_ticks\n";
    for (int i = 0; i <= 90; ++i) {
      text += fmt::format("{:.2f},{},{}\n", 0.05 * i, std::lround(12.5 * i), std::lround(12.5 * i));
    }
    return text;
  }
  /// Ten scans a second from 0.2 s on, 120 beams each, of a room or of nothing.
  static std::string scans(int count, bool room) {
    std::string text = "time_s";
    for (int beam = 0; beam < 120; ++beam) text += fmt::format(",{}", 3 * beam);
    text += "\n";
    for (int i = 0; i < count; ++i) {
      const double time_s = 0.2 + 0.1 * i;
      text += fmt::format("{:.1f}", time_s);
      for (int beam = 0; beam < 120; ++beam) {
        text +=
            room ? fmt::format(",{:.3f}", range_in_room(0.25 * time_s, 0.0, 3 * beam * std::acos(-1.0) / 180.0)) : ",";
      }
      text += "\n";
    }
    return text;
  }
  static std::string truth() {
    std::string text = "# simulated\ntime_s,x_m,y_m,heading_rad\n";
    for (int i = 0; i <= 9; ++i) text += fmt::format("{:.1f},{:.3f},5,0\n", 0.5 * i, 0.125 * i);
    return text;
  }

  void write(const std::string& name, const std::string& text) const {
    std::ofstream(drive_ / name, std::ios::binary) << text;
  }
  std::string read(const std::string& name) const { return content(drive_ / name); }
  void replace(const std::string& name, const std::string& old_text, const std::string& new_text) const {
    std::string text = read(name);
    const std::size_t at = text.find(old_text);
    ASSERT_NE(at, std::string::npos) << old_text;
    write(name, text.replace(at, old_text.size(), new_text));
  }

  /// Runs `wainscot ARGUMENTS` in the test's folder, after shell commands that end in ";".
  Outcome run(const std::string& arguments, const std::string& before = "") const {
    const std::filesystem::path out = logs_.path() / "out";
    const std::filesystem::path err = logs_.path() / "err";
    const std::string command = fmt::format("cd '{}'; {} '{}' {} >'{}' 2>'{}' </dev/null", folder_.path().string(),
                                            before, WAINSCOT_PROGRAM, arguments, out.string(), err.string());
    const int status = std::system(command.c_str());
    return {WIFEXITED(status) ? WEXITSTATUS(status) : -1, content(out), content(err)};
  }

  /// Expects a status and one line on standard error that has `part` in it, and nothing made in the folder.
  void expect_refused(const std::string& arguments, int status, const std::string& part) const {
    const auto before = entries();
    const Outcome outcome = run(arguments);
    SCOPED_TRACE(arguments + "\n" + outcome.err);
    EXPECT_EQ(outcome.status, status);
    EXPECT_EQ(outcome.out, "");
    EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1);
    EXPECT_EQ(outcome.err.rfind("wainscot: ", 0), 0U);
    EXPECT_EQ(outcome.err.back(), '\n');
    EXPECT_NE(outcome.err.find(part), std::string::npos) << "expected: " << part;
    EXPECT_EQ(entries(), before);
  }
  void expect_build_refused(const std::string& part, int status = 2) const {
    expect_refused("build drive --out flat", status, part);
  }
  void expect_build_refused_with(const std::string& options, const std::string& part) const {
    expect_refused("build drive --out flat " + options, 2, part);
  }

  std::vector<std::string> entries() const {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder_.path()))
      names.push_back(entry.path().string());
    std::sort(names.begin(), names.end());
    return names;
  }

  ReaderFolder folder_;
  ReaderFolder logs_;
  const std::filesystem::path drive_ = folder_.path() / "drive";
};

}  // namespace wainscot
