#include "apps/compare.hpp"

#include <cstdio>
#include <filesystem>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/trajectory_error.hpp"
#include "io/number_text.hpp"
#include "io/pose_table.hpp"
#include "io/simulated_mark.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

struct CompareOptions {
  std::filesystem::path map;
  std::filesystem::path truth;
};

std::string error_row(const char* name, const TrajectoryError& error) {
  constexpr double degrees_per_radian = 57.29577951308232;
  return fmt::format("{:<15}{:>7}{:>11}{:>11}{:>11}{:>12}{:>12}\n", name, error.pairs,
                     fixed_text(1000.0 * error.position_rmse_m, 1), fixed_text(1000.0 * error.position_median_m, 1),
                     fixed_text(1000.0 * error.position_max_m, 1),
                     fixed_text(degrees_per_radian * error.heading_rmse_rad, 3),
                     fixed_text(degrees_per_radian * error.heading_max_rad, 3));
}

void run_compare(const CompareOptions& options) {
  const std::vector<TimedPose> truth = read_pose_table(options.truth);
  const std::vector<TimedPose> found = read_pose_table(options.map / "trajectory.csv");
  const std::vector<TimedPose> odometry = read_pose_table(options.map / "odometry.csv");
  TrajectoryError found_error;
  TrajectoryError odometry_error;
  TrajectoryError shape_error;
  try {
    found_error = absolute_trajectory_error(found, truth);
    odometry_error = absolute_trajectory_error(odometry, truth);
    shape_error = absolute_trajectory_error(found, truth, Alignment::with_scale);
  } catch (const std::invalid_argument&) {
    throw InputError(fmt::format("{}: its times and those of the map do not overlap; give the truth of the map's drive",
                                 printable(options.truth.string(), 300)));
  }
  if (is_marked_simulated(options.truth.parent_path()) || is_map_of_simulated_drive(options.map)) {
    fmt::print("Simulated drive: these figures say nothing of a real robot.\n");
  }
  fmt::print("Distance from the true path after rigid alignment (rotation and translation, no scale)\n\n");
  fmt::print("{:<15}{:>7}{:>33}{:>24}\n", "", "", "position, mm", "heading, deg");
  fmt::print("{:<15}{:>7}{:>11}{:>11}{:>11}{:>12}{:>12}\n", "path", "poses", "RMSE", "median", "largest", "RMSE",
             "largest");
  fmt::print("{}{}", error_row("found", found_error), error_row("odometry alone", odometry_error));
  fmt::print("\nWith a scale of {} too, the path found lies {} from the true one (RMSE).\n",
             fixed_text(shape_error.scale, 5), length_text(shape_error.position_rmse_m));
  if (found_error.outside_truth > 0) {
    fmt::print("{} lie outside the truth's times and were left out.\n", count_text(found_error.outside_truth, "pose"));
  }
}

}  // namespace

void add_compare(CLI::App& app) {
  auto options = std::make_shared<CompareOptions>();
  CLI::App* compare = app.add_subcommand("compare", "Say how far a map's path lies from the true one.");
  compare->add_option("MAP", options->map, "the folder of a map")->required();
  compare
      ->add_option("--truth", options->truth,
                   "the true path: time_s,x_m,y_m,heading_rad in any frame, from a simulator or a tracking system")
      ->type_name("FILE")
      ->required();
  compare->footer("Example:\n  wainscot compare flat --truth data/demo/drive/truth.csv");
  compare->callback([options] { run_compare(*options); });
}

}  // namespace wainscot
