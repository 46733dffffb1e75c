#include "io/draw/plan_svg.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

#include "io/draw/cell_outlines.hpp"
#include "io/draw/map_picture.hpp"
#include "io/draw/picture_window.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double legend_line_px = 30.0;

/// Round the plan, for coordinates, where no path is.
constexpr double plan_left_px = 56.0;
constexpr double plan_below_px = 26.0;

/// What the plan shows, and its scale in the picture.
struct PlanView : PictureWindow {
  double pixels_per_m = 1.0;
  bool cuts_paths = false;

  Eigen::Vector2d pixel(const Eigen::Vector2d& place_m) const {
    return pixels_per_m * Eigen::Vector2d(place_m.x() - low_m.x(), high_m.y() - place_m.y());
  }
  double width_px() const { return pixels_per_m * size_m().x(); }
  double height_px() const { return pixels_per_m * size_m().y(); }
};

Eigen::Vector2d corner_place(const PlanArea& area, std::int32_t column, std::int32_t row) {
  const Eigen::Vector2d cells(area.frame.first_column + column, area.frame.first_row + row);
  return area.pose * Eigen::Vector2d(area.frame.cell_size_m * cells);
}

PlanView choose_view(const PlanDrawing& drawing) {
  PlanView view;
  for (const PlanArea& area : drawing.areas) {
    for (std::int32_t row = 0; row < area.frame.rows; ++row) {
      for (std::int32_t column = 0; column < area.frame.columns; ++column) {
        if (!area.marked[static_cast<std::size_t>(row) * static_cast<std::size_t>(area.frame.columns) +
                         static_cast<std::size_t>(column)]) {
          continue;
        }
        view.include(corner_place(area, column, row));
        view.include(corner_place(area, column + 1, row + 1));
      }
    }
  }
  std::vector<std::vector<Pose2>> others;
  for (std::size_t i = 0; i < drawing.paths.size(); ++i) {
    if (i >= drawing.drives) {
      others.push_back(drawing.paths[i].poses);
      continue;
    }
    for (const Pose2& pose : drawing.paths[i].poses) view.include(pose.translation());
  }
  view.cuts_paths = widen_for_paths(view, others);
  view.low_m.array() -= drawing.margin_m;
  view.high_m.array() += drawing.margin_m;
  view.pixels_per_m = drawing.width_px / std::max(0.1, view.size_m().x());
  return view;
}

std::string area_element(const PlanArea& area, const PlanView& view) {
  std::string data;
  for (const CellOutline& outline : cell_outlines(area.marked, area.frame.columns, area.frame.rows)) {
    for (std::size_t i = 0; i < outline.size(); ++i) {
      const Eigen::Vector2d at = view.pixel(corner_place(area, outline[i].x(), outline[i].y()));
      data += fmt::format("{}{} {}", i == 0 ? "M" : "L", svg_number(at.x()), svg_number(at.y()));
    }
    data += "z";
  }
  return data.empty() ? "" : fmt::format("<path class=\"{}\" d=\"{}\"/>\n", area.classes, data);
}

std::string path_element(const PlanPath& path, const PlanView& view) {
  constexpr double least_step_px = 1.0;  // what cannot be seen is not written
  SvgPolyline line;
  Eigen::Vector2d last(-1e9, -1e9);
  for (std::size_t i = 0; i < path.poses.size(); ++i) {
    const Eigen::Vector2d at = view.pixel(path.poses[i].translation());
    if ((at - last).norm() < least_step_px && i + 1 != path.poses.size()) continue;
    line.add(at.x(), at.y());
    last = at;
  }
  return line.element("line " + path.classes);
}

/// Strokes outside of the lower and the left edge at whole numbers of `step_m`, with their coordinates.
std::string coordinates(const PlanView& view, double step_m) {
  constexpr double stroke_px = 6.0;
  std::string strokes;
  std::string labels;
  for (double k = std::ceil(view.low_m.x() / step_m); k * step_m <= view.high_m.x(); ++k) {
    const Eigen::Vector2d at = view.pixel({k * step_m, view.low_m.y()});
    strokes += fmt::format("M{} {}v{}", svg_number(plan_left_px + at.x()), svg_number(at.y()), svg_number(stroke_px));
    labels += svg_text(plan_left_px + at.x(), at.y() + 21.0, coordinate_text(k * step_m, step_m), "middle");
  }
  for (double k = std::ceil(view.low_m.y() / step_m); k * step_m <= view.high_m.y(); ++k) {
    const double y_px = view.pixel({view.low_m.x(), k * step_m}).y();
    strokes += fmt::format("M{} {}h-{}", svg_number(plan_left_px), svg_number(y_px), svg_number(stroke_px));
    labels += svg_text(plan_left_px - stroke_px - 4.0, y_px + 5.0, coordinate_text(k * step_m, step_m), "end");
  }
  return fmt::format("<path class=\"axis\" d=\"{}\"/>\n{}", strokes, labels);
}

/// The beginnings of the drives, numbered where there are several.
std::string starts(const PlanDrawing& drawing, const PlanView& view) {
  std::string svg;
  for (std::size_t i = 0; i < std::min(drawing.drives, drawing.paths.size()); ++i) {
    if (drawing.paths[i].poses.empty()) continue;
    const Eigen::Vector2d at = view.pixel(drawing.paths[i].poses.front().translation());
    svg += fmt::format("<circle class=\"spot {}\" cx=\"{}\" cy=\"{}\" r=\"6\"/>\n", drawing.paths[i].classes,
                       svg_number(at.x()), svg_number(at.y()));
    if (drawing.drives > 1) svg += svg_text(at.x() + 8.0, at.y() - 5.0, std::to_string(i + 1), "halo");
  }
  return svg;
}

