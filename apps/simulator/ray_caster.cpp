#include "apps/simulator/ray_caster.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace wainscot::simulator {

namespace {

constexpr double kBucket_m = 0.25;

double range_to_flat(Point from, Point along, const Surface& s) {
  const Point side = s.to - s.from;
  const double turn = cross(along, side);
  if (turn == 0.0) return kInfinity;
  const Point way = s.from - from;
  const double range = cross(way, side) / turn;
  const double u = cross(way, along) / turn;
  return range >= 0.0 && u >= 0.0 && u <= 1.0 ? range : kInfinity;
}

}  // namespace

double range_to_round(Point from, Point along, Point centre, double radius_m) {
  const Point way = centre - from;
  const double middle = dot(way, along);
  const double rest = radius_m * radius_m - (dot(way, way) - middle * middle);
  if (rest < 0.0) return kInfinity;
  const double range = middle - std::sqrt(rest);
  return range >= 0.0 ? range : kInfinity;
}

RayCaster::RayCaster(const Surfaces& surfaces) : flat_(surfaces.flat), round_(surfaces.round) {
  Point least = {kInfinity, kInfinity};
  Point greatest = {-kInfinity, -kInfinity};
  const auto include = [&](Point p) {
    least = {std::min(least.x_m, p.x_m), std::min(least.y_m, p.y_m)};
    greatest = {std::max(greatest.x_m, p.x_m), std::max(greatest.y_m, p.y_m)};
  };
  for (const Surface& s : flat_) {
    include(s.from);
    include(s.to);
  }
  for (const RoundSurface& r : round_) {
    include(r.centre - Point{r.radius_m, r.radius_m});
    include(r.centre + Point{r.radius_m, r.radius_m});
  }
  if (!(least.x_m <= greatest.x_m)) least = greatest = {0.0, 0.0};
  corner_ = least - Point{kBucket_m, kBucket_m};
  columns_ = static_cast<int>((greatest.x_m - corner_.x_m) / kBucket_m) + 2;
  rows_ = static_cast<int>((greatest.y_m - corner_.y_m) / kBucket_m) + 2;

  sort_into_buckets();
}

