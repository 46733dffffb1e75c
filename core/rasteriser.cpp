#include "core/rasteriser.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

#include "core/beam_clip.hpp"
#include "core/face_gathering.hpp"
#include "core/log_odds.hpp"

namespace wainscot {
namespace {

constexpr std::uint8_t kUntouched = 0;
constexpr std::uint8_t kCrossed = 1;
constexpr std::uint8_t kHit = 2;
constexpr float kUnseen = std::numeric_limits<float>::quiet_NaN();
constexpr int kScansOfAVisit = 65535;  // what its counters hold

/// Fixed point with 32 binary digits after the point: over a thousand columns the slope's rounding stays far below a
/// millionth of a cell.
std::int64_t to_fixed(double cells) { return static_cast<std::int64_t>(cells * 4294967296.0); }
std::int64_t whole(std::int64_t fixed) { return fixed >> 32; }

}  // namespace

GridFrame frame_around(const Eigen::AlignedBox2d& box_m, double cell_size_m, double margin_m) {
  if (!(cell_size_m > 0.0) || !(margin_m >= 0.0) || box_m.isEmpty() || !box_m.min().allFinite() ||
      !box_m.max().allFinite()) {
    throw std::invalid_argument("a grid needs a finite box that is not empty and a positive cell size");
  }
  const auto cell_below = [&](double metres) { return std::floor((metres - margin_m) / cell_size_m); };
  const auto cell_above = [&](double metres) { return std::ceil((metres + margin_m) / cell_size_m); };
  const Eigen::Vector2d low(cell_below(box_m.min().x()), cell_below(box_m.min().y()));
  const Eigen::Vector2d high(cell_above(box_m.max().x()), cell_above(box_m.max().y()));
  const Eigen::Vector2d size = (high - low).cwiseMax(1.0);
  if (size.x() * size.y() > 4e8 || low.cwiseAbs().maxCoeff() > 1e9) {
    throw std::invalid_argument("the grid would have more than 400 million cells: take larger cells");
  }
  return {cell_size_m, static_cast<std::int32_t>(low.x()), static_cast<std::int32_t>(low.y()),
          static_cast<std::int32_t>(size.x()), static_cast<std::int32_t>(size.y())};
}

Rasteriser::Rasteriser(const GridFrame& frame, const RasteriserOptions& options)
    : frame_(frame), options_(options), visit_box_{frame.columns, -1, frame.rows, -1} {
  if (frame.columns <= 0 || frame.rows <= 0 || !(frame.cell_size_m > 0.0)) {
    throw std::invalid_argument("a grid needs at least one cell of a positive size");
  }
  const std::size_t cells = static_cast<std::size_t>(frame.columns) * static_cast<std::size_t>(frame.rows);
  mark_.assign(cells, kUntouched);
  visit_hits_.assign(cells, 0);
  visit_crossings_.assign(cells, 0);
  hits_.assign(cells, 0);
  hit_direction_.assign(cells, Eigen::Vector2f::Zero());
  crossed_.assign(cells, 0);
  visits_there_.assign(cells, 0);
  visits_gone_.assign(cells, 0);
  log_odds_.assign(cells, static_cast<float>(options.prior_log_odds));
}

void Rasteriser::add_scan(std::span<const RasterBeam> beams, int visit) {
  if (scans_of_visit_ > 0 && (visit != visit_ || scans_of_visit_ == kScansOfAVisit)) {
    end_visit();
  }
  visit_ = visit;
  ++scans_of_visit_;
  const Eigen::Vector2d corner = frame_.lower_left_corner_m();
  const double cells_per_m = 1.0 / frame_.cell_size_m;
  const double noise_tail = 3.0 * options_.range_noise_m * cells_per_m;
  CellBox touched{frame_.columns, -1, frame_.rows, -1};
  const auto cells_of = [&](float x_m, float y_m) -> Eigen::Vector2d {
    return (Eigen::Vector2d(x_m, y_m) - corner) * cells_per_m;
  };
  for (const RasterBeam& beam : beams) {
    const Eigen::Vector2d from = cells_of(beam.origin_x_m, beam.origin_y_m);
    Eigen::Vector2d to = cells_of(beam.end_x_m, beam.end_y_m);
    if (beam.hit) {
      const double length = (to - from).norm();
      const double cosine = std::max(static_cast<double>(beam.incidence_cosine), options_.least_incidence_cosine);
      const double voted = length - std::max(options_.unvoted_before_surface_cells / cosine, noise_tail);
      if (!(voted > 0.0)) {
        continue;
      }
      to = from + (to - from) * (voted / length);
    }
    mark_crossed(from, to, touched);
  }
  for (const RasterBeam& beam : beams) {
    if (beam.hit) {
      const Eigen::Vector2f way(beam.end_x_m - beam.origin_x_m, beam.end_y_m - beam.origin_y_m);
      mark_hit(cells_of(beam.end_x_m, beam.end_y_m), way.normalized(), touched);
    }
  }
  record_watched();
  count_marks(touched);
  ++scans_;
}

void Rasteriser::watch(std::int32_t column, std::int32_t row) {
  if (column < 0 || row < 0 || column >= frame_.columns || row >= frame_.rows) {
    throw std::invalid_argument("only cells of the frame can be watched");
  }
  watched_.push_back(index(column, row));
  histories_.emplace_back();
}

/// Before the scan's marks are counted.
void Rasteriser::record_watched() {
  for (std::size_t i = 0; i < watched_.size(); ++i) {
    const std::size_t cell = watched_[i];
    if (mark_[cell] == kUntouched) continue;
    const bool hit = mark_[cell] == kHit;
    const int hits = visit_hits_[cell] + (hit ? 1 : 0);
    const int crossings = visit_crossings_[cell] + (hit ? 0 : 1);
    const auto log_odds = static_cast<double>(after_visit(log_odds_[cell], hits, crossings));
    histories_[i].push_back({scans_, visit_, hit, hits, crossings, log_odds});
  }
}

/// A cell's log-odds once a visit's evidence is added.
float Rasteriser::after_visit(float log_odds, int hits, int crossings) const {
  const double evidence = std::clamp(hits * options_.hit_log_odds - crossings * options_.free_log_odds,
                                     -options_.visit_limit_log_odds, options_.visit_limit_log_odds);
  return static_cast<float>(
      std::clamp(log_odds + evidence, -options_.total_limit_log_odds, options_.total_limit_log_odds));
}

void Rasteriser::mark_crossed(Eigen::Vector2d from, Eigen::Vector2d to, CellBox& touched) {
  if (!clip_to_frame(frame_, from, to)) {
    return;
  }
  // The axis along which the beam is longer is walked; across it, each column holds at most two cells.
  const int major = std::abs(to.x() - from.x()) >= std::abs(to.y() - from.y()) ? 0 : 1;
  const int minor = 1 - major;
  if (from[major] > to[major]) {
    std::swap(from, to);
  }
  const auto first = static_cast<std::int64_t>(from[major]);
  const auto last = static_cast<std::int64_t>(to[major]);
  const double length = to[major] - from[major];
  const double slope = length > 0.0 ? (to[minor] - from[minor]) / length : 0.0;
  const std::int64_t major_stride = major == 0 ? 1 : frame_.columns;
  const std::int64_t minor_stride = major == 0 ? frame_.columns : 1;
  const std::int64_t end = whole(to_fixed(to[minor]));
  const std::int64_t fixed_slope = to_fixed(slope);
  std::int64_t fixed = to_fixed(from[minor] + slope * (static_cast<double>(first) + 1.0 - from[major]));

  std::uint8_t* column = mark_.data() + first * major_stride;
  const std::int64_t begin = whole(to_fixed(from[minor]));
  std::int64_t offset = begin * minor_stride;
  for (std::int64_t step = first; step < last; ++step) {
    column[offset] = kCrossed;
    offset = whole(fixed) * minor_stride;
    column[offset] = kCrossed;
    fixed += fixed_slope;
    column += major_stride;
  }
  column[offset] = kCrossed;
  column[end * minor_stride] = kCrossed;

  const auto along = std::pair(static_cast<std::int32_t>(first), static_cast<std::int32_t>(last));
  const auto across =
      std::pair(static_cast<std::int32_t>(std::min(begin, end)), static_cast<std::int32_t>(std::max(begin, end)));
  const auto& columns = major == 0 ? along : across;
  const auto& rows = major == 0 ? across : along;
  touched.first_column = std::min(touched.first_column, columns.first);
  touched.last_column = std::max(touched.last_column, columns.second);
  touched.first_row = std::min(touched.first_row, rows.first);
  touched.last_row = std::max(touched.last_row, rows.second);
}

void Rasteriser::mark_hit(const Eigen::Vector2d& end, const Eigen::Vector2f& direction, CellBox& touched) {
  if (!(end.x() >= 0.0 && end.y() >= 0.0 && end.x() < frame_.columns && end.y() < frame_.rows)) {
    return;
  }
  const auto column = static_cast<std::int32_t>(end.x());
  const auto row = static_cast<std::int32_t>(end.y());
  mark_[index(column, row)] = kHit;
  hit_direction_[index(column, row)] += direction;
  touched.first_column = std::min(touched.first_column, column);
  touched.last_column = std::max(touched.last_column, column);
  touched.first_row = std::min(touched.first_row, row);
  touched.last_row = std::max(touched.last_row, row);
}

void Rasteriser::count_marks(const CellBox& touched) {
  for (std::int32_t row = touched.first_row; row <= touched.last_row; ++row) {
    const std::size_t begin = index(touched.first_column, row);
    const std::size_t end = index(touched.last_column, row) + 1;
    std::uint8_t* mark = mark_.data();
    std::uint16_t* hits = visit_hits_.data();
    std::uint16_t* crossings = visit_crossings_.data();
    for (std::size_t cell = begin; cell < end; ++cell) {
      hits[cell] = static_cast<std::uint16_t>(hits[cell] + (mark[cell] == kHit ? 1 : 0));
      crossings[cell] = static_cast<std::uint16_t>(crossings[cell] + (mark[cell] == kCrossed ? 1 : 0));
    }
    std::fill(mark + begin, mark + end, kUntouched);
  }
  visit_box_.first_column = std::min(visit_box_.first_column, touched.first_column);
  visit_box_.last_column = std::max(visit_box_.last_column, touched.last_column);
  visit_box_.first_row = std::min(visit_box_.first_row, touched.first_row);
  visit_box_.last_row = std::max(visit_box_.last_row, touched.last_row);
}

/// Marks the cells around each hit of the visit.
void Rasteriser::mark_near_hits(std::uint8_t mark) {
  constexpr std::int32_t kNear = 2;
  for (std::int32_t row = visit_box_.first_row; row <= visit_box_.last_row; ++row) {
    for (std::int32_t column = visit_box_.first_column; column <= visit_box_.last_column; ++column) {
      if (visit_hits_[index(column, row)] == 0) continue;
      const std::int32_t first = std::max(column - kNear, 0);
      const std::int32_t last = std::min(column + kNear, frame_.columns - 1);
      for (std::int32_t r = std::max(row - kNear, 0); r <= std::min(row + kNear, frame_.rows - 1); ++r) {
        std::fill(mark_.data() + index(first, r), mark_.data() + index(last, r) + 1, mark);
      }
    }
  }
}

void Rasteriser::end_visit() {
  mark_near_hits(kHit);
  for (std::int32_t row = visit_box_.first_row; row <= visit_box_.last_row; ++row) {
    const std::size_t end = index(visit_box_.last_column, row) + 1;
    for (std::size_t cell = index(visit_box_.first_column, row); cell < end; ++cell) count_visit(cell);
  }
  mark_near_hits(kUntouched);
  for (std::int32_t row = visit_box_.first_row; row <= visit_box_.last_row; ++row) {
    const std::size_t end = index(visit_box_.last_column, row) + 1;
    for (std::size_t cell = index(visit_box_.first_column, row); cell < end; ++cell) {
      if (visit_hits_[cell] == 0 && visit_crossings_[cell] == 0) {
        continue;
      }
      log_odds_[cell] = after_visit(log_odds_[cell], visit_hits_[cell], visit_crossings_[cell]);
      hits_[cell] += visit_hits_[cell];
      crossed_[cell] = static_cast<std::uint8_t>(crossed_[cell] | (visit_crossings_[cell] > 0 ? 1 : 0));
      visit_hits_[cell] = 0;
      visit_crossings_[cell] = 0;
    }
  }
  visit_box_ = {frame_.columns, -1, frame_.rows, -1};
  scans_of_visit_ = 0;
}

void Rasteriser::count_visit(std::size_t cell) {
  constexpr int kFewestHits = 3;  // range noise puts a hit or two beside a wall
  constexpr int kFewestCrossings = 4;
  constexpr int kHitsToACrossing = 4;
  const int hits = visit_hits_[cell];
  const int crossings = visit_crossings_[cell];
  const auto count = [](std::uint8_t& visits) { visits = static_cast<std::uint8_t>(std::min(visits + 1, 255)); };
  if (hits >= kFewestHits && hits >= kHitsToACrossing * crossings) count(visits_there_[cell]);
  if (mark_[cell] != kHit && crossings >= kFewestCrossings) count(visits_gone_[cell]);
}

std::vector<ChangedCell> Rasteriser::changed_cells() const {
  std::vector<ChangedCell> result;
  for (std::size_t cell = 0; cell < visits_there_.size(); ++cell) {
    if (visits_there_[cell] == 0 || visits_gone_[cell] == 0) continue;
    const auto columns = static_cast<std::size_t>(frame_.columns);
    result.push_back({static_cast<std::int32_t>(cell % columns), static_cast<std::int32_t>(cell / columns),
                      visits_there_[cell], visits_gone_[cell]});
  }
  return result;
}

OccupancyGrid Rasteriser::grid() {
  end_visit();
  OccupancyGrid result{frame_, std::vector<float>(log_odds_.size(), kUnseen)};
  for (std::size_t cell = 0; cell < log_odds_.size(); ++cell) {
    if (hits_[cell] > 0 || crossed_[cell] != 0) {
      result.probability[cell] = probability_of(log_odds_[cell]);
    }
  }
  gather_faces({frame_, hits_, hit_direction_, crossed_, log_odds_}, options_, result.probability);
  return result;
}

}  // namespace wainscot
