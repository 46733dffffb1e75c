#include "io/draw/wall_plan.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>

#include <fmt/format.h>

#include "io/draw/cell_outlines.hpp"
#include "io/draw/map_picture.hpp"
#include "io/draw/palette.hpp"
#include "io/map_origin.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double margin_m = 0.5;
constexpr double notes_m = 1.2;        ///< of height, below the plan
constexpr double least_width_m = 7.0;  ///< the notes need as much
constexpr double scale = 50.0;

constexpr const char* plan_style = R"(
.back{fill:var(--card)}
.floor{fill:var(--seen)}
.wall{fill:none;stroke:var(--wall);stroke-width:.03;stroke-linecap:round}
.lineless{fill:var(--wall);fill-opacity:.5}
.path,.path-2,.path-3{fill:none;stroke-width:.02;stroke-linejoin:round}
.path{stroke:var(--path)}
.path-2{stroke:var(--path-2)}
.path-3{stroke:var(--path-3)}
.axis{fill:none;stroke:var(--ink);stroke-width:.02}
.bar{fill:none;stroke:var(--ink);stroke-width:.06}
text{fill:var(--ink);font:.2px "DejaVu Sans",sans-serif}
)";

constexpr const char* room_style = R"(.room{fill:none;stroke:var(--ink);stroke-width:.015;stroke-dasharray:.06 .06}
.name{text-anchor:middle}
)";

/// A coordinate in metres, to a tenth of a millimetre.
std::string metres(double value_m) { return short_text(value_m, 4); }

std::string point(const Eigen::Vector2d& place_m) { return metres(place_m.x()) + " " + metres(place_m.y()); }

struct Extent {
  Eigen::Vector2d low_m = Eigen::Vector2d::Constant(1e300);
  Eigen::Vector2d high_m = Eigen::Vector2d::Constant(-1e300);
  void include(const Eigen::Vector2d& place_m) {
    low_m = low_m.cwiseMin(place_m);
    high_m = high_m.cwiseMax(place_m);
  }
};

/// Of cells of the floor's frame; none where none are marked.
std::vector<CellOutline> outlines_of(const std::vector<bool>& marked, const GridFrame& frame) {
  if (marked.empty()) return {};
  return cell_outlines(marked, frame.columns, frame.rows);
}

Eigen::Vector2d corner_place(const PlanArea& floor, const Eigen::Vector2i& corner) {
  return floor.frame.lower_left_corner_m() + floor.frame.cell_size_m * corner.cast<double>();
}

/// Of all that is drawn; `floor` and `lineless` are the outlines of the plan's cells.
Extent extent_of(const WallPlan& plan, const std::vector<CellOutline>& floor,
                 const std::vector<CellOutline>& lineless) {
  Extent extent;
  extent.include({0.0, 0.0});  // the axes
  for (const WallLine& wall : plan.walls) {
    extent.include(wall.from_m);
    extent.include(wall.to_m);
  }
  for (const std::vector<Pose2>& path : plan.paths) {
    for (const Pose2& pose : path) extent.include(pose.translation());
  }
  for (const std::vector<CellOutline>* outlines : {&floor, &lineless}) {
    for (const CellOutline& outline : *outlines) {
      for (const Eigen::Vector2i& corner : outline) extent.include(corner_place(plan.floor, corner));
    }
  }
  extent.low_m.array() -= margin_m;
  extent.high_m.array() += margin_m;
  extent.high_m.x() = std::max(extent.high_m.x(), extent.low_m.x() + least_width_m);
  return extent;
}

/// One layer; drawn in the map frame where `flipped`, else in the picture's, whose y goes down.
std::string layer(const char* name, bool flipped, const std::string& elements) {
  return fmt::format("<g id=\"{}\"{}>\n{}</g>\n", name, flipped ? " transform=\"scale(1 -1)\"" : "", elements);
}

std::string cells_element(const char* classes, const PlanArea& floor, const std::vector<CellOutline>& outlines) {
  std::string data;
  for (const CellOutline& outline : outlines) {
    for (std::size_t i = 0; i < outline.size(); ++i) {
      data += (i == 0 ? "M" : "L") + point(corner_place(floor, outline[i]));
    }
    data += "z";
  }
  return data.empty() ? "" : fmt::format("<path class=\"{}\" d=\"{}\"/>\n", classes, data);
}

std::string wall_elements(const std::vector<WallLine>& walls) {
  std::string elements;
  for (const WallLine& wall : walls) {
    elements += fmt::format("<path class=\"wall\" d=\"M{}L{}\"/>\n", point(wall.from_m), point(wall.to_m));
  }
  return elements;
}

std::string room_elements(const std::vector<PlanRoom>& rooms) {
  std::string elements;
  for (const PlanRoom& room : rooms) {
    std::string data;
    for (const Eigen::Vector2d& corner : room.outline) {
      data += (data.empty() ? "M" : "L") + point({corner.x(), -corner.y()});
    }
    elements += fmt::format("<path class=\"room\" d=\"{}z\"/>\n", data);
    elements += fmt::format("<text class=\"name\" x=\"{}\" y=\"{}\">{}</text>\n", metres(room.label_m.x()),
                            metres(-room.label_m.y()), html_text(room.name));
  }
  return elements;
}

