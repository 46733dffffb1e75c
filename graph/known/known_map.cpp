#include "graph/known/known_map.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <numbers>

#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

constexpr float kFree = 0.35F;     // a cell less likely occupied than this is floor; chosen, as by passing.hpp
constexpr float kOccupied = 0.5F;  // and one likelier than not is wall
constexpr int kDirections = 180;   // of walls: 2 degrees each, which a raster of 0.1 m shows from 3 m on
constexpr double kDirectionRad = 2.0 * std::numbers::pi / kDirections;

using Directions = std::array<double, kDirections>;

CorrelativeOptions raster_options() {
  CorrelativeOptions options;
  options.cell_m = 0.1;
  options.blur_m = 0.1;
  options.widest_window_m = 0.9;
  return options;
}

int cells_within(double distance_m, const GridFrame& frame) {
  return std::max(1, static_cast<int>(std::lround(distance_m / frame.cell_size_m)));
}

/// 1 where a cell within `reach` cells along x and y is 1.
std::vector<std::uint8_t> dilated(const std::vector<std::uint8_t>& cells, const GridFrame& frame, int reach) {
  const auto spread = [&](const std::vector<std::uint8_t>& from, int count, int length, int along, int across) {
    std::vector<std::uint8_t> to(from.size(), 0);
    for (int line = 0; line < count; ++line) {
      int last = -reach - 1;  // the latest 1 on the line, seen from both ends
      for (const int sign : {1, -1}) {
        last = -reach - 1;
        for (int i = 0; i < length; ++i) {
          const int at = sign > 0 ? i : length - 1 - i;
          const auto cell = static_cast<std::size_t>(line) * static_cast<std::size_t>(across) +
                            static_cast<std::size_t>(at) * static_cast<std::size_t>(along);
          if (from[cell] != 0) last = i;
          if (i - last <= reach) to[cell] = 1;
        }
      }
    }
    return to;
  };
  return spread(spread(cells, frame.rows, frame.columns, 1, frame.columns), frame.columns, frame.rows, frame.columns,
                1);
}

/// How much wall faces each direction.
Directions directions_of(const LineMap& walls) {
  Directions result{};
  for (const Line& line : walls.lines()) {
    const double turn = std::atan2(line.fitted_normal.y(), line.fitted_normal.x()) / kDirectionRad + kDirections;
    result[static_cast<std::size_t>(std::lround(turn)) % kDirections] += line.last_along_m - line.first_along_m;
  }
  return result;
}

std::vector<Eigen::Vector2d> samples_of(const LineMap& walls, double spacing_m) {
  std::vector<Eigen::Vector2d> samples;
  for (const Line& line : walls.lines()) add_samples(line, spacing_m, samples);
  return samples;
}

/// Walls as the views show them. What the finished grid does not have stood there for a while only.
LineMap lasting_lines(const OccupancyGrid& grid, const std::vector<MapView>& views, const RangeNoise& noise) {
  const GridFrame& frame = grid.frame;
  std::vector<std::uint8_t> occupied(grid.probability.size());
  std::transform(grid.probability.begin(), grid.probability.end(), occupied.begin(),
                 [](float p) { return static_cast<std::uint8_t>(p > kOccupied ? 1 : 0); });
  const std::vector<std::uint8_t> near_wall = dilated(occupied, frame, cells_within(0.05, frame));
  LineMap lines;
  int node = 0;
  for (const MapView& view : views) {
    std::vector<ScanPoint> lasting;
    for (const ScanPoint& p : view.points) {
      const Eigen::Vector2d cell =
          (view.pose * Eigen::Vector2d(p.x_m, p.y_m) - frame.lower_left_corner_m()) / frame.cell_size_m;
      if (!(cell.x() >= 0.0 && cell.y() >= 0.0 && cell.x() < frame.columns && cell.y() < frame.rows)) continue;
      const auto at = static_cast<std::size_t>(cell.y()) * static_cast<std::size_t>(frame.columns) +
                      static_cast<std::size_t>(cell.x());
      if (near_wall[at] != 0) lasting.push_back(p);
    }
    add_scan(lines, lasting, view.pose, noise, node++);
  }
  // A line that hardly any return shows is a mixed return or two.
  constexpr int kFewReturns = 4;  // chosen
  for (Line& line : lines.mutable_lines()) {
    if (line.returns < kFewReturns) line.last_node = -1;
  }
  lines.forget(0);
  return lines;
}

}  // namespace

MapFit& MapFit::operator+=(const MapFit& other) {
  on_wall += other.on_wall;
  against += other.against;
  all += other.all;
  return *this;
}

MapFit& MapFit::operator-=(const MapFit& other) {
  on_wall -= other.on_wall;
  against -= other.against;
  all -= other.all;
  return *this;
}