/// The two axes of the frame as arrows from a common origin, with their names.
std::string axes(double x_px, double y_px, double width_px, const std::string& frame_name) {
  constexpr double arm_px = 34.0;
  std::string svg = fmt::format("<path class=\"axis\" d=\"M{0} {1}h{2}m-7 -4l7 4l-7 4M{0} {1}v-{2}m-4 7l4 -7l4 7\"/>\n",
                                svg_number(x_px), svg_number(y_px), svg_number(arm_px));
  svg += svg_text(x_px + arm_px + 6.0, y_px + 5.0, "x, metres");
  const std::string name = "y, metres (" + frame_name + ")";
  const bool fits = x_px + svg_text_width_px(name) < width_px;
  svg += svg_text(fits ? x_px - 4.0 : width_px - 4.0, y_px - arm_px - 6.0, name, fits ? "" : "end");
  return svg;
}

/// Keys of areas and paths, one after the other and on the next line where there is no room. Grows `height_px`.
std::string keys(const PlanDrawing& drawing, bool cuts_paths, double width_px, double top_px, double& height_px) {
  std::string svg;
  double x = 20.0;
  double y = top_px + 0.5 * legend_line_px;
  const auto place = [&](const std::string& name, double key_px = 42.0) {
    const double needed_px = key_px + 24.0 + svg_text_width_px(name);
    if (x > 20.0 && x + needed_px > width_px) {
      x = 20.0;
      y += legend_line_px;
    }
    const double at = x;
    x += needed_px;
    svg += svg_text(at + key_px, y + 5.0, name);
    return at;
  };
  for (const PlanArea& area : drawing.areas) {
    if (area.name.empty()) continue;
    const double at = place(area.name);
    svg += fmt::format("<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"34\" height=\"14\"/>\n", area.classes,
                       svg_number(at), svg_number(y - 7.0));
  }
  for (const PlanPath& path : drawing.paths) {
    if (path.name.empty()) continue;
    const double at = place(path.name);
    svg += fmt::format("<path class=\"line {}\" d=\"M{} {}h34\"/>\n", path.classes, svg_number(at), svg_number(y));
  }
  if (!drawing.paths.empty()) {
    const double at = place(drawing.drives > 1 ? "starts of the drives" : "start");
    svg += fmt::format("<circle class=\"spot {}\" cx=\"{}\" cy=\"{}\" r=\"6\"/>\n", drawing.paths.front().classes,
                       svg_number(at + 28.0), svg_number(y));
  }
  if (cuts_paths) place("a path leaves the picture", 0.0);
  if (drawing.simulated) place("(simulated drive)", 0.0);
  height_px += y + 0.5 * legend_line_px - top_px;
  return svg;
}

}  // namespace

std::vector<PlanArea> plan_areas(const OccupancyGrid& grid, const Pose2& pose, double occupied) {
  PlanArea floor{"", "floor", grid.frame, {}, pose};
  PlanArea wall{"wall", "wall", grid.frame, {}, pose};
  for (const float p : grid.probability) {
    const bool is_wall = static_cast<double>(p) >= occupied;
    wall.marked.push_back(is_wall);
    floor.marked.push_back(!is_wall && !std::isnan(p));
  }
  return {floor, wall};
}

std::string plan_svg(const PlanDrawing& drawing, SvgUse use) {
  constexpr double axes_px = 76.0;
  const PlanView view = choose_view(drawing);
  const double map_height_px = view.height_px();
  const double width_px = plan_left_px + std::max(view.width_px(), 300.0);
  const double top_px = map_height_px + plan_below_px + axes_px;
  double legend_px = axes_px;
  const std::string legend = keys(drawing, view.cuts_paths, width_px, top_px, legend_px);
  std::string svg = svg_begin(width_px, map_height_px + plan_below_px + legend_px + 8.0, drawing.title, use);
  // An inner picture cuts off what lies outside the plan.
  svg += fmt::format(
      "<svg x=\"{2}\" width=\"{0}\" height=\"{1}\">\n<rect class=\"unseen\" width=\"{0}\" height=\"{1}\"/>\n",
      svg_number(view.width_px()), svg_number(map_height_px), svg_number(plan_left_px));
  for (const PlanArea& area : drawing.areas) svg += area_element(area, view);
  for (std::size_t i = drawing.paths.size(); i > 0; --i) svg += path_element(drawing.paths[i - 1], view);
  svg += starts(drawing, view) + "</svg>\n";
  const double bar_m = scale_bar_m(view.size_m().x());
  svg += coordinates(view, bar_m);
  const double y_px = top_px - 16.0;
  svg +=
      fmt::format("<path class=\"bar\" d=\"M20 {}h{}\"/>\n", svg_number(y_px), svg_number(bar_m * view.pixels_per_m));
  svg += svg_text(28.0 + bar_m * view.pixels_per_m, y_px + 5.0, short_text(bar_m, 3) + " m");
  svg += axes(120.0 + bar_m * view.pixels_per_m, y_px, width_px, drawing.frame_name);
  return svg + legend + svg_end();
}

}  // namespace wainscot