void RayCaster::sort_into_buckets() {
  std::vector<std::vector<std::uint32_t>> lists(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
  const auto add = [&](std::uint32_t index, Point low, Point high, auto&& near) {
    for (int row = static_cast<int>((low.y_m - corner_.y_m) / kBucket_m);
         row <= static_cast<int>((high.y_m - corner_.y_m) / kBucket_m); ++row) {
      for (int column = static_cast<int>((low.x_m - corner_.x_m) / kBucket_m);
           column <= static_cast<int>((high.x_m - corner_.x_m) / kBucket_m); ++column) {
        const Point centre = corner_ + Point{(column + 0.5) * kBucket_m, (row + 0.5) * kBucket_m};
        if (near(centre)) lists[bucket_at(column, row)].push_back(index);
      }
    }
  };
  constexpr double kHalfDiagonal_m = 0.7072 * kBucket_m + 1e-6;
  for (std::size_t i = 0; i < flat_.size(); ++i) {
    const Surface& s = flat_[i];
    const Point low = {std::min(s.from.x_m, s.to.x_m) - 1e-6, std::min(s.from.y_m, s.to.y_m) - 1e-6};
    const Point high = {std::max(s.from.x_m, s.to.x_m) + 1e-6, std::max(s.from.y_m, s.to.y_m) + 1e-6};
    add(static_cast<std::uint32_t>(i), low, high,
        [&](Point c) { return distance_m(c, s.from, s.to) <= kHalfDiagonal_m; });
  }
  for (std::size_t i = 0; i < round_.size(); ++i) {
    const RoundSurface& r = round_[i];
    const Point reach = {r.radius_m, r.radius_m};
    add(static_cast<std::uint32_t>(flat_.size() + i), r.centre - reach, r.centre + reach,
        [&](Point c) { return norm(c - r.centre) <= r.radius_m + kHalfDiagonal_m; });
  }
  buckets_.resize(lists.size());
  for (std::size_t i = 0; i < lists.size(); ++i) {
    buckets_[i] = {static_cast<std::uint32_t>(primitives_.size()), static_cast<std::uint32_t>(lists[i].size())};
    primitives_.insert(primitives_.end(), lists[i].begin(), lists[i].end());
  }
}

void RayCaster::try_primitive(std::uint32_t index, Point from, Point along, bool through_glass,
                              Nearest& nearest) const {
  double range = kInfinity;
  if (index < flat_.size()) {
    const Surface& s = flat_[index];
    if (through_glass && s.kind == SurfaceKind::glass) return;
    range = range_to_flat(from, along, s);
  } else {
    const RoundSurface& r = round_[index - flat_.size()];
    range = range_to_round(from, along, r.centre, r.radius_m);
  }
  if (range < nearest.range_m) nearest = {range, index};
}

Hit RayCaster::hit(const Nearest& nearest, Point from, Point along) const {
  if (nearest.primitive < 0) return {};
  const auto index = static_cast<std::size_t>(nearest.primitive);
  if (index < flat_.size()) {
    const Surface& s = flat_[index];
    const Point side = unit(s.to - s.from);
    const double sine = std::abs(cross(along, side));
    return {nearest.range_m, s.face, s.kind, std::acos(std::min(1.0, sine)), side};
  }
  const RoundSurface& r = round_[index - flat_.size()];
  const double aside = std::abs(cross(along, r.centre - from)) / r.radius_m;
  return {nearest.range_m, r.face, r.kind, std::asin(std::min(1.0, aside)), {}};
}

Hit RayCaster::cast(Point from, Point along, double reach_m, bool through_glass) const {
  Nearest nearest = {reach_m};
  // The part of the ray that lies over the buckets.
  double enter = 0.0;
  double leave = reach_m;
  const auto clip = [&](double start, double step, double low, double high) {
    if (step == 0.0) {
      if (start < low || start > high) leave = -1.0;
      return;
    }
    const double a = (low - start) / step;
    const double b = (high - start) / step;
    enter = std::max(enter, std::min(a, b));
    leave = std::min(leave, std::max(a, b));
  };
  clip(from.x_m, along.x_m, corner_.x_m, corner_.x_m + columns_ * kBucket_m);
  clip(from.y_m, along.y_m, corner_.y_m, corner_.y_m + rows_ * kBucket_m);
  if (enter >= leave) return {};

  const Point start = from + enter * along - corner_;
  int column = std::clamp(static_cast<int>(start.x_m / kBucket_m), 0, columns_ - 1);
  int row = std::clamp(static_cast<int>(start.y_m / kBucket_m), 0, rows_ - 1);
  const int column_step = along.x_m > 0.0 ? 1 : -1;
  const int row_step = along.y_m > 0.0 ? 1 : -1;
  const double per_column = along.x_m != 0.0 ? kBucket_m / std::abs(along.x_m) : kInfinity;
  const double per_row = along.y_m != 0.0 ? kBucket_m / std::abs(along.y_m) : kInfinity;
  const auto next_border = [](double start_m, int index, double step) {
    return step == 0.0 ? kInfinity : ((index + (step > 0.0 ? 1 : 0)) * kBucket_m - start_m) / step;
  };
  double next_column = enter + next_border(start.x_m, column, along.x_m);
  double next_row = enter + next_border(start.y_m, row, along.y_m);
  while (column >= 0 && column < columns_ && row >= 0 && row < rows_) {
    const Bucket bucket = buckets_[bucket_at(column, row)];
    for (std::uint32_t i = 0; i < bucket.count; ++i) {
      try_primitive(primitives_[bucket.first + i], from, along, through_glass, nearest);
    }
    const double border = std::min(next_column, next_row);
    if (nearest.range_m <= border || border > leave) break;
    if (next_column < next_row) {
      column += column_step;
      next_column += per_column;
    } else {
      row += row_step;
      next_row += per_row;
    }
  }
  return hit(nearest, from, along);
}

}  // namespace wainscot::simulator
