#include "io/draw/map_picture.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <string_view>

#include <fmt/format.h>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>

#include "io/draw/palette.hpp"
#include "io/draw/picture_window.hpp"
#include "io/grid/grid_writer.hpp"
#include "io/number_text.hpp"
#include "io/picture_memory.hpp"

namespace wainscot {
namespace {

/// In OpenCV's order: blue, green, red.
cv::Scalar pixel_colour(std::string_view name) {
  const Colour colour = named_colour(name).on_light;
  return {static_cast<double>(colour.blue), static_cast<double>(colour.green), static_cast<double>(colour.red)};
}

float probability_of(const OccupancyGrid& grid, std::int32_t column, std::int32_t row) {
  return grid.probability[static_cast<std::size_t>(row) * static_cast<std::size_t>(grid.frame.columns) +
                          static_cast<std::size_t>(column)];
}

constexpr int start_radius_px = 7;

/// Round the map, for coordinates, where no path is.
constexpr int gutter_left_px = 56;
constexpr int gutter_below_px = 26;

/// What the picture shows, and its scale.
struct View : PictureWindow {
  double pixels_per_m = 0.0;
  bool cuts_odometry = false;

  cv::Point2d pixel(double x_m, double y_m) const {
    return {(x_m - low_m.x()) * pixels_per_m, (high_m.y() - y_m) * pixels_per_m};
  }
};

/// The seen cells and the paths with a margin, on whole cells; a cell is a whole number of pixels.
View choose_view(const OccupancyGrid& grid, const std::vector<std::vector<Pose2>>& paths,
                 const std::vector<std::vector<Pose2>>& odometry, const PictureOptions& options) {
  const double cell_m = grid.frame.cell_size_m;
  View view;
  for (std::int32_t row = 0; row < grid.frame.rows; ++row) {
    for (std::int32_t column = 0; column < grid.frame.columns; ++column) {
      if (std::isnan(probability_of(grid, column, row))) continue;
      const Eigen::Vector2d corner(grid.frame.first_column + column, grid.frame.first_row + row);
      view.include(corner * cell_m);
      view.include((corner.array() + 1.0).matrix() * cell_m);
    }
  }
  for (const std::vector<Pose2>& path : paths) {
    for (const Pose2& pose : path) view.include(pose.translation());
  }
  if (options.odometry) view.cuts_odometry = widen_for_paths(view, odometry);
  if (view.is_nothing()) view.include({0.0, 0.0});
  // Borders of cells are whole numbers of cells but for rounding, which must not add a cell.
  const auto down = [cell_m](double bound_m) { return std::floor(bound_m / cell_m + 1e-6) * cell_m; };
  const Eigen::Vector2d low = view.low_m.array() - options.margin_m;
  const Eigen::Vector2d high = view.high_m.array() + options.margin_m;
  view.low_m = {down(low.x()), down(low.y())};
  view.high_m = {-down(-high.x()), -down(-high.y())};
  const double cells_across = std::max(1.0, std::round(view.size_m().x() / cell_m));
  view.pixels_per_m = std::max(1.0, std::floor(options.width_px / cells_across)) / cell_m;
  return view;
}

/// Free floor first, then walls, which take two pixels at least: they would be lost beside the
/// paths, or where the picture is shown smaller than it is.
void draw_grid(cv::Mat& picture, const OccupancyGrid& grid, const View& view) {
  constexpr int least_wall_px = 2;
  const cv::Scalar free = pixel_colour("floor");
  const cv::Scalar wall = pixel_colour("wall");
  const int cell_px = static_cast<int>(std::lround(view.pixels_per_m * grid.frame.cell_size_m));
  const auto draw_cells = [&](bool walls) {
    for (std::int32_t row = 0; row < grid.frame.rows; ++row) {
      for (std::int32_t column = 0; column < grid.frame.columns; ++column) {
        const double p = static_cast<double>(probability_of(grid, column, row));
        if (std::isnan(p) || (p >= 0.5) != walls) continue;
        const cv::Point2d corner = view.pixel((grid.frame.first_column + column) * grid.frame.cell_size_m,
                                              (grid.frame.first_row + row + 1) * grid.frame.cell_size_m);
        const int side_px = walls ? std::max(least_wall_px, cell_px) : cell_px;
        const cv::Rect square(static_cast<int>(std::lround(corner.x)), static_cast<int>(std::lround(corner.y)), side_px,
                              side_px);
        cv::rectangle(picture, square, wall * p + free * (1.0 - p), cv::FILLED);
      }
    }
  };
  draw_cells(false);
  draw_cells(true);
}

std::vector<cv::Point2d> pixels_of(const std::vector<Pose2>& path, const View& view) {
  std::vector<cv::Point2d> points;
  points.reserve(path.size());
  for (const Pose2& pose : path) points.push_back(view.pixel(pose.x_m, pose.y_m));
  return points;
}

void draw_line(cv::Mat& picture, const std::vector<cv::Point2d>& line, const cv::Scalar& colour, int width) {
  constexpr int shift = 4;  // sixteenths of a pixel
  std::vector<cv::Point> points;
  points.reserve(line.size());
  for (const cv::Point2d& at : line) {
    points.emplace_back(static_cast<int>(std::lround(at.x * (1 << shift))),
                        static_cast<int>(std::lround(at.y * (1 << shift))));
  }
  cv::polylines(picture, points, false, colour, width, cv::LINE_AA, shift);
}

/// The strokes of odometry's dashes, which OpenCV does not know.
std::vector<std::vector<cv::Point2d>> dashes_of(const std::vector<cv::Point2d>& line) {
  // Half a width and some blur stand beyond each end of its strokes.
  constexpr double cap_px = 1.0;
  constexpr std::array<double, 2> drawn_px = {odometry_dash_px[0] - 2.0 * cap_px, odometry_dash_px[1] + 2.0 * cap_px};
  std::vector<std::vector<cv::Point2d>> dashes;
  if (line.empty()) return dashes;
  dashes.push_back({line.front()});
  bool stroke = true;
  double rest_px = drawn_px[0];  // of the stroke or gap that is being drawn
  for (std::size_t i = 1; i < line.size(); ++i) {
    cv::Point2d at = line[i - 1];
    for (double way_px = cv::norm(line[i] - at); way_px >= rest_px; way_px = cv::norm(line[i] - at)) {
      at += (line[i] - at) * (rest_px / way_px);
      if (stroke) dashes.back().push_back(at);
      stroke = !stroke;
      if (stroke) dashes.push_back({at});
      rest_px = drawn_px[stroke ? 0 : 1];
    }
    rest_px -= cv::norm(line[i] - at);
    if (stroke) dashes.back().push_back(line[i]);
  }
  return dashes;
}

void draw_odometry(cv::Mat& picture, const std::vector<cv::Point2d>& line) {
  for (const std::vector<cv::Point2d>& dash : dashes_of(line)) draw_line(picture, dash, pixel_colour("odometry"), 2);
}

void draw_text(cv::Mat& picture, const std::string& text, cv::Point left_base, double size = 0.6) {
  cv::putText(picture, text, left_base, cv::FONT_HERSHEY_SIMPLEX, size, pixel_colour("ink"), 1, cv::LINE_AA);
}

int text_width(const std::string& text, double size = 0.6) {
  return cv::getTextSize(text, cv::FONT_HERSHEY_SIMPLEX, size, 1, nullptr).width;
}

/// Strokes outside of the lower and the left edge of the map at whole numbers of `step_m`, with their coordinates.
void draw_coordinates(cv::Mat& picture, const View& view, double step_m) {
  constexpr double size = 0.45;
  constexpr int stroke_px = 6;
  const cv::Scalar ink = pixel_colour("ink");
  const int below = static_cast<int>(std::lround(view.pixel(0.0, view.low_m.y()).y));
  for (double k = std::ceil(view.low_m.x() / step_m); k * step_m <= view.high_m.x(); ++k) {
    const std::string text = coordinate_text(k * step_m, step_m);
    const int at = gutter_left_px + static_cast<int>(std::lround(view.pixel(k * step_m, 0.0).x));
    cv::line(picture, {at, below}, {at, below + stroke_px}, ink, 1);
    draw_text(picture, text, {at - text_width(text, size) / 2, below + 20}, size);
  }
  for (double k = std::ceil(view.low_m.y() / step_m); k * step_m <= view.high_m.y(); ++k) {
    const std::string text = coordinate_text(k * step_m, step_m);
    const int at = static_cast<int>(std::lround(view.pixel(0.0, k * step_m).y));
    cv::line(picture, {gutter_left_px - stroke_px, at}, {gutter_left_px, at}, ink, 1);
    draw_text(picture, text, {gutter_left_px - stroke_px - 4 - text_width(text, size), at + 4}, size);
  }
}

/// Where a drive begins; of several, with its number, on a ground of its own so that paths do not cross it.
void draw_start(cv::Mat& map, const cv::Point2d& at, const cv::Scalar& colour, const std::string& number) {
  const cv::Point middle(static_cast<int>(std::lround(at.x)), static_cast<int>(std::lround(at.y)));
  cv::circle(map, middle, start_radius_px, colour, cv::FILLED, cv::LINE_AA);
  const cv::Point text(middle.x + start_radius_px + 2, middle.y - 4);
  cv::putText(map, number, text, cv::FONT_HERSHEY_SIMPLEX, 0.6, pixel_colour("floor"), 5, cv::LINE_AA);
  draw_text(map, number, text);
}

/// The map frame's axes, x to the right and y up. Returns where the next thing may begin.
int draw_axes(cv::Mat& strip, cv::Point origin) {
  constexpr int arm_px = 28;
  cv::arrowedLine(strip, origin, {origin.x + arm_px, origin.y}, pixel_colour("ink"), 1, cv::LINE_AA, 0, 0.25);
  cv::arrowedLine(strip, origin, {origin.x, origin.y - arm_px}, pixel_colour("ink"), 1, cv::LINE_AA, 0, 0.25);
  draw_text(strip, "x, m", {origin.x + arm_px + 5, origin.y + 5});
  draw_text(strip, "y, m", {origin.x + 6, origin.y - arm_px + 10});
  return origin.x + arm_px + 75;
}

constexpr int strip_line_px = 30;

/// A strip of its own below the map, so that it hides nothing; what finds no room stands on the next line. Returns the
/// height that is used.
int draw_legend(cv::Mat& strip, const View& view, std::size_t drives, const PictureOptions& options) {
  constexpr int first_line_px = 56;  // the axes are higher than a line of words
  const double bar_m = scale_bar_m(view.size_m().x());
  const int bar_px = static_cast<int>(std::lround(bar_m * view.pixels_per_m));
  int y = first_line_px / 2;
  cv::rectangle(strip, cv::Rect(20, y - 3, bar_px, 6), pixel_colour("ink"), cv::FILLED);
  draw_text(strip, short_text(bar_m, 3) + " m", {28 + bar_px, y + 6});
  int x = draw_axes(strip, {120 + bar_px, y + 12});
  // Writes the text and returns where its key begins.
  const auto place = [&](const std::string& text, int key_px) -> cv::Point {
    const int wide_px = key_px + text_width(text);
    if (x + wide_px > strip.cols) {
      x = 20;
      y += y == first_line_px / 2 ? (first_line_px + strip_line_px) / 2 : strip_line_px;
    }
    const cv::Point at(x, y);
    draw_text(strip, text, {x + key_px, y + 6});
    x += wide_px + 30;
    return at;
  };
  const auto key_line = [](const cv::Point& at) {
    return std::vector<cv::Point2d>{{static_cast<double>(at.x), static_cast<double>(at.y)},
                                    {at.x + 34.0, static_cast<double>(at.y)}};
  };
  for (std::size_t drive = 1; drive <= std::min<std::size_t>(std::max<std::size_t>(drives, 1), 3); ++drive) {
    const cv::Point at = place(drives > 1 ? fmt::format("drive {}", drive) : "path found", 42);
    draw_line(strip, key_line(at), pixel_colour(colour_of_drive(drive)), 3);
  }
  if (options.odometry) {
    draw_odometry(strip, key_line(place("odometry alone", 42)));
    if (view.cuts_odometry) place("(it leaves the picture)", 0);
  }
  const cv::Point start = place(drives > 1 ? "starts of the drives" : "start", 22);
  cv::circle(strip, {start.x + start_radius_px, start.y}, start_radius_px, pixel_colour("path"), cv::FILLED,
             cv::LINE_AA);
  if (options.simulated) place("(simulated drive)", 0);
  return y == first_line_px / 2 ? first_line_px : y + strip_line_px / 2;
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

std::vector<std::uint8_t> grid_png(const OccupancyGrid& grid, std::int32_t cells_a_pixel) try {
  // A PNG has a pixel at least, a grid may have no cell.
  const auto pixels = [cells_a_pixel](std::int32_t cells) {
    return std::max(1, (cells + cells_a_pixel - 1) / cells_a_pixel);
  };
  cv::Mat picture(pixels(grid.frame.rows), pixels(grid.frame.columns), CV_8UC4, cv::Scalar(0, 0, 0, 0));
  for (std::int32_t row = 0; row < grid.frame.rows; ++row) {
    for (std::int32_t column = 0; column < grid.frame.columns; ++column) {
      const float probability = probability_of(grid, column, row);
      if (std::isnan(probability)) continue;
      const std::uint8_t level = grid_level(probability);
      cv::Vec4b& pixel = picture.at<cv::Vec4b>((grid.frame.rows - 1 - row) / cells_a_pixel, column / cells_a_pixel);
      if (pixel[3] == 0 || level < pixel[0]) pixel = cv::Vec4b(level, level, level, 255);
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
  constexpr int least_width_px = 480;  // for the bar, the axes, and the longest words of the legend
  constexpr int most_legend_lines = 9;
  const View view = choose_view(grid, paths, odometry, options);
  const int map_width = static_cast<int>(std::lround(view.size_m().x() * view.pixels_per_m));
  const int width = std::max(least_width_px, gutter_left_px + map_width);
  const cv::Scalar ground = pixel_colour("unseen");
  cv::Mat legend(most_legend_lines * strip_line_px, width, CV_8UC3, ground);
  const int legend_px = draw_legend(legend, view, paths.size(), options);
  const int height = static_cast<int>(std::lround(view.size_m().y() * view.pixels_per_m));
  cv::Mat picture(height + gutter_below_px + legend_px, width, CV_8UC3, ground);
  cv::Mat map_part = picture(cv::Rect(gutter_left_px, 0, map_width, height));
  draw_grid(map_part, grid, view);
  draw_coordinates(picture, view, scale_bar_m(view.size_m().x()));
  if (options.odometry) {
    for (const std::vector<Pose2>& path : odometry) draw_odometry(map_part, pixels_of(path, view));
  }
  for (std::size_t i = 0; i < paths.size(); ++i) {
    draw_line(map_part, pixels_of(paths[i], view), pixel_colour(colour_of_drive(i + 1)), 2);
  }
  for (std::size_t i = 0; i < paths.size(); ++i) {
    if (paths[i].empty()) continue;
    draw_start(map_part, view.pixel(paths[i].front().x_m, paths[i].front().y_m), pixel_colour(colour_of_drive(i + 1)),
               paths.size() > 1 ? std::to_string(i + 1) : "");
  }
  legend.rowRange(0, legend_px).copyTo(picture.rowRange(height + gutter_below_px, picture.rows));
  return encode_png(picture);
} catch (const cv::Exception& fault) {
  rethrow_picture_fault(fault);
}

}  // namespace wainscot
