#include "io/draw/map_picture.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "io/grid/grid_writer.hpp"
#include "io/number_text.hpp"
#include "io/picture_memory.hpp"

namespace wainscot {
namespace {

// OpenCV's order: blue, green, red.
const cv::Scalar unseen_colour(0xe2, 0xe8, 0xea);
const cv::Scalar free_colour(0xff, 0xff, 0xff);
const cv::Scalar wall_colour(0x36, 0x30, 0x24);
const cv::Scalar path_colour(0x63, 0x74, 0x1a);
const cv::Scalar odometry_colour(0x2a, 0x62, 0xc4);

float probability_of(const OccupancyGrid& grid, std::int32_t column, std::int32_t row) {
  return grid.probability[static_cast<std::size_t>(row) * static_cast<std::size_t>(grid.frame.columns) +
                          static_cast<std::size_t>(column)];
}

constexpr int start_radius_px = 7;

/// A rectangle of the floor and its scale in the picture.
struct View {
  double left_m = 0.0;
  double right_m = 0.0;
  double bottom_m = 0.0;
  double top_m = 0.0;
  double pixels_per_m = 0.0;

  cv::Point2d pixel(double x_m, double y_m) const {
    return {(x_m - left_m) * pixels_per_m, (top_m - y_m) * pixels_per_m};
  }
};

/// The seen cells and the paths with a margin, on whole cells; a cell is a whole number of pixels.
View choose_view(const OccupancyGrid& grid, const std::vector<std::vector<Pose2>>& paths,
                 const PictureOptions& options) {
  const double cell_m = grid.frame.cell_size_m;
  constexpr double infinity = std::numeric_limits<double>::infinity();
  View view{infinity, -infinity, infinity, -infinity, 0.0};
  const auto include = [&view](double x_m, double y_m) {
    view.left_m = std::min(view.left_m, x_m);
    view.right_m = std::max(view.right_m, x_m);
    view.bottom_m = std::min(view.bottom_m, y_m);
    view.top_m = std::max(view.top_m, y_m);
  };
  for (std::int32_t row = 0; row < grid.frame.rows; ++row) {
    for (std::int32_t column = 0; column < grid.frame.columns; ++column) {
      if (std::isnan(probability_of(grid, column, row))) continue;
      include((grid.frame.first_column + column) * cell_m, (grid.frame.first_row + row) * cell_m);
      include((grid.frame.first_column + column + 1) * cell_m, (grid.frame.first_row + row + 1) * cell_m);
    }
  }
  for (const std::vector<Pose2>& path : paths) {
    for (const Pose2& pose : path) include(pose.x_m, pose.y_m);
  }
  if (view.left_m > view.right_m) include(0.0, 0.0);
  // Borders of cells are whole numbers of cells but for rounding, which must not add a cell.
  const auto down = [cell_m](double bound_m) { return std::floor(bound_m / cell_m + 1e-6) * cell_m; };
  view.left_m = down(view.left_m - options.margin_m);
  view.bottom_m = down(view.bottom_m - options.margin_m);
  view.right_m = -down(-view.right_m - options.margin_m);
  view.top_m = -down(-view.top_m - options.margin_m);
  const double cells_across = std::max(1.0, std::round((view.right_m - view.left_m) / cell_m));
  view.pixels_per_m = std::max(1.0, std::floor(options.width_px / cells_across)) / cell_m;
  return view;
}

void draw_grid(cv::Mat& picture, const OccupancyGrid& grid, const View& view) {
  const int cell_px = static_cast<int>(std::lround(view.pixels_per_m * grid.frame.cell_size_m));
  for (std::int32_t row = 0; row < grid.frame.rows; ++row) {
    for (std::int32_t column = 0; column < grid.frame.columns; ++column) {
      const float probability = probability_of(grid, column, row);
      if (std::isnan(probability)) continue;
      const double p = static_cast<double>(probability);
      const cv::Point2d corner = view.pixel((grid.frame.first_column + column) * grid.frame.cell_size_m,
                                            (grid.frame.first_row + row + 1) * grid.frame.cell_size_m);
      const cv::Rect square(static_cast<int>(std::lround(corner.x)), static_cast<int>(std::lround(corner.y)), cell_px,
                            cell_px);
      cv::rectangle(picture, square, wall_colour * p + free_colour * (1.0 - p), cv::FILLED);
    }
  }
}

void draw_path(cv::Mat& picture, const std::vector<Pose2>& path, const View& view, const cv::Scalar& colour,
               int width) {
  constexpr int shift = 4;  // sixteenths of a pixel
  std::vector<cv::Point> points;
  points.reserve(path.size());
  for (const Pose2& pose : path) {
    const cv::Point2d at = view.pixel(pose.x_m, pose.y_m);
    points.emplace_back(static_cast<int>(std::lround(at.x * (1 << shift))),
                        static_cast<int>(std::lround(at.y * (1 << shift))));
  }
  cv::polylines(picture, points, false, colour, width, cv::LINE_AA, shift);
}

void draw_text(cv::Mat& picture, const std::string& text, cv::Point left_base) {
  cv::putText(picture, text, left_base, cv::FONT_HERSHEY_SIMPLEX, 0.6, wall_colour, 1, cv::LINE_AA);
}

int text_width(const std::string& text) {
  return cv::getTextSize(text, cv::FONT_HERSHEY_SIMPLEX, 0.6, 1, nullptr).width;
}

/// Strokes along the lower and the left edge at whole numbers of `step_m`, with their coordinates.
void draw_coordinates(cv::Mat& map, const View& view, double step_m) {
  constexpr double size = 0.4;
  constexpr int stroke_px = 8;
  const auto label = [&map](const std::string& text, cv::Point left_base) {
    cv::putText(map, text, left_base, cv::FONT_HERSHEY_SIMPLEX, size, wall_colour, 1, cv::LINE_AA);
  };
  for (double k = std::ceil(view.left_m / step_m); k * step_m <= view.right_m; ++k) {
    const double x = k * step_m;
    const cv::Point at(static_cast<int>(std::lround(view.pixel(x, 0.0).x)), map.rows);
    cv::line(map, {at.x, at.y - stroke_px}, at, wall_colour, 1);
    label(coordinate_text(x, step_m), {at.x + 4, at.y - 4});
  }
  for (double k = std::ceil(view.bottom_m / step_m); k * step_m <= view.top_m; ++k) {
    const double y = k * step_m;
    const int at = static_cast<int>(std::lround(view.pixel(0.0, y).y));
    cv::line(map, {0, at}, {stroke_px, at}, wall_colour, 1);
    label(coordinate_text(y, step_m), {stroke_px + 4, at + 4});
  }
}

/// Where a drive begins; of several, with its number.
void draw_start(cv::Mat& map, const cv::Point2d& at, const std::string& number) {
  const cv::Point middle(static_cast<int>(std::lround(at.x)), static_cast<int>(std::lround(at.y)));
  cv::circle(map, middle, start_radius_px, path_colour, cv::FILLED, cv::LINE_AA);
  draw_text(map, number, {middle.x + start_radius_px + 2, middle.y - 4});
}

/// The map frame's axes, x to the right and y up. Returns where the next thing may begin.
int draw_axes(cv::Mat& strip, cv::Point origin) {
  constexpr int arm_px = 28;
  cv::arrowedLine(strip, origin, {origin.x + arm_px, origin.y}, wall_colour, 1, cv::LINE_AA, 0, 0.25);
  cv::arrowedLine(strip, origin, {origin.x, origin.y - arm_px}, wall_colour, 1, cv::LINE_AA, 0, 0.25);
  draw_text(strip, "x, m", {origin.x + arm_px + 5, origin.y + 5});
  draw_text(strip, "y, m", {origin.x + 6, origin.y - arm_px + 10});
  return origin.x + arm_px + 75;
}

/// A strip of its own below the map, so that it hides nothing. Returns how wide it would have to be to show all of it.
int draw_legend(cv::Mat& strip, const View& view, std::size_t drives, const PictureOptions& options) {
  const double bar_m = scale_bar_m(view.right_m - view.left_m);
  const int bar_px = static_cast<int>(std::lround(bar_m * view.pixels_per_m));
  const int middle = 28;
  cv::rectangle(strip, cv::Rect(20, middle - 3, bar_px, 6), wall_colour, cv::FILLED);
  draw_text(strip, short_text(bar_m, 3) + " m", {28 + bar_px, middle + 6});
  int x = draw_axes(strip, {120 + bar_px, middle + 12});
  const auto entry = [&](const std::string& text, const cv::Scalar& colour) {
    cv::line(strip, {x, middle}, {x + 34, middle}, colour, 3, cv::LINE_AA);
    draw_text(strip, text, {x + 42, middle + 6});
    x += 72 + text_width(text);
  };
  entry(drives > 1 ? "paths found" : "path found", path_colour);
  if (options.odometry) entry("odometry alone", odometry_colour);
  cv::circle(strip, {x + start_radius_px, middle}, start_radius_px, path_colour, cv::FILLED, cv::LINE_AA);
  const std::string start = drives > 1 ? "starts of the drives" : "start";
  draw_text(strip, start, {x + 22, middle + 6});
  x += 40 + text_width(start);
  if (options.simulated) {
    draw_text(strip, "simulated", {x, middle + 6});
    x += 20 + text_width("simulated");
  }
  return x;
}

std::vector<std::uint8_t> encode_png(const cv::Mat& picture) {
  std::vector<std::uint8_t> bytes;
  // A picture of known size and form is refused for want of memory only.
  if (!cv::imencode(".png", picture, bytes, {cv::IMWRITE_PNG_COMPRESSION, 9})) throw std::bad_alloc();
  return bytes;
}

}  // namespace

double scale_bar_m(double width_m) {
  const double limit_m = width_m / 4.0;
  const double decade = std::pow(10.0, std::floor(std::log10(limit_m)));
  for (const double step : {5.0, 2.0}) {
    if (step * decade <= limit_m) return step * decade;
  }
  return decade;
}

std::vector<std::uint8_t> grid_png(const OccupancyGrid& grid) try {
  // A PNG has a pixel at least, a grid may have no cell.
  cv::Mat picture(std::max(1, grid.frame.rows), std::max(1, grid.frame.columns), CV_8UC4, cv::Scalar(0, 0, 0, 0));
  for (std::int32_t row = 0; row < grid.frame.rows; ++row) {
    for (std::int32_t column = 0; column < grid.frame.columns; ++column) {
      const float probability = probability_of(grid, column, row);
      if (std::isnan(probability)) continue;
      const std::uint8_t level = grid_level(probability);
      picture.at<cv::Vec4b>(grid.frame.rows - 1 - row, column) = cv::Vec4b(level, level, level, 255);
    }
  }
  return encode_png(picture);
} catch (const cv::Exception& fault) {
  rethrow_picture_fault(fault);
}

std::string coordinate_text(double metres, double step_m) {
  const int decimals = std::max(0, -static_cast<int>(std::floor(std::log10(step_m) + 1e-9)));
  return fixed_text(metres + 0.0, decimals);  // never "-0"
}

std::vector<std::uint8_t> map_picture_png(const OccupancyGrid& grid, const std::vector<std::vector<Pose2>>& paths,
                                          const std::vector<std::vector<Pose2>>& odometry,
                                          const PictureOptions& options) try {
  constexpr int legend_px = 56;
  const View view = choose_view(grid, paths, options);
  const int map_width = static_cast<int>(std::lround((view.right_m - view.left_m) * view.pixels_per_m));
  // The legend needs less than 1200 pixels beside its bar, which is a quarter of the map's width at most.
  cv::Mat legend(legend_px, map_width + 1200, CV_8UC3, unseen_colour);
  const int width = std::max(draw_legend(legend, view, paths.size(), options), map_width);
  const int height = static_cast<int>(std::lround((view.top_m - view.bottom_m) * view.pixels_per_m));
  cv::Mat picture(height + legend_px, width, CV_8UC3, unseen_colour);
  cv::Mat map_part = picture.rowRange(0, height);
  draw_grid(map_part, grid, view);
  draw_coordinates(map_part, view, scale_bar_m(view.right_m - view.left_m));
  if (options.odometry) {
    for (const std::vector<Pose2>& path : odometry) draw_path(map_part, path, view, odometry_colour, 1);
  }
  for (const std::vector<Pose2>& path : paths) draw_path(map_part, path, view, path_colour, 2);
  for (std::size_t i = 0; i < paths.size(); ++i) {
    if (paths[i].empty()) continue;
    draw_start(map_part, view.pixel(paths[i].front().x_m, paths[i].front().y_m),
               paths.size() > 1 ? std::to_string(i + 1) : "");
  }
  legend.colRange(0, width).copyTo(picture.rowRange(height, height + legend_px));
  return encode_png(picture);
} catch (const cv::Exception& fault) {
  rethrow_picture_fault(fault);
}

}  // namespace wainscot