std::string path_elements(const std::vector<std::vector<Pose2>>& paths) {
  std::string elements;
  for (std::size_t i = 0; i < paths.size(); ++i) {
    std::string data;
    for (const Eigen::Vector2d& place : thinned_path(paths[i])) data += (data.empty() ? "M" : "L") + point(place);
    if (data.empty()) continue;
    elements += fmt::format("<path class=\"{}\" d=\"{}\"/>\n", colour_of_drive(i + 1), data);
  }
  return elements;
}

std::string axes_elements() {
  return "<path class=\"axis\" d=\"M0 0H.6m-.12 -.06l.12 .06l-.12 .06M0 0V-.6m-.06 .12l.06 -.12l.06 .12\"/>\n"
         "<text x=\".66\" y=\".07\">x</text>\n<text x=\"-.05\" y=\"-.68\">y</text>\n";
}

std::string notes_elements(const WallPlan& plan, const Extent& extent) {
  const double width_m = (extent.high_m - extent.low_m).x();
  const double bar_m = scale_bar_m(width_m);
  const double x = extent.low_m.x() + 0.2;
  const double y = -extent.low_m.y() + 0.3;
  const auto text = [](double at_x, double at_y, const std::string& words) {
    return fmt::format("<text x=\"{}\" y=\"{}\">{}</text>\n", metres(at_x), metres(at_y), html_text(words));
  };
  std::string elements = fmt::format("<path class=\"bar\" d=\"M{} {}h{}\"/>\n", metres(x), metres(y), metres(bar_m));
  elements += text(x + bar_m + 0.15, y + 0.07, short_text(bar_m, 3) + " m");
  elements +=
      text(x, y + 0.42, fmt::format("{}Scale 1:{}; units are metres.", plan.simulated ? "Simulated. " : "", scale));
  elements += text(x, y + 0.72, "Only what one lidar plane sees: see the caution in this file.");
  return elements;
}

}  // namespace

std::vector<Eigen::Vector2d> thinned_path(const std::vector<Pose2>& path) {
  constexpr double least_step_m = 0.02;
  std::vector<Eigen::Vector2d> places;
  for (std::size_t i = 0; i < path.size(); ++i) {
    const Eigen::Vector2d place = path[i].translation();
    const bool moved = places.empty() || (place - places.back()).norm() >= least_step_m;
    if (moved || i + 1 == path.size()) places.push_back(place);
  }
  return places;
}

std::string wall_plan_svg(const WallPlan& plan) {
  const std::vector<CellOutline> floor = outlines_of(plan.floor.marked, plan.floor.frame);
  const std::vector<CellOutline> lineless = outlines_of(plan.lineless.marked, plan.floor.frame);
  const Extent extent = extent_of(plan, floor, lineless);
  const Eigen::Vector2d size_m = extent.high_m - extent.low_m + Eigen::Vector2d(0.0, notes_m);
  constexpr double mm_per_m = 1000.0 / scale;
  std::string svg = fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{} {} {} {}\" "
      "width=\"{}mm\" height=\"{}mm\">\n<title>{}</title>\n<desc>{}</desc>\n<style>{}</style>\n",
      metres(extent.low_m.x()), metres(-extent.high_m.y()), metres(size_m.x()), metres(size_m.y()),
      metres(mm_per_m * size_m.x()), metres(mm_per_m * size_m.y()), html_text(plan.title), html_text(map_caution),
      with_plain_colours(plan.rooms.empty() ? plan_style : std::string(plan_style) + room_style));
  svg += fmt::format("<rect class=\"back\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\n", metres(extent.low_m.x()),
                     metres(-extent.high_m.y()), metres(size_m.x()), metres(size_m.y()));
  svg += layer("floor", true, cells_element("floor", plan.floor, floor));
  svg += layer("walls", true, cells_element("lineless", plan.floor, lineless) + wall_elements(plan.walls));
  svg += layer("path", true, path_elements(plan.paths));
  if (!plan.rooms.empty()) svg += layer("rooms", false, room_elements(plan.rooms));
  svg += layer("axes", false, axes_elements());
  svg += layer("notes", false, notes_elements(plan, extent));
  return svg + "</svg>\n";
}

std::string wall_plan_csv(const WallPlan& plan) {
  std::string text = fmt::format("# {}{}\nwall,x1_m,y1_m,x2_m,y2_m,length_m,normal_rad,sd_m,pieces,returns\n",
                                 plan.simulated ? "Simulated. " : "", map_caution);
  for (std::size_t i = 0; i < plan.walls.size(); ++i) {
    const WallLine& wall = plan.walls[i];
    const Eigen::Vector2d along = wall.to_m - wall.from_m;
    fmt::format_to(std::back_inserter(text), "{},{},{},{},{},{},{},{},{},{}\n", i + 1, metres(wall.from_m.x()),
                   metres(wall.from_m.y()), metres(wall.to_m.x()), metres(wall.to_m.y()), metres(wall.length_m()),
                   short_text(std::atan2(along.x(), -along.y()), 5), short_text(wall.sd_m, 5), wall.pieces,
                   wall.returns);
  }
  return text;
}

}  // namespace wainscot
