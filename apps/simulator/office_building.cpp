#include "apps/simulator/office_building.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace wainscot::simulator {

namespace {

constexpr double kWall_m = 0.15;
constexpr double kOuterWall_m = 0.3;

/// A room's door, seen from its corridor.
struct Office {
  Point door;
  double into = 1.0;  ///< the room lies at larger y (1) or smaller y (-1)
};

/// Where two corridors cross.
struct Crossing {
  int column = 0;
  int row = 0;
  friend bool operator==(Crossing a, Crossing b) { return a.column == b.column && a.row == b.row; }
};

class OfficeBuilder {
 public:
  explicit OfficeBuilder(Random& random) : random_(random) {}

  OfficeBuilding build(double least_way_m) {
    draw_sizes();
    raise_outer_walls();
    for (std::size_t column = 0; column + 1 < x_.size(); ++column) {
      for (std::size_t row = 0; row + 1 < y_.size(); ++row) raise_block(column, row);
    }
    find_route(least_way_m);
    return std::move(building_);
  }

 private:
  // x_ and y_: the middles of the corridors.
  void draw_sizes() {
    corridor_m_ = rounded(random_.uniform(1.8, 2.6), 0.01);
    const int columns = 3 + random_.below(2);
    const int rows = 2 + random_.below(2);
    x_ = {0.0};
    y_ = {0.0};
    for (int i = 0; i < columns; ++i)
      x_.push_back(rounded(x_.back() + corridor_m_ + random_.uniform(12.0, 18.0), 0.01));
    for (int i = 0; i < rows; ++i) y_.push_back(rounded(y_.back() + corridor_m_ + random_.uniform(9.0, 12.0), 0.01));
    offices_.resize(y_.size());
  }

  void raise_outer_walls() {
    const double out = (corridor_m_ + kOuterWall_m) / 2.0;
    const double west = -out;
    const double south = -out;
    const double east = x_.back() + out;
    const double north = y_.back() + out;
    const double over = kOuterWall_m / 2.0;
    building_.walls.push_back({{west - over, south}, {east + over, south}, kOuterWall_m, {}});
    building_.walls.push_back({{east, south}, {east, north}, kOuterWall_m, {}});
    building_.walls.push_back({{west - over, north}, {east + over, north}, kOuterWall_m, {}});
    building_.walls.push_back({{west, south}, {west, north}, kOuterWall_m, {}});
    // Ribs between the windows, at uneven places.
    for (double x = random_.uniform(2.0, 6.0); x < x_.back(); x += random_.uniform(3.0, 9.0)) {
      add_box("rib", {x, random_.chance(0.5) ? south + over : north - over}, 0.35, 0.24);
    }
    for (double y = random_.uniform(2.0, 6.0); y < y_.back(); y += random_.uniform(3.0, 9.0)) {
      add_box("rib", {random_.chance(0.5) ? west + over : east - over, y}, 0.24, 0.35);
    }
  }

  void raise_block(std::size_t column, std::size_t row) {
    const double inset = (corridor_m_ + kWall_m) / 2.0;
    const Point low = {x_[column] + inset, y_[row] + inset};
    const Point high = {x_[column + 1] - inset, y_[row + 1] - inset};
    const double middle = rounded(random_.uniform(0.42, 0.58) * (high.y_m - low.y_m) + low.y_m, 0.01);
    building_.walls.push_back({{low.x_m, low.y_m}, {low.x_m, high.y_m}, kWall_m, {}});
    building_.walls.push_back({{high.x_m, low.y_m}, {high.x_m, high.y_m}, kWall_m, {}});
    building_.walls.push_back({{low.x_m, middle}, {high.x_m, middle}, kWall_m, {}});
    raise_front(low, high.x_m, low.y_m, middle, row);
    raise_front(low, high.x_m, high.y_m, middle, row + 1);
    if (random_.chance(0.5)) {
      const bool west = random_.chance(0.5);
      const double x = west ? low.x_m - kWall_m / 2.0 - 0.2 : high.x_m + kWall_m / 2.0 + 0.2;
      add_box("cupboard", {x, random_.uniform(low.y_m + 1.0, high.y_m - 1.0)}, 0.4, random_.uniform(0.6, 1.4));
    }
  }

  // A front along a corridor with the rooms behind it.
  void raise_front(Point low, double east, double front, double back, std::size_t corridor) {
    const double over = kWall_m / 2.0;
    Wall wall = {{low.x_m - over, front}, {east + over, front}, kWall_m, {}};
    const double into = back > front ? 1.0 : -1.0;
    double from = low.x_m;
    while (from < east - 0.1) {
      double to = from + random_.uniform(3.0, 6.0);
      if (random_.chance(0.12)) to = from + random_.uniform(7.0, 11.0);  // a hall for meetings
      if (to > east - 2.8) to = east;
      const double width = rounded(random_.uniform(0.9, 1.05), 0.05);
      const double margin = 0.45 + width / 2.0;
      const double at = rounded(random_.uniform(from + margin, to - margin), 0.01);
      Opening opening = {at - wall.from.x_m, width, std::nullopt, false, random_.chance(0.1)};
      if (random_.chance(0.3)) {
        opening.leaf = DoorLeaf{true, true, 0.0};  // shut, and never visited
      } else {
        offices_[corridor].push_back({{at, front}, into});
      }
      wall.openings.push_back(opening);
      furnish({from, front}, {to, back}, at);
      if (to < east) building_.walls.push_back({{to, front}, {to, back}, 0.1, {}});
      from = to;
    }
    building_.walls.push_back(wall);
  }

