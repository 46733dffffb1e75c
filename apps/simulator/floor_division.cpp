#include "apps/simulator/floor_division.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace wainscot::simulator {

namespace {

class Divider {
 public:
  Divider(double area_m2, Random& random) : area_m2_(area_m2), random_(random) {}

  FloorDivision build() {
    const FloorPart footprint = start();
    divide(footprint);
    if (random_.chance(0.4)) remove_corner();
    return std::move(floor_);
  }

 private:
  int add_line(Point from, Point to, double thickness_m) {
    floor_.lines.push_back({from, to, thickness_m});
    return static_cast<int>(floor_.lines.size()) - 1;
  }

  double inner_thickness() { return random_.chance(0.2) ? random_.uniform(0.17, 0.24) : random_.uniform(0.08, 0.15); }

  // A rectangle, some with one or two corners cut off.
  FloorPart start() {
    const double aspect = random_.uniform(1.1, 1.7);
    const double width = std::sqrt(area_m2_ * aspect);
    const double depth = area_m2_ / width;
    Polygon corners;
    const Polygon box = {{0.0, 0.0}, {width, 0.0}, {width, depth}, {0.0, depth}};
    for (std::size_t i = 0; i < box.size(); ++i) {
      if (random_.chance(0.15)) {
        corners.push_back(box[i] + random_.uniform(1.0, 2.2) * unit(box[(i + 3) % 4] - box[i]));
        corners.push_back(box[i] + random_.uniform(1.0, 2.2) * unit(box[(i + 1) % 4] - box[i]));
      } else {
        corners.push_back(box[i]);
      }
    }
    const double thickness = random_.uniform(0.22, 0.30);
    FloorPart part;
    part.outline = corners;
    for (std::size_t i = 0; i < corners.size(); ++i) {
      part.lines.push_back(add_line(corners[i], corners[(i + 1) % corners.size()], thickness));
    }
    return part;
  }

  // Cuts a part along a line; the first result lies on the left of `along`.
  std::pair<FloorPart, FloorPart> cut(const FloorPart& part, Point on, Point along, double thickness_m) {
    FloorPart left;
    FloorPart right;
    std::vector<Point> ends;
    const int line = static_cast<int>(floor_.lines.size());
    const std::size_t n = part.outline.size();
    for (std::size_t i = 0; i < n; ++i) {
      const Point a = part.outline[i];
      const Point b = part.outline[(i + 1) % n];
      const double a_side = cross(along, a - on);
      const double b_side = cross(along, b - on);
      FloorPart& here = a_side >= 0.0 ? left : right;
      here.outline.push_back(a);
      here.lines.push_back(part.lines[i]);
      if ((a_side >= 0.0) == (b_side >= 0.0)) continue;
      const Point middle = a + (a_side / (a_side - b_side)) * (b - a);
      ends.push_back(middle);
      // On the side that is left behind the new line begins; on the other the old edge goes on.
      FloorPart& there = a_side >= 0.0 ? right : left;
      here.outline.push_back(middle);
      here.lines.push_back(line);
      there.outline.push_back(middle);
      there.lines.push_back(part.lines[i]);
    }
    add_line(ends[0], ends[1], thickness_m);
    return {left, right};
  }

  static std::pair<Point, Point> bounds(const FloorPart& part) {
    Point least = part.outline[0];
    Point greatest = part.outline[0];
    for (const Point p : part.outline) {
      least = {std::min(least.x_m, p.x_m), std::min(least.y_m, p.y_m)};
      greatest = {std::max(greatest.x_m, p.x_m), std::max(greatest.y_m, p.y_m)};
    }
    return {least, greatest};
  }

  void divide(const FloorPart& footprint) {
    const auto [least, greatest] = bounds(footprint);
    const double depth = greatest.y_m - least.y_m;
    if (random_.chance(0.12)) {  // no hall: rooms open into each other
      split(footprint);
      return;
    }
    const double hall = random_.uniform(1.15, 1.7);
    const double rest = depth - hall;
    const double low = std::clamp(rest * random_.uniform(0.35, 0.65), 2.7, std::max(2.7, rest - 2.7));
    const Point right = {1.0, 0.0};
    auto [upper, bottom] = cut(footprint, {0.0, least.y_m + low}, right, inner_thickness());
    auto [top, strip] = cut(upper, {0.0, least.y_m + low + hall}, right, inner_thickness());
    const double width = greatest.x_m - least.x_m;
    if (random_.chance(0.7)) {  // a small room at the hall's end
      const double length = random_.uniform(1.5, 2.6);
      const bool at_left = random_.chance(0.5);
      const double x = at_left ? least.x_m + length : greatest.x_m - length;
      auto [west, east] = cut(strip, {x, 0.0}, {0.0, 1.0}, inner_thickness());
      floor_.parts.push_back(at_left ? west : east);
      strip = at_left ? east : west;
    }
    strip.hall = true;
    floor_.parts.push_back(strip);
    FloorPart& deep = area_m2(top.outline) > area_m2(bottom.outline) ? top : bottom;
    if (area_m2(deep.outline) > 60.0) deep = cut_side_hall(deep, least.x_m + width * random_.uniform(0.35, 0.65));
    split(top);
    split(bottom);
  }

