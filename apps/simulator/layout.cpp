#include "apps/simulator/layout.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <optional>
#include <utility>

#include "apps/simulator/floor_division.hpp"

namespace wainscot::simulator {

namespace {

class HomeBuilder {
 public:
  HomeBuilder(FloorDivision floor, double least_door_m, Random& random)
      : floor_(std::move(floor)), least_door_m_(least_door_m), random_(random) {}

  Layout build() {
    name_rooms();
    for (std::size_t i = 0; i < floor_.lines.size(); ++i) {
      stretches_.push_back(stretches_of(floor_, static_cast<int>(i)));
    }
    choose_doors();
    raise_walls();
    for (std::size_t i = 0; i < floor_.parts.size(); ++i) layout_.rooms.push_back(room(i));
    return std::move(layout_);
  }

 private:
  void name_rooms() {
    std::vector<std::size_t> order;
    kinds_.assign(floor_.parts.size(), RoomKind::hall);
    for (std::size_t i = 0; i < floor_.parts.size(); ++i) {
      if (!floor_.parts[i].hall) order.push_back(i);
    }
    std::sort(order.begin(), order.end(), [this](std::size_t a, std::size_t b) {
      return area_m2(floor_.parts[a].outline) < area_m2(floor_.parts[b].outline);
    });
    for (std::size_t k = 0; k < order.size(); ++k) {
      RoomKind kind = random_.chance(0.3) ? RoomKind::office : RoomKind::bedroom;
      if (k == 0) kind = RoomKind::bath;
      if (k == 1 && order.size() > 5) kind = random_.chance(0.5) ? RoomKind::store : RoomKind::bath;
      if (k + 1 == order.size()) kind = RoomKind::living;
      if (k + 2 == order.size() && k > 0) kind = RoomKind::kitchen;
      kinds_[order[k]] = kind;
    }
  }

  static std::size_t at(int i) { return static_cast<std::size_t>(i); }

  bool open_hall(const Stretch& s) const {
    return s.left >= 0 && s.right >= 0 && floor_.parts[at(s.left)].hall && floor_.parts[at(s.right)].hall;
  }

  struct Candidate {
    int line;
    Stretch stretch;
    double rank;
  };

  void choose_doors() {
    std::vector<Candidate> candidates;
    for (std::size_t l = 0; l < floor_.lines.size(); ++l) {
      for (const Stretch& s : stretches_[l]) {
        if (s.left < 0 || s.right < 0) continue;
        if (open_hall(s)) {
          join(s.left, s.right);
          const Point along = unit(floor_.lines[l].to - floor_.lines[l].from);
          const Point centre = floor_.lines[l].from + ((s.from_m + s.to_m) / 2.0) * along;
          layout_.doorways.push_back({s.left, s.right, centre, along, s.to_m - s.from_m, 0.0});
          continue;
        }
        const bool hall = floor_.parts[at(s.left)].hall || floor_.parts[at(s.right)].hall;
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
    const WallLine& line = floor_.lines[at(c.line)];
    const Point along = unit(line.to - line.from);
    double width = std::max(least_door_m_, 0.7 + 0.05 * random_.below(5));
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
        floor_.parts[at(c.stretch.right)].hall || (!floor_.parts[at(c.stretch.left)].hall && random_.chance(0.5));
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
      roots_.resize(floor_.parts.size());
      std::iota(roots_.begin(), roots_.end(), 0);
    }
    while (roots_[at(room)] != room) room = roots_[at(room)];
    return room;
  }
  void join(int a, int b) { roots_[at(root(a))] = root(b); }

  // Everything about walls that is not a door: panes and bays, then the walls themselves.
  void raise_walls() {
    bool bay = random_.chance(0.4);
    for (std::size_t l = 0; l < floor_.lines.size(); ++l) {
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
    if (floor_.parts[at(inside)].hall || length < 3.0 || !random_.chance(0.5)) return false;
    const double width = random_.uniform(1.5, std::min(2.4, length - 1.0));
    const double middle = random_.uniform(s.from_m + 0.4 + width / 2.0, s.to_m - 0.4 - width / 2.0);
    if (!free_for(line, middle - width / 2.0, middle + width / 2.0)) return false;
    const WallLine& l = floor_.lines[line];
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
    double thinnest = floor_.lines[line].thickness_m;
    for (std::size_t i = 0; i < floor_.lines.size(); ++i) {
      if (i == line || distance_m(end, floor_.lines[i].from, floor_.lines[i].to) > 0.01) continue;
      thinnest = std::min(thinnest, floor_.lines[i].thickness_m);
    }
    return thinnest / 2.0;
  }

  void raise(std::size_t line, const Stretch& run) {
    const WallLine& l = floor_.lines[line];
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
    made.outline = floor_.parts[i].outline;
    for (const int line : floor_.parts[i].lines) made.wall_m.push_back(floor_.lines[at(line)].thickness_m);
    made.kind = kinds_[i];
    return made;
  }

  FloorDivision floor_;
  double least_door_m_;
  Random& random_;
  std::vector<RoomKind> kinds_;
  std::vector<std::vector<Stretch>> stretches_;
  std::vector<std::pair<int, Opening>> openings_;  ///< with the line that they are in
  std::vector<int> roots_;
  Layout layout_;
};

}  // namespace

Layout random_layout(const LayoutOptions& options, Random& random) {
  FloorDivision floor = divided_floor(options.area_m2, random);
  return HomeBuilder(std::move(floor), options.least_door_m, random).build();
}

}  // namespace wainscot::simulator
