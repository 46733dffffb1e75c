#include "apps/simulator/layout.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <optional>

namespace wainscot::simulator {

namespace {

/// A straight line of wall that may have several rooms on each side.
struct Line {
  Point from;
  Point to;
  double thickness_m;
};

/// A convex part of the footprint; `lines[i]` is the line that the edge from corner i to i + 1 lies on.
struct Part {
  Polygon outline;
  std::vector<int> lines;
  bool hall = false;
};

/// A stretch of one line with the same neighbours all along; -1: the garden.
struct Stretch {
  double from_m;
  double to_m;
  int left;
  int right;
};

class Builder {
 public:
  Builder(const LayoutOptions& options, Random& random) : options_(options), random_(random) {}

  Layout build() {
    const Part footprint = start();
    divide(footprint);
    if (random_.chance(0.4)) remove_corner();
    name_rooms();
    for (std::size_t i = 0; i < lines_.size(); ++i) stretches_.push_back(stretches_of(static_cast<int>(i)));
    choose_doors();
    raise_walls();
    for (std::size_t i = 0; i < parts_.size(); ++i) layout_.rooms.push_back(room(i));
    return std::move(layout_);
  }

 private:
  int add_line(Point from, Point to, double thickness_m) {
    lines_.push_back({from, to, thickness_m});
    return static_cast<int>(lines_.size()) - 1;
  }

  double inner_thickness() { return random_.chance(0.2) ? random_.uniform(0.17, 0.24) : random_.uniform(0.08, 0.15); }

  // A rectangle, some with one or two corners cut off.
  Part start() {
    const double aspect = random_.uniform(1.1, 1.7);
    const double width = std::sqrt(options_.area_m2 * aspect);
    const double depth = options_.area_m2 / width;
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
    Part part;
    part.outline = corners;
    for (std::size_t i = 0; i < corners.size(); ++i) {
      part.lines.push_back(add_line(corners[i], corners[(i + 1) % corners.size()], thickness));
    }
    return part;
  }

  // Cuts a part along a line; the first result lies on the left of `along`.
  std::pair<Part, Part> cut(const Part& part, Point on, Point along, double thickness_m) {
    Part left;
    Part right;
    std::vector<Point> ends;
    const int line = static_cast<int>(lines_.size());
    const std::size_t n = part.outline.size();
    for (std::size_t i = 0; i < n; ++i) {
      const Point a = part.outline[i];
      const Point b = part.outline[(i + 1) % n];
      const double a_side = cross(along, a - on);
      const double b_side = cross(along, b - on);
      Part& here = a_side >= 0.0 ? left : right;
      here.outline.push_back(a);
      here.lines.push_back(part.lines[i]);
      if ((a_side >= 0.0) == (b_side >= 0.0)) continue;
      const Point middle = a + (a_side / (a_side - b_side)) * (b - a);
      ends.push_back(middle);
      // On the side that is left behind the new line begins; on the other the old edge goes on.
      Part& there = a_side >= 0.0 ? right : left;
      here.outline.push_back(middle);
      here.lines.push_back(line);
      there.outline.push_back(middle);
      there.lines.push_back(part.lines[i]);
    }
    add_line(ends[0], ends[1], thickness_m);
    return {left, right};
  }

  static std::pair<Point, Point> bounds(const Part& part) {
    Point least = part.outline[0];
    Point greatest = part.outline[0];
    for (const Point p : part.outline) {
      least = {std::min(least.x_m, p.x_m), std::min(least.y_m, p.y_m)};
      greatest = {std::max(greatest.x_m, p.x_m), std::max(greatest.y_m, p.y_m)};
    }
    return {least, greatest};
  }

  void divide(const Part& footprint) {
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
      parts_.push_back(at_left ? west : east);
      strip = at_left ? east : west;
    }
    strip.hall = true;
    parts_.push_back(strip);
    Part& deep = area_m2(top.outline) > area_m2(bottom.outline) ? top : bottom;
    if (area_m2(deep.outline) > 60.0) deep = cut_side_hall(deep, least.x_m + width * random_.uniform(0.35, 0.65));
    split(top);
    split(bottom);
  }

  // A second hall off the first one; returns what is left on its east side.
  Part cut_side_hall(const Part& part, double x) {
    const Point up = {0.0, 1.0};
    const double hall = random_.uniform(1.1, 1.4);
    auto [west, rest] = cut(part, {x, 0.0}, up, inner_thickness());
    auto [strip, east] = cut(rest, {x + hall, 0.0}, up, inner_thickness());
    strip.hall = true;
    parts_.push_back(strip);
    split(west);
    return east;
  }