KnownMap::KnownMap(const OccupancyGrid& grid, const std::vector<MapView>& views, const RangeNoise& noise)
    : frame_(grid.frame),
      lines_(lasting_lines(grid, views, noise)),
      raster_(samples_of(lines_, 0.05), raster_options()) {
  sort_cells(grid);
  draw_lines(grid);
}

std::int32_t KnownMap::cell_of(const Eigen::Vector2d& point) const {
  const Eigen::Vector2d cell = (point - frame_.lower_left_corner_m()) / frame_.cell_size_m;
  if (!(cell.x() >= 0.0 && cell.y() >= 0.0 && cell.x() < frame_.columns && cell.y() < frame_.rows)) return -1;
  return static_cast<std::int32_t>(cell.y()) * frame_.columns + static_cast<std::int32_t>(cell.x());
}

bool KnownMap::is_known(const Eigen::Vector2d& point) const {
  const std::int32_t cell = cell_of(point);
  return cell >= 0 && cells_[static_cast<std::size_t>(cell)] != kUnsure;
}

bool KnownMap::is_open_floor(const Eigen::Vector2d& point) const {
  const std::int32_t cell = cell_of(point);
  return cell >= 0 && cells_[static_cast<std::size_t>(cell)] == kOpenFloor;
}

void KnownMap::sort_cells(const OccupancyGrid& grid) {
  constexpr double kClearM = 0.1;       // further from anything than walls and poses are uncertain: about kOnWallM
  constexpr double kWallM = 0.05;       // a cell of the usual size
  constexpr double kFloorEveryM = 0.2;  // chosen: the search moves on by its own raster from there
  // As far as surroundings reach back along the way (LocatorOptions::search_way_m): of what was seen further out, none
  // was seen from mapped floor. A grid may be empty for the most part.
  constexpr double kUnmappedM = 3.0;
  std::vector<std::uint8_t> not_free(grid.probability.size());
  std::vector<std::uint8_t> occupied(grid.probability.size());
  std::vector<std::uint8_t> is_floor(grid.probability.size());
  for (std::size_t i = 0; i < not_free.size(); ++i) {
    is_floor[i] = grid.probability[i] < kFree ? 1 : 0;
    not_free[i] = is_floor[i] != 0 ? 0 : 1;  // 1 where nobody looked, too
    occupied[i] = grid.probability[i] > kOccupied ? 1 : 0;
  }
  const std::vector<std::uint8_t> beside = dilated(not_free, frame_, cells_within(kClearM, frame_));
  const std::vector<std::uint8_t> near_wall = dilated(occupied, frame_, cells_within(kWallM, frame_));
  const std::vector<std::uint8_t> near_floor = dilated(is_floor, frame_, cells_within(kUnmappedM, frame_));
  cells_.resize(not_free.size());
  const auto every = static_cast<std::size_t>(cells_within(kFloorEveryM, frame_));
  const auto columns = static_cast<std::size_t>(frame_.columns);
  for (std::size_t i = 0; i < cells_.size(); ++i) {
    cells_[i] = near_wall[i] != 0 ? kNearWall : beside[i] == 0 ? kOpenFloor : kUnsure;
    const std::size_t column = i % columns;
    const std::size_t row = i / columns;
    if (not_free[i] == 0) floor_m2_ += frame_.cell_size_m * frame_.cell_size_m;
    const bool unseen = std::isnan(grid.probability[i]) && near_floor[i] != 0;
    if ((not_free[i] == 0 || unseen) && column % every == 0 && row % every == 0) {
      (unseen ? unseen_ : floor_)
          .emplace_back(frame_.lower_left_corner_m() +
                        frame_.cell_size_m *
                            Eigen::Vector2d(static_cast<double>(column) + 0.5, static_cast<double>(row) + 0.5));
    }
  }
}

void KnownMap::draw_lines(const OccupancyGrid& grid) {
  line_in_cell_.assign(cells_.size(), LineMap::kNone);
  std::vector<Eigen::Vector2d> samples;
  for (std::size_t i = 0; i < lines_.lines().size(); ++i) {
    samples.clear();
    add_samples(lines_.lines()[i], 0.5 * frame_.cell_size_m, samples);
    for (const Eigen::Vector2d& sample : samples) {
      const std::int32_t cell = cell_of(sample);
      if (cell < 0 || !(grid.probability[static_cast<std::size_t>(cell)] > kOccupied)) continue;
      line_in_cell_[static_cast<std::size_t>(cell)] = static_cast<std::int32_t>(i);
    }
  }
}

/// Whether the beam enters a wall from the side that was seen and ends well behind it.
bool KnownMap::goes_through_wall(const Eigen::Vector2d& origin, const Eigen::Vector2d& beam, double range_m) const {
  constexpr double kBehindM = 0.15;  // chosen: more than kOnWallM, and a wall of a house is as thick
  constexpr double kHeadOn = -0.34;  // 20 degrees: a beam along a wall enters it by a small error
  const Eigen::Vector2d end = origin + range_m * beam;
  for (double at = 0.0; at < range_m - kBehindM; at += frame_.cell_size_m) {
    const std::int32_t cell = cell_of(origin + at * beam);
    if (cell < 0 || line_in_cell_[static_cast<std::size_t>(cell)] == LineMap::kNone) continue;
    const Line& line = lines_.lines()[static_cast<std::size_t>(line_in_cell_[static_cast<std::size_t>(cell)])];
    if (beam.dot(line.fitted_normal) < kHeadOn && line.distance_of(end) < -kBehindM) return true;
  }
  return false;
}