  // The way in, two metres deep, stays free.
  void furnish(Point front, Point back, double door_x) {
    const double into = back.y_m > front.y_m ? 1.0 : -1.0;
    const double deep = std::abs(back.y_m - front.y_m);
    const double wide = back.x_m - front.x_m;
    const double desk = std::min(1.6, wide - 1.0);
    add_box("desk",
            {random_.uniform(front.x_m + 0.2 + desk / 2.0, back.x_m - 0.2 - desk / 2.0), back.y_m - into * (0.1 + 0.4)},
            desk, random_.uniform(0.5, 0.8));
    if (random_.chance(0.7)) {
      const bool west = door_x > (front.x_m + back.x_m) / 2.0;
      const double x = west ? front.x_m + 0.05 + 0.2 : back.x_m - 0.05 - 0.2;
      add_box("shelf", {x, front.y_m + into * random_.uniform(1.0, deep - 1.6)}, 0.4, random_.uniform(0.6, 1.2));
    }
    if (random_.chance(0.5) && deep > 3.6) {
      Furniture chair = {"chair", FurnitureShape::legs, {}, 0.45, 0.45, random_.uniform(0.0, 90.0), 0.03};
      chair.centre = rounded(Point{random_.uniform(front.x_m + 0.5, back.x_m - 0.5), back.y_m - into * 1.1});
      building_.furniture.push_back(chair);
    }
  }

  void add_box(const char* name, Point centre, double length, double width) {
    building_.furniture.push_back(
        {name, FurnitureShape::box, rounded(centre), rounded(length, 0.01), rounded(width, 0.01), 0.0, 0.04});
  }

  Point place(Crossing c) const {
    return {x_[static_cast<std::size_t>(c.column)], y_[static_cast<std::size_t>(c.row)]};
  }

  // Along corridors, seldom back at once, rather where it was less often; home when the way is long enough.
  void find_route(double least_way_m) {
    const Crossing home = {0, 0};
    Crossing before = home;
    Crossing here = home;
    uses_.assign(x_.size() * y_.size() * x_.size() * y_.size(), 0);
    add_point(place(here));
    while (building_.way_m + norm(place(here) - place(home)) < least_way_m) {
      const Crossing next = choose(before, here);
      go(here, next, true);
      before = here;
      here = next;
    }
    while (!(here == home)) {
      const Crossing next = here.column > 0 ? Crossing{here.column - 1, here.row} : Crossing{here.column, here.row - 1};
      go(here, next, false);
      here = next;
    }
  }

  std::size_t edge(Crossing a, Crossing b) const {
    const auto index = [this](Crossing c) {
      return static_cast<std::size_t>(c.row) * x_.size() + static_cast<std::size_t>(c.column);
    };
    return std::min(index(a), index(b)) * x_.size() * y_.size() + std::max(index(a), index(b));
  }

  Crossing choose(Crossing before, Crossing here) {
    std::optional<Crossing> best;
    double least = 0.0;
    for (const Crossing way : {Crossing{1, 0}, Crossing{-1, 0}, Crossing{0, 1}, Crossing{0, -1}}) {
      const Crossing next = {here.column + way.column, here.row + way.row};
      const bool inside = next.column >= 0 && next.column < static_cast<int>(x_.size()) && next.row >= 0 &&
                          next.row < static_cast<int>(y_.size());
      const double merit = random_.uniform(0.0, 1.5);
      if (!inside || next == before) continue;
      const double cost = uses_[edge(here, next)] + merit;
      if (!best || cost < least) {
        best = next;
        least = cost;
      }
    }
    return *best;
  }

  void go(Crossing from, Crossing to, bool visiting) {
    ++uses_[edge(from, to)];
    if (visiting && from.row == to.row && random_.chance(0.6)) visit_between(from, to);
    add_point(to == Crossing{0, 0} && !visiting ? place(to) : passing(place(to)));
  }

  // Nobody drives along the very middle each time; a cupboard may stand on one side.
  Point passing(Point middle) {
    const double aside = corridor_m_ / 2.0 - 0.4 - 0.25 - 0.1;
    const double east = random_.uniform(-aside, aside);
    const double north = random_.uniform(-aside, aside);
    return middle + Point{east, north};
  }

  void visit_between(Crossing from, Crossing to) {
    const double low = std::min(place(from).x_m, place(to).x_m);
    const double high = std::max(place(from).x_m, place(to).x_m);
    std::vector<Office> near;
    for (const Office& office : offices_[static_cast<std::size_t>(from.row)]) {
      if (office.door.x_m > low && office.door.x_m < high) near.push_back(office);
    }
    if (near.empty()) return;
    const Office office = near[static_cast<std::size_t>(random_.below(static_cast<int>(near.size())))];
    add_point({office.door.x_m, passing(place(from)).y_m});
    add_point(office.door + Point{0.0, office.into * random_.uniform(1.0, 1.9)});
    add_point({office.door.x_m, passing(place(from)).y_m});
  }

  void add_point(Point point) {
    if (!building_.route.empty()) building_.way_m += norm(point - building_.route.back().point);
    building_.route.push_back({rounded(point)});
  }

  Random& random_;
  double corridor_m_ = 2.0;
  std::vector<double> x_;
  std::vector<double> y_;
  std::vector<std::vector<Office>> offices_;  ///< by corridor, from south to north
  std::vector<int> uses_;
  OfficeBuilding building_;
};

}  // namespace

OfficeBuilding office_building(double least_way_m, Random& random) { return OfficeBuilder(random).build(least_way_m); }

}  // namespace wainscot::simulator