  void split(const Part& part) {
    const auto [least, greatest] = bounds(part);
    const Point size = greatest - least;
    const double longer = std::max(size.x_m, size.y_m);
    const double area = area_m2(part.outline);
    const double enough = random_.uniform(10.0, 24.0);
    if (longer < 5.0 || area < enough) {
      parts_.push_back(part);
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
    const double whole = options_.area_m2;
    for (std::size_t i = 0; i < parts_.size(); ++i) {
      const std::vector<int>& lines = parts_[i].lines;
      const auto outer = std::count_if(lines.begin(), lines.end(), [this](int l) { return is_outer(l); });
      const double area = area_m2(parts_[i].outline);
      if (!parts_[i].hall && outer >= 2 && area > 0.06 * whole && area < 0.25 * whole) corner.push_back(i);
    }
    if (corner.empty() || parts_.size() < 5) return;
    const std::size_t gone = corner[at(random_.below(static_cast<int>(corner.size())))];
    for (const int line : parts_[gone].lines) lines_[at(line)].thickness_m = lines_[0].thickness_m;
    parts_.erase(parts_.begin() + static_cast<std::ptrdiff_t>(gone));
  }

  static std::size_t at(int i) { return static_cast<std::size_t>(i); }
  // The footprint's own lines come first, all with the same thickness.
  bool is_outer(int line) const { return lines_[at(line)].thickness_m == lines_[0].thickness_m; }

  void name_rooms() {
    std::vector<std::size_t> order;
    kinds_.assign(parts_.size(), RoomKind::hall);
    for (std::size_t i = 0; i < parts_.size(); ++i) {
      if (!parts_[i].hall) order.push_back(i);
    }
    std::sort(order.begin(), order.end(),
              [this](std::size_t a, std::size_t b) { return area_m2(parts_[a].outline) < area_m2(parts_[b].outline); });
    for (std::size_t k = 0; k < order.size(); ++k) {
      RoomKind kind = random_.chance(0.3) ? RoomKind::office : RoomKind::bedroom;
      if (k == 0) kind = RoomKind::bath;
      if (k == 1 && order.size() > 5) kind = random_.chance(0.5) ? RoomKind::store : RoomKind::bath;
      if (k + 1 == order.size()) kind = RoomKind::living;
      if (k + 2 == order.size() && k > 0) kind = RoomKind::kitchen;
      kinds_[order[k]] = kind;
    }
  }

  std::vector<Stretch> stretches_of(int line) const {
    const Line& l = lines_[at(line)];
    const Point along = unit(l.to - l.from);
    struct Side {
      double from_m;
      double to_m;
      int room;
      bool left;
    };
    std::vector<Side> sides;
    std::vector<double> marks;
    for (std::size_t r = 0; r < parts_.size(); ++r) {
      for (std::size_t e = 0; e < parts_[r].lines.size(); ++e) {
        if (parts_[r].lines[e] != line) continue;
        const double a = dot(parts_[r].outline[e] - l.from, along);
        const double b = dot(parts_[r].outline[(e + 1) % parts_[r].outline.size()] - l.from, along);
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

  bool open_hall(const Stretch& s) const {
    return s.left >= 0 && s.right >= 0 && parts_[at(s.left)].hall && parts_[at(s.right)].hall;
  }

  struct Candidate {
    int line;
    Stretch stretch;
    double rank;
  };

  void choose_doors() {
    std::vector<Candidate> candidates;
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      for (const Stretch& s : stretches_[l]) {
        if (s.left < 0 || s.right < 0) continue;
        if (open_hall(s)) {
          join(s.left, s.right);
          const Point along = unit(lines_[l].to - lines_[l].from);
          const Point centre = lines_[l].from + ((s.from_m + s.to_m) / 2.0) * along;
          layout_.doorways.push_back({s.left, s.right, centre, along, s.to_m - s.from_m, 0.0});
          continue;
        }
        const bool hall = parts_[at(s.left)].hall || parts_[at(s.right)].hall;
        candidates.push_back({static_cast<int>(l), s, random_.uniform() + (hall ? 0.0 : 1.0)});
      }
    }
    std::sort(candidates.begin(), candidates.end(),
              [](const Candidate& a, const Candidate& b) { return a.rank < b.rank; });
    std::vector<Candidate> spare;
    for (const Candidate& c : candidates) {
      if (root(c.stretch.left) == root(c.stretch.right) || !add_door(c)) spare.push_back(c);
    }
    for (const Candidate& c : spare) {
      const bool private_room = is(c, RoomKind::bath) || is(c, RoomKind::store);
      const bool social = is(c, RoomKind::living) && is(c, RoomKind::kitchen);
      if (private_room || joined(c.stretch.left, c.stretch.right)) continue;
      if (random_.chance(social ? 0.8 : 0.3) && add_door(c)) ++layout_.rings;
    }
    for (const Candidate& c : spare) {
      if (layout_.rings > 0 || random_.chance(0.1)) break;
      if (!joined(c.stretch.left, c.stretch.right) && add_door(c)) ++layout_.rings;
    }
  }

  bool is(const Candidate& c, RoomKind kind) const {
    return kinds_[at(c.stretch.left)] == kind || kinds_[at(c.stretch.right)] == kind;
  }

  bool joined(int a, int b) const {
    return std::any_of(layout_.doorways.begin(), layout_.doorways.end(), [a, b](const Doorway& d) {
      return (d.room_a == a && d.room_b == b) || (d.room_a == b && d.room_b == a);
    });
  }

  bool add_door(const Candidate& c) {
    const Line& line = lines_[at(c.line)];
    const Point along = unit(line.to - line.from);
    double width = std::max(options_.least_door_m, 0.7 + 0.05 * random_.below(5));
    const bool wide = is(c, RoomKind::living) && random_.chance(0.35);
    if (wide) width = random_.uniform(1.2, 1.8);
    const double margin = 0.27 + width / 2.0;
    const double room = c.stretch.to_m - c.stretch.from_m - 2.0 * margin;
    if (room < 0.0) return false;
    double place = random_.uniform();
    if (random_.chance(0.6)) place = place < 0.5 ? 0.0 : 1.0;  // near a corner, as most doors are
    Opening opening;
    opening.at_m = c.stretch.from_m + margin + place * room;
    opening.width_m = width;
    opening.threshold = random_.chance(0.25);
    const bool into_left =
        parts_[at(c.stretch.right)].hall || (!parts_[at(c.stretch.left)].hall && random_.chance(0.5));
    const Point centre = line.from + opening.at_m * along;
    // Two leaves in one corner would shut the way.
    const bool alone = std::none_of(layout_.doorways.begin(), layout_.doorways.end(), [&](const Doorway& d) {
      return norm(d.centre - centre) < 0.7 * (d.width_m + width) + 0.3;
    });
    if (!wide && alone && random_.chance(0.7)) opening.leaf = leaf(c.stretch, opening, place < 0.5, into_left);
    openings_.push_back({c.line, opening});
    join(c.stretch.left, c.stretch.right);
    layout_.doorways.push_back({c.stretch.left, c.stretch.right, centre, along, width, line.thickness_m});
    return true;
  }

  // Hinged on the side of the nearer corner and open about square, or flat against the wall where there is wall.
  DoorLeaf leaf(const Stretch& s, const Opening& opening, bool near_start, bool into_left) {
    const double before = opening.at_m - s.from_m;
    const double after = s.to_m - opening.at_m;
    if (std::max(before, after) > 1.5 * opening.width_m + 0.25 && random_.chance(0.3)) {
      return {before > after, into_left, random_.uniform(168.0, 176.0)};
    }
    return {near_start, into_left, random_.uniform(84.0, 94.0)};
  }

  int root(int room) {
    if (roots_.empty()) {
      roots_.resize(parts_.size());
      std::iota(roots_.begin(), roots_.end(), 0);
    }
    while (roots_[at(room)] != room) room = roots_[at(room)];
    return room;
  }
  void join(int a, int b) { roots_[at(root(a))] = root(b); }

  // Everything about walls that is not a door: panes and bays, then the walls themselves.
  void raise_walls() {
    bool bay = random_.chance(0.4);
    for (std::size_t l = 0; l < lines_.size(); ++l) {
      std::optional<Stretch> run;  // stretches that touch become one wall
      for (const Stretch& s : stretches_[l]) {
        const bool outer = s.left < 0 || s.right < 0;
        if (outer) bay = !(bay && add_bay(l, s)) && bay;
        if (!outer || random_.chance(0.5)) add_pane(l, s);
        if (open_hall(s)) {
          if (run) raise(l, *run);
          run.reset();
        } else if (run && s.from_m - run->to_m < 1e-6) {
          run->to_m = s.to_m;
        } else {
          if (run) raise(l, *run);
          run = s;
        }
      }
      if (run) raise(l, *run);
    }
  }

  bool free_for(std::size_t line, double from_m, double to_m) const {
    return std::none_of(openings_.begin(), openings_.end(), [&](const auto& o) {
      return o.first == static_cast<int>(line) && from_m < o.second.at_m + o.second.width_m / 2.0 + 0.15 &&
             to_m > o.second.at_m - o.second.width_m / 2.0 - 0.15;
    });
  }

  bool add_bay(std::size_t line, const Stretch& s) {
    const int inside = s.left >= 0 ? s.left : s.right;
    const double length = s.to_m - s.from_m;
    if (parts_[at(inside)].hall || length < 3.0 || !random_.chance(0.5)) return false;
    const double width = random_.uniform(1.5, std::min(2.4, length - 1.0));
    const double middle = random_.uniform(s.from_m + 0.4 + width / 2.0, s.to_m - 0.4 - width / 2.0);
    if (!free_for(line, middle - width / 2.0, middle + width / 2.0)) return false;
    const Line& l = lines_[line];
    const Point along = unit(l.to - l.from);
    const Point out = (s.left >= 0 ? -1.0 : 1.0) * left_of(along);
    const double depth = random_.uniform(0.5, 0.9);
    const Point a = l.from + (middle - width / 2.0 - 0.08) * along;
    const Point d = l.from + (middle + width / 2.0 + 0.08) * along;
    const Point b = a + depth * out + (0.5 * depth) * along;
    const Point c = d + depth * out - (0.5 * depth) * along;
    openings_.push_back({static_cast<int>(line), Opening{middle, width, std::nullopt, false, false}});
    const double thickness = 0.2;
    layout_.walls.push_back({a, b + (0.05 * unit(b - a)), thickness, {}});
    layout_.walls.push_back({b, c, thickness, {}});
    layout_.walls.push_back({c + (0.05 * unit(c - d)), d, thickness, {}});
    return true;
  }

  // A window down to the floor, or a glazed piece of an inner wall.
  void add_pane(std::size_t line, const Stretch& s) {
    const bool outer = s.left < 0 || s.right < 0;
    const auto social = [this](int r) {
      return r >= 0 && (kinds_[at(r)] == RoomKind::living || kinds_[at(r)] == RoomKind::kitchen);
    };
    if (!(social(s.left) || social(s.right)) || open_hall(s) || !random_.chance(outer ? 0.5 : 0.12)) return;
    const double length = s.to_m - s.from_m;
    if (length < 2.0) return;
    const double width = random_.uniform(0.8, std::min(2.0, length - 0.8));
    const double middle = random_.uniform(s.from_m + 0.35 + width / 2.0, s.to_m - 0.35 - width / 2.0);
    if (!free_for(line, middle - width / 2.0, middle + width / 2.0)) return;
    openings_.push_back({static_cast<int>(line), Opening{middle, width, std::nullopt, true, false}});
  }

  // How far a wall reaches past its end, so that corners close: half of the thinner wall there.
  double overlap(std::size_t line, Point end) const {
    double thinnest = lines_[line].thickness_m;
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      if (i == line || distance_m(end, lines_[i].from, lines_[i].to) > 0.01) continue;
      thinnest = std::min(thinnest, lines_[i].thickness_m);
    }
    return thinnest / 2.0;
  }

  void raise(std::size_t line, const Stretch& run) {
    const Line& l = lines_[line];
    const Point along = unit(l.to - l.from);
    const double before = overlap(line, l.from + run.from_m * along);
    const double after = overlap(line, l.from + run.to_m * along);
    Wall wall = {l.from + (run.from_m - before) * along, l.from + (run.to_m + after) * along, l.thickness_m, {}};
    for (const auto& [owner, opening] : openings_) {
      if (owner != static_cast<int>(line) || opening.at_m < run.from_m || opening.at_m > run.to_m) continue;
      Opening moved = opening;
      moved.at_m += before - run.from_m;
      wall.openings.push_back(moved);
    }
    layout_.walls.push_back(wall);
  }

  Room room(std::size_t i) const {
    Room made;
    made.outline = parts_[i].outline;
    for (const int line : parts_[i].lines) made.wall_m.push_back(lines_[at(line)].thickness_m);
    made.kind = kinds_[i];
    return made;
  }

  const LayoutOptions& options_;
  Random& random_;
  std::vector<Line> lines_;
  std::vector<Part> parts_;
  std::vector<RoomKind> kinds_;
  std::vector<std::vector<Stretch>> stretches_;
  std::vector<std::pair<int, Opening>> openings_;  ///< with the line that they are in
  std::vector<int> roots_;
  Layout layout_;
};

}  // namespace

Layout random_layout(const LayoutOptions& options, Random& random) { return Builder(options, random).build(); }

}  // namespace wainscot::simulator
