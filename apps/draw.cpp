#include "apps/draw.hpp"

#include <algorithm>
#include <cctype>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/occupancy_grid.hpp"
#include "io/grid_reader.hpp"
#include "io/map_picture.hpp"
#include "io/pose_table.hpp"
#include "io/simulated_mark.hpp"
#include "io/spelling.hpp"
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

void check_name(const std::filesystem::path& out) {
  std::string ending = out.extension().string();
  std::transform(ending.begin(), ending.end(), ending.begin(), [](unsigned char c) { return std::tolower(c); });
  if (ending != ".png") {
    throw InputError(fmt::format("{}: the picture is a PNG file; let its name end in .png", printable(out.string())));
  }
}

void run_draw(const DrawOptions& options) {
  check_name(options.out);
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