MapFit KnownMap::fit(const std::vector<ScanPoint>& points, const Pose2& pose) const {
  constexpr double kOnWallM =
      0.09;  // six times the 15 mm of a cheap lidar: also while a place is still centimetres off
  MapFit result;
  const Eigen::Matrix2d rotation = pose.rotation();
  std::int32_t line = LineMap::kNone;
  for (const ScanPoint& p : points) {
    const Eigen::Vector2d end = pose.translation() + rotation * Eigen::Vector2d(p.x_m, p.y_m);
    const Eigen::Vector2d beam = rotation * Eigen::Vector2d(p.beam_x, p.beam_y);
    const std::int32_t cell = cell_of(end);
    const Cell kind = cell < 0 ? kUnsure : cells_[static_cast<std::size_t>(cell)];
    bool on_wall = kind == kNearWall;
    if (p.has_normal() && kind != kOpenFloor) {
      line = lines_.find(end, rotation * Eigen::Vector2d(p.normal_x, p.normal_y), kOnWallM, 0, line);
      on_wall = line != LineMap::kNone;
    }
    result.all += 1.0;
    if (kind == kOpenFloor || goes_through_wall(end - static_cast<double>(p.range_m) * beam, beam, p.range_m)) {
      result.against += 1.0;
    } else if (on_wall) {
      result.on_wall += 1.0;
    }
  }
  return result;
}

/// Headings in which the robot's walls are parallel to the house's. Where they have no main directions, all of them.
std::vector<double> KnownMap::parallel_headings(const LineMap& walls) const {
  constexpr double kOfBest = 0.5;  // chosen: all four turns of a house at right angles stay in
  const Directions house = directions_of(lines_);
  const Directions seen = directions_of(walls);
  Directions alike{};
  for (std::size_t turn = 0; turn < kDirections; ++turn) {
    for (std::size_t k = 0; k < kDirections; ++k) {
      const std::size_t to = k + turn + kDirections;
      alike[turn] +=
          seen[k] * (house[to % kDirections] + 0.7 * (house[(to + 1) % kDirections] + house[(to - 1) % kDirections]) +
                     0.3 * (house[(to + 2) % kDirections] + house[(to - 2) % kDirections]));
    }
  }
  const double best = *std::max_element(alike.begin(), alike.end());
  std::vector<double> headings;
  for (std::size_t turn = 0; turn < kDirections; ++turn) {
    if (alike[turn] >= kOfBest * best) headings.push_back(static_cast<double>(turn) * kDirectionRad);
  }
  return headings;
}

std::vector<CorrelativeMatch> KnownMap::peaks_of(const LineMap& walls, const std::vector<Eigen::Vector2d>& places,
                                                 const PeakOptions& options) const {
  constexpr double kSpacingM = 0.12;  // about a cell of the raster
  constexpr std::size_t kMost = 120;  // chosen for the time of a search (tests/bench/locate prints the first one's)
  const std::vector<Eigen::Vector2d> samples = samples_of(walls, kSpacingM);
  std::vector<Eigen::Vector2d> some;
  const std::size_t stride = std::max<std::size_t>(1, (samples.size() + kMost - 1) / kMost);
  for (std::size_t i = 0; i < samples.size(); i += stride) some.push_back(samples[i]);
  return raster_.peaks(some, parallel_headings(walls), places, options);
}

std::vector<CorrelativeMatch> KnownMap::places_like(const LineMap& walls) const {
  constexpr double kLeastScore = 0.45;  // less than half of what is seen is on walls, or the walls lie badly
  PeakOptions options;
  options.min_score = kLeastScore;
  return peaks_of(walls, floor_, options);
}

std::vector<CorrelativeMatch> KnownMap::places_partly_like(const LineMap& walls) const {
  // A place is believed at first by ln odds of 20 (LocatorOptions::least_ln_odds and the number of places of a home of
  // 100 m2), and told from another by 9: the other shows half of the faces. Those may be the short ones: half again.
  constexpr double kLeastScore = 0.25;
  constexpr std::size_t kMostPeaks = 150;  // chosen: as many rooms as a floor of an office has, from both ends each
  PeakOptions options;
  options.min_score = kLeastScore;
  options.of_best = 0.0;
  options.most = kMostPeaks;
  std::vector<Eigen::Vector2d> places = floor_;
  places.insert(places.end(), unseen_.begin(), unseen_.end());
  return peaks_of(walls, places, options);
}

}  // namespace wainscot
