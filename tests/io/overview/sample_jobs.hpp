#pragma once

// Folders as an overview finds them, without a map having been made.

#include <filesystem>
#include <fstream>
#include <string>

#include <fmt/format.h>

#include "core/occupancy_grid.hpp"
#include "io/grid/grid_writer.hpp"
#include "io/overview/drive_row.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {

inline void write_text(const std::filesystem::path& file, const std::string& text) {
  std::filesystem::create_directories(file.parent_path());
  std::ofstream(file, std::ios::binary) << text;
}

/// Of one robot, which stated a track width of 0.29 m.
inline std::string summary_text(double width_m, const std::string& verdict = "good",
                                const std::string& warnings = "[]") {
  return fmt::format(
      R"({{"wainscot_summary":1,"verdict":"{}","verdict_reason":"because of it","drive":{{"name":"d","checksum":"abc",)"
      R"("simulated":true,"path_length_m":71.5,"duration_s":333.25}},"graph":{{"closure_edges":59}},"quality":{{)"
      R"("place_sd_m":0.003,"place_sd_worst_m":0.004,"scale_sd":0.001,"scale_set_by":"wheels"}},"constants":[)"
      R"({{"name":"lidar.x_m","unit":"m","stated":0.05,"found":0.059,"found_sd":0.0002,"observed":true}},)"
      R"({{"name":"drive.track_width_m","unit":"m","stated":0.29,"found":{},"found_sd":0.001,"observed":true}}],)"
      R"("tapes":[{{"tape_m":4.0,"without_tapes_m":4.003}},{{"tape_m":3.0,"without_tapes_m":2.996}},{{"tape_m":1.0}}],)"
      R"("warnings":{}}})",
      verdict, width_m, warnings);
}

inline std::string job_text(int status, const std::string& sentence = "") {
  return job_record_json({"1.0.0",
                          "n",
                          {"build", "--cell-size", "0.03"},
                          "/drives/n",
                          "fff",
                          "def",
                          status,
                          sentence,
                          TruthErrors{0.0021, 0.0064, 0.066}});
}

/// A grid of 200 by 100 cells, a wall along its lower edge.
inline void write_sample_grid(const std::filesystem::path& map) {
  OccupancyGrid grid{{0.05, 0, 0, 200, 100}, CellProbabilities(20'000, 0.1F)};
  for (std::size_t i = 0; i < 200; ++i) grid.probability[i] = 0.9F;
  write_text(map / "grid.pgm", grid_pgm(grid));
  write_text(map / "grid.yaml", grid_yaml(grid.frame, {}, Drives(Drive{}), {}));
}

inline void write_sample_map(const std::filesystem::path& map, double width_m, const std::string& verdict = "good",
                             const std::string& warnings = "[]") {
  write_text(map / "summary.json", summary_text(width_m, verdict, warnings));
  write_sample_grid(map);
}

/// A row as it is read of such a map.
inline DriveRow sample_row(const std::string& name, double width_m) {
  const ReaderFolder folder;
  write_text(folder.path() / name / "summary.json", summary_text(width_m));
  return read_drive_row(folder.path() / name, false);
}

}  // namespace wainscot
