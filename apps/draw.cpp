#include "apps/draw.hpp"

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string_view>
#include <vector>

#include "core/occupancy_grid.hpp"
#include "io/grid_reader.hpp"
#include "io/map_picture.hpp"
#include "io/pose_table.hpp"
#include "io/simulated_mark.hpp"
#include "io/whole_file.hpp"

namespace wainscot {
namespace {

struct DrawOptions {
  std::filesystem::path map;
  std::filesystem::path out;
  int width_px = 1400;
  bool no_odometry = false;
  bool replace = false;
};

std::vector<Pose2> poses_of(const std::vector<TimedPose>& timed) {
  std::vector<Pose2> poses;
  poses.reserve(timed.size());
  for (const TimedPose& row : timed) poses.push_back(row.pose);
  return poses;
}

void run_draw(const DrawOptions& options) {
  const OccupancyGrid grid = read_grid(options.map);
  PictureOptions picture_options;
  picture_options.width_px = options.width_px;
  picture_options.odometry = !options.no_odometry;
  picture_options.simulated = is_map_of_simulated_drive(options.map);
  const std::vector<std::uint8_t> picture =
      map_picture_png(grid, poses_of(read_pose_table(options.map / "trajectory.csv")),
                      poses_of(read_pose_table(options.map / "odometry.csv")), picture_options);
  write_whole_file(options.out, {reinterpret_cast<const char*>(picture.data()), picture.size()}, options.replace);
}

}  // namespace

void add_draw(CLI::App& app) {
  auto options = std::make_shared<DrawOptions>();
  CLI::App* draw = app.add_subcommand("draw", "Draw a map with both paths and a scale bar as a PNG picture.");
  draw->add_option("MAP", options->map, "the folder of a map")->required();
  draw->add_option("--out", options->out, "the picture, to be made")->type_name("PICTURE.png")->required();
  draw->add_option("--width", options->width_px, "about how many pixels wide")
      ->type_name("PIXELS")
      ->check(CLI::Range(300, 10000))
      ->capture_default_str();
  draw->add_flag("--no-odometry", options->no_odometry, "leave out the path by odometry alone");
  draw->add_flag("--replace", options->replace, "replace the file that stands at --out");
  draw->footer("Example:\n  wainscot draw flat --out plan.png");
  draw->callback([options] { run_draw(*options); });
}

}  // namespace wainscot