  // A second hall off the first one; returns what is left on its east side.
  FloorPart cut_side_hall(const FloorPart& part, double x) {
    const Point up = {0.0, 1.0};
    const double hall = random_.uniform(1.1, 1.4);
    auto [west, rest] = cut(part, {x, 0.0}, up, inner_thickness());
    auto [strip, east] = cut(rest, {x + hall, 0.0}, up, inner_thickness());
    strip.hall = true;
    floor_.parts.push_back(strip);
    split(west);
    return east;
  }

  void split(const FloorPart& part) {
    const auto [least, greatest] = bounds(part);
    const Point size = greatest - least;
    const double longer = std::max(size.x_m, size.y_m);
    const double area = area_m2(part.outline);
    const double enough = random_.uniform(10.0, 24.0);
    if (longer < 5.0 || area < enough) {
      floor_.parts.push_back(part);
      return;
    }
    const double share = std::clamp(random_.uniform(0.35, 0.65), 2.5 / longer, 1.0 - 2.5 / longer);
    const double slant = random_.chance(0.18) ? random_.uniform(-12.0, 12.0) * kDegree_rad : 0.0;
    const bool across = size.x_m >= size.y_m;
    const Point middle = 0.5 * (least + greatest);
    const Point on =
        across ? Point{least.x_m + share * size.x_m, middle.y_m} : Point{middle.x_m, least.y_m + share * size.y_m};
    auto [a, b] = cut(part, on, direction((across ? kPi / 2.0 : 0.0) + slant), inner_thickness());
    split(a);
    split(b);
  }

  // Gives a corner room to the garden, so that the home becomes an L.
  void remove_corner() {
    std::vector<std::size_t> corner;
    const double whole = area_m2_;
    for (std::size_t i = 0; i < floor_.parts.size(); ++i) {
      const std::vector<int>& lines = floor_.parts[i].lines;
      const auto outer = std::count_if(lines.begin(), lines.end(), [this](int l) { return is_outer(l); });
      const double area = area_m2(floor_.parts[i].outline);
      if (!floor_.parts[i].hall && outer >= 2 && area > 0.06 * whole && area < 0.25 * whole) corner.push_back(i);
    }
    if (corner.empty() || floor_.parts.size() < 5) return;
    const std::size_t gone = corner[at(random_.below(static_cast<int>(corner.size())))];
    for (const int line : floor_.parts[gone].lines) floor_.lines[at(line)].thickness_m = floor_.lines[0].thickness_m;
    floor_.parts.erase(floor_.parts.begin() + static_cast<std::ptrdiff_t>(gone));
  }

  static std::size_t at(int i) { return static_cast<std::size_t>(i); }
  // The footprint's own lines come first, all with the same thickness.
  bool is_outer(int line) const { return floor_.lines[at(line)].thickness_m == floor_.lines[0].thickness_m; }

  double area_m2_;
  Random& random_;
  FloorDivision floor_;
};

}  // namespace

FloorDivision divided_floor(double area_m2, Random& random) { return Divider(area_m2, random).build(); }

std::vector<Stretch> stretches_of(const FloorDivision& floor, int line) {
  const WallLine& l = floor.lines[static_cast<std::size_t>(line)];
  const Point along = unit(l.to - l.from);
  struct Side {
    double from_m;
    double to_m;
    int room;
    bool left;
  };
  std::vector<Side> sides;
  std::vector<double> marks;
  for (std::size_t r = 0; r < floor.parts.size(); ++r) {
    for (std::size_t e = 0; e < floor.parts[r].lines.size(); ++e) {
      if (floor.parts[r].lines[e] != line) continue;
      const double a = dot(floor.parts[r].outline[e] - l.from, along);
      const double b = dot(floor.parts[r].outline[(e + 1) % floor.parts[r].outline.size()] - l.from, along);
      // Outlines run counter-clockwise: the room is on the left of its edges.
      sides.push_back({std::min(a, b), std::max(a, b), static_cast<int>(r), b > a});
      marks.insert(marks.end(), {a, b});
    }
  }
  std::sort(marks.begin(), marks.end());
  std::vector<Stretch> found;
  for (std::size_t i = 1; i < marks.size(); ++i) {
    if (marks[i] - marks[i - 1] < 1e-6) continue;
    Stretch s = {marks[i - 1], marks[i], -1, -1};
    for (const Side& side : sides) {
      const double middle = (s.from_m + s.to_m) / 2.0;
      if (middle > side.from_m && middle < side.to_m) (side.left ? s.left : s.right) = side.room;
    }
    if (s.left >= 0 || s.right >= 0) found.push_back(s);
  }
  return found;
}

}  // namespace wainscot::simulator
