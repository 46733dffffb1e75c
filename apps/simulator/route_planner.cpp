#include "apps/simulator/route_planner.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <queue>

#include "apps/simulator/furnish.hpp"

namespace wainscot::simulator {

namespace {

constexpr double kCell_m = 0.05;
constexpr float kMost_m = 1.0F;

}  // namespace

struct FloorGrid::Search {
  std::vector<double> cost;
  std::vector<int> before;
};

FloorGrid::FloorGrid(const Plan& plan, double least_clearance_m) : least_clearance_m_(least_clearance_m) {
  std::vector<Surface> things = as_segments(surfaces_of(plan));
  for (const Furniture& item : plan.furniture) {
    const Polygon outline = footprint(item);
    for (std::size_t i = 0; i < outline.size(); ++i) {
      things.push_back({outline[i], outline[(i + 1) % outline.size()], SurfaceKind::furniture, 0});
    }
  }
  Point least = {1e9, 1e9};
  Point greatest = {-1e9, -1e9};
  for (const Surface& s : things) {
    least = {std::min({least.x_m, s.from.x_m, s.to.x_m}), std::min({least.y_m, s.from.y_m, s.to.y_m})};
    greatest = {std::max({greatest.x_m, s.from.x_m, s.to.x_m}), std::max({greatest.y_m, s.from.y_m, s.to.y_m})};
  }
  corner_ = least;
  columns_ = static_cast<int>((greatest.x_m - least.x_m) / kCell_m) + 1;
  rows_ = static_cast<int>((greatest.y_m - least.y_m) / kCell_m) + 1;
  clearance_.assign(static_cast<std::size_t>(cells()), kMost_m);
  for (const Surface& s : things) {
    const Point reach = {1.0, 1.0};
    const Point low = Point{std::min(s.from.x_m, s.to.x_m), std::min(s.from.y_m, s.to.y_m)} - reach - corner_;
    const Point high = Point{std::max(s.from.x_m, s.to.x_m), std::max(s.from.y_m, s.to.y_m)} + reach - corner_;
    for (int row = std::max(0, static_cast<int>(low.y_m / kCell_m));
         row <= std::min(rows_ - 1, static_cast<int>(high.y_m / kCell_m)); ++row) {
      for (int column = std::max(0, static_cast<int>(low.x_m / kCell_m));
           column <= std::min(columns_ - 1, static_cast<int>(high.x_m / kCell_m)); ++column) {
        const int i = row * columns_ + column;
        float& known = clearance_[static_cast<std::size_t>(i)];
        known = std::min(known, static_cast<float>(distance_m(centre(i), s.from, s.to)));
      }
    }
  }
  for (const Furniture& item : plan.furniture) {
    const Polygon outline = footprint(item);
    for (int i = 0; i < cells(); ++i) {
      if (norm(centre(i) - item.centre) < 3.0 && contains(outline, centre(i))) {
        clearance_[static_cast<std::size_t>(i)] = 0.0F;
      }
    }
  }
}

int FloorGrid::cell(Point p) const {
  const int column = std::clamp(static_cast<int>(std::floor((p.x_m - corner_.x_m) / kCell_m)), 0, columns_ - 1);
  const int row = std::clamp(static_cast<int>(std::floor((p.y_m - corner_.y_m) / kCell_m)), 0, rows_ - 1);
  return row * columns_ + column;
}

Point FloorGrid::centre(int cell) const {
  const int row = cell / columns_;
  return corner_ + Point{(cell % columns_ + 0.5) * kCell_m, (row + 0.5) * kCell_m};
}

bool FloorGrid::free(int cell) const {
  return static_cast<double>(clearance_[static_cast<std::size_t>(cell)]) >= least_clearance_m_;
}

double FloorGrid::clearance_m(Point p) const {
  const Point in = p - corner_;
  if (in.x_m < 0.0 || in.y_m < 0.0 || in.x_m > columns_ * kCell_m || in.y_m > rows_ * kCell_m) return 0.0;
  return static_cast<double>(clearance_[static_cast<std::size_t>(cell(p))]);
}

double FloorGrid::clearance_m(Point from, Point to) const {
  const int steps = static_cast<int>(norm(to - from) / (kCell_m / 2.0)) + 1;
  double least = kInfinity;
  for (int i = 0; i <= steps; ++i) {
    least = std::min(least, clearance_m(from + (static_cast<double>(i) / steps) * (to - from)));
  }
  return least;
}

// Dijkstra's search over the eight neighbours (E. W. Dijkstra, Numerische Mathematik 1, 1959); stops at `goal` if that
// is a cell.
FloorGrid::Search FloorGrid::search(Point from, int goal, const std::function<double(Point)>& dislike) const {
  Search found;
  found.cost.assign(static_cast<std::size_t>(cells()), kInfinity);
  found.before.assign(static_cast<std::size_t>(cells()), -1);
  using Entry = std::pair<double, int>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> open;
  found.cost[static_cast<std::size_t>(cell(from))] = 0.0;
  open.emplace(0.0, cell(from));
  while (!open.empty()) {
    const auto [cost, here] = open.top();
    open.pop();
    if (here == goal) break;
    if (cost > found.cost[static_cast<std::size_t>(here)]) continue;
    for (int k = 0; k < 9; ++k) {
      const int column = here % columns_ + k % 3 - 1;
      const int row = here / columns_ + k / 3 - 1;
      if (k == 4 || column < 0 || column >= columns_ || row < 0 || row >= rows_) continue;
      const int next = row * columns_ + column;
      if (!free(next)) continue;
      const double lack = std::max(0.0, 1.0 - static_cast<double>(clearance_[static_cast<std::size_t>(next)]) / 0.6);
      const double step = (k % 2 == 0 ? 1.41421356 : 1.0) * kCell_m;
      const double total = cost + step * (1.0 + 5.0 * lack * lack) * (dislike ? dislike(centre(next)) : 1.0);
      if (total < found.cost[static_cast<std::size_t>(next)]) {
        found.cost[static_cast<std::size_t>(next)] = total;
        found.before[static_cast<std::size_t>(next)] = here;
        open.emplace(total, next);
      }
    }
  }
  return found;
}

std::vector<double> FloorGrid::costs_from(Point from) const { return search(from, -1, nullptr).cost; }

std::optional<std::vector<Point>> FloorGrid::way(Point from, Point to,
                                                 const std::function<double(Point)>& dislike) const {
  const Search found = search(from, cell(to), dislike);
  std::vector<Point> points;
  if (!std::isfinite(found.cost[static_cast<std::size_t>(cell(to))])) return std::nullopt;
  for (int i = cell(to); i >= 0; i = found.before[static_cast<std::size_t>(i)]) points.push_back(centre(i));
  std::reverse(points.begin(), points.end());
  return straightened(points);
}

// Pulls the string tight where that costs little clearance.
std::vector<Point> FloorGrid::straightened(const std::vector<Point>& points) const {
  std::vector<Point> tight = {points.front()};
  std::size_t here = 0;
  while (here + 1 < points.size()) {
    std::size_t next = here + 1;
    double room = clearance_m(points[here]);
    for (std::size_t i = here + 1; i < points.size() && i < here + 80; ++i) {
      room = std::min(room, clearance_m(points[i]));
      if (clearance_m(points[here], points[i]) >= std::min(room * 0.93, least_clearance_m_ + 0.25)) next = i;
    }
    tight.push_back(points[next]);
    here = next;
  }
  return tight;
}

}  // namespace wainscot::simulator
