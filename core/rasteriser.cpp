#include "core/rasteriser.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>
#include <utility>

#include "core/beam_clip.hpp"
#include "core/face_gathering.hpp"
#include "core/log_odds.hpp"
#include "core/map_extent.hpp"

namespace wainscot {
namespace {

constexpr std::uint8_t kUntouched = 0;  // what one scan did to a cell: nothing that counts
constexpr std::uint8_t kCrossed = 1;    // by beams that went on
constexpr std::uint8_t kHit = 2;        // a beam ended here, whatever else crossed
constexpr float kUnseen = std::numeric_limits<float>::quiet_NaN();
constexpr int kScansOfAVisit = 65535;  // what its counters hold
constexpr std::int32_t kNear = 2;      // cells around a hit of a visit, of which the same visit says nothing more

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
  if (size.x() * size.y() > most_grid_cells || low.cwiseAbs().maxCoeff() > 1e9) {
    throw std::invalid_argument("the grid would have more than 400 million cells: take larger cells");
  }
  return {cell_size_m, static_cast<std::int32_t>(low.x()), static_cast<std::int32_t>(low.y()),
          static_cast<std::int32_t>(size.x()), static_cast<std::int32_t>(size.y())};
}

Rasteriser::Rasteriser(const GridFrame& frame, const RasteriserOptions& options)
    : options_(options), visit_box_{frame.columns, -1, frame.rows, -1} {
  if (frame.columns <= 0 || frame.rows <= 0 || !(frame.cell_size_m > 0.0)) {
    throw std::invalid_argument("a grid needs at least one cell of a positive size");
  }
  const std::size_t cells = static_cast<std::size_t>(frame.columns) * static_cast<std::size_t>(frame.rows);
  votes_.frame = frame;
  votes_.visits.assign(cells, {static_cast<float>(options.prior_log_odds)});
  votes_.hits.assign(cells, {});
}

void Rasteriser::add_scan(std::span<const RasterBeam> beams, int visit) {
  if (scans_of_visit_ > 0 && (visit != visit_ || scans_of_visit_ == kScansOfAVisit)) {
    end_visit();
  }
  visit_ = visit;
  make_window_hold(box_of(beams));
  ++scans_of_visit_;
  const Eigen::Vector2d corner = votes_.frame.lower_left_corner_m();
  const double cells_per_m = 1.0 / votes_.frame.cell_size_m;
  const double noise_tail = 3.0 * options_.range_noise_m * cells_per_m;
  CellBox touched{votes_.frame.columns, -1, votes_.frame.rows, -1};
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
  for (const bool vague : {true, false}) {  // hits last: they outweigh all else
    for (const RasterBeam& beam : beams) {
      if (!beam.hit || beam.vague != vague) continue;
      const std::optional<Cell> cell = cell_with(cells_of(beam.end_x_m, beam.end_y_m));
      if (!cell) continue;
      const Eigen::Vector2f way(beam.end_x_m - beam.origin_x_m, beam.end_y_m - beam.origin_y_m);
      vague ? mark_vague(*cell, touched) : mark_hit(*cell, way.normalized(), touched);
    }
  }
  record_watched();
  count_marks(touched);
  ++scans_;
}

Rasteriser::CellBox Rasteriser::box_of(std::span<const RasterBeam> beams) const {
  const Eigen::Vector2d corner = votes_.frame.lower_left_corner_m();
  Eigen::AlignedBox2d box_m;
  for (const RasterBeam& beam : beams) {
    box_m.extend(Eigen::Vector2d(beam.origin_x_m, beam.origin_y_m));
    box_m.extend(Eigen::Vector2d(beam.end_x_m, beam.end_y_m));
  }
  if (box_m.isEmpty()) return {votes_.frame.columns, -1, votes_.frame.rows, -1};
  const auto cell_of = [this](double along_m, std::int32_t cells) {
    return static_cast<std::int32_t>(std::clamp(along_m / votes_.frame.cell_size_m, 0.0, cells - 1.0));
  };
  return {cell_of(box_m.min().x() - corner.x(), votes_.frame.columns),
          cell_of(box_m.max().x() - corner.x(), votes_.frame.columns),
          cell_of(box_m.min().y() - corner.y(), votes_.frame.rows),
          cell_of(box_m.max().y() - corner.y(), votes_.frame.rows)};
}

/// With a margin in which what lies near a hit can be marked. Between scans no cell is marked.
void Rasteriser::make_window_hold(const CellBox& box) {
  constexpr std::int32_t kReserve = 64;  // cells, so that the next scans, a little further on, fit in as well
  if (box.last_column < 0) return;
  const auto widened = [this](const CellBox& b, std::int32_t by) -> CellBox {
    return {std::max(b.first_column - by, 0), std::min(b.last_column + by, votes_.frame.columns - 1),
            std::max(b.first_row - by, 0), std::min(b.last_row + by, votes_.frame.rows - 1)};
  };
  const auto both = [](const CellBox& a, const CellBox& b) -> CellBox {
    return {std::min(a.first_column, b.first_column), std::max(a.last_column, b.last_column),
            std::min(a.first_row, b.first_row), std::max(a.last_row, b.last_row)};
  };
  const CellBox needed = widened(box, kNear + 1);  // a cell more for rounding
  const bool holds = needed.first_column >= window_.first_column && needed.last_column <= window_.last_column &&
                     needed.first_row >= window_.first_row && needed.last_row <= window_.last_row;
  if (holds) return;
  const CellBox old = window_;
  const std::size_t old_columns = window_columns_;
  const bool begun = visit_box_.last_column >= 0;
  window_ = widened(begun ? both(box, visit_box_) : box, kReserve);
  window_columns_ = static_cast<std::size_t>(window_.last_column - window_.first_column) + 1;
  const std::size_t cells = window_columns_ * (static_cast<std::size_t>(window_.last_row - window_.first_row) + 1);
  mark_.assign(cells, kUntouched);
  const auto move = [&](std::vector<std::uint16_t>& counts) {
    std::vector<std::uint16_t> moved(cells, 0);
    for (std::int32_t row = visit_box_.first_row; begun && row <= visit_box_.last_row; ++row) {
      const auto from = counts.begin() + (row - old.first_row) * static_cast<std::ptrdiff_t>(old_columns);
      std::copy(from + (visit_box_.first_column - old.first_column),
                from + (visit_box_.last_column - old.first_column) + 1,
                moved.begin() + static_cast<std::ptrdiff_t>(in_window(visit_box_.first_column, row)));
    }
    counts = std::move(moved);
  };
  move(visit_hits_);
  move(visit_crossings_);
}

void Rasteriser::watch(std::int32_t column, std::int32_t row) {
  if (column < 0 || row < 0 || column >= votes_.frame.columns || row >= votes_.frame.rows) {
    throw std::invalid_argument("only cells of the frame can be watched");
  }
  watched_.push_back(index(column, row));
  histories_.emplace_back();
}

/// Before the scan's marks are counted.
void Rasteriser::record_watched() {
  for (std::size_t i = 0; i < watched_.size(); ++i) {
    const std::size_t cell = watched_[i];
    const auto column = static_cast<std::int32_t>(cell % static_cast<std::size_t>(votes_.frame.columns));
    const auto row = static_cast<std::int32_t>(cell / static_cast<std::size_t>(votes_.frame.columns));
    if (column < window_.first_column || column > window_.last_column) continue;
    if (row < window_.first_row || row > window_.last_row) continue;
    const std::size_t at = in_window(column, row);
    if (mark_[at] == kUntouched) continue;
    const bool hit = mark_[at] == kHit;
    const int hits = visit_hits_[at] + (hit ? 1 : 0);
    const int crossings = visit_crossings_[at] + (hit ? 0 : 1);
    const float before = std::as_const(votes_).visits[cell].log_odds;
    histories_[i].push_back(
        {scans_, visit_, hit, hits, crossings, static_cast<double>(after_visit(before, hits, crossings))});
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
  if (!clip_to_frame(votes_.frame, from, to)) {
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
  const auto columns_in_row = static_cast<std::int64_t>(window_columns_);
  const std::int64_t major_stride = major == 0 ? 1 : columns_in_row;
  const std::int64_t minor_stride = major == 0 ? columns_in_row : 1;
  // Of the frame's first cell, which the window need not hold.
  const std::int64_t origin = -window_.first_row * columns_in_row - window_.first_column;
  const std::int64_t end = whole(to_fixed(to[minor]));
  const std::int64_t fixed_slope = to_fixed(slope);
  std::int64_t fixed = to_fixed(from[minor] + slope * (static_cast<double>(first) + 1.0 - from[major]));

  std::uint8_t* const mark = mark_.data();
  std::int64_t column = origin + first * major_stride;
  const std::int64_t begin = whole(to_fixed(from[minor]));
  std::int64_t offset = begin * minor_stride;
  for (std::int64_t step = first; step < last; ++step) {
    mark[column + offset] = kCrossed;
    offset = whole(fixed) * minor_stride;
    mark[column + offset] = kCrossed;
    fixed += fixed_slope;
    column += major_stride;
  }
  mark[column + offset] = kCrossed;
  mark[column + end * minor_stride] = kCrossed;

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

void Rasteriser::CellBox::extend(const Cell& cell) {
  first_column = std::min(first_column, cell.column);
  last_column = std::max(last_column, cell.column);
  first_row = std::min(first_row, cell.row);
  last_row = std::max(last_row, cell.row);
}

/// None where it is not of the frame. `end`: in cells.
std::optional<Rasteriser::Cell> Rasteriser::cell_with(const Eigen::Vector2d& end) const {
  const bool inside = end.x() >= 0.0 && end.y() >= 0.0 && end.x() < votes_.frame.columns && end.y() < votes_.frame.rows;
  if (!inside) return std::nullopt;
  return Cell{static_cast<std::int32_t>(end.x()), static_cast<std::int32_t>(end.y())};
}

/// Beams of the same scan that went on say as little of the cell as this one: a surface may fill it in part.
void Rasteriser::mark_vague(const Cell& cell, CellBox& touched) {
  mark_[in_window(cell.column, cell.row)] = kUntouched;
  visit_vague_.push_back(cell);
  touched.extend(cell);
}

void Rasteriser::mark_hit(const Cell& cell, const Eigen::Vector2f& direction, CellBox& touched) {
  mark_[in_window(cell.column, cell.row)] = kHit;
  votes_.hits[index(cell.column, cell.row)].direction += direction;
  touched.extend(cell);
}

void Rasteriser::count_marks(const CellBox& touched) {
  for (std::int32_t row = touched.first_row; row <= touched.last_row; ++row) {
    const std::size_t begin = in_window(touched.first_column, row);
    const std::size_t end = in_window(touched.last_column, row) + 1;
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

void Rasteriser::mark_around(const Cell& cell, std::uint8_t mark) {
  const std::int32_t first = std::max(cell.column - kNear, 0);
  const std::int32_t last = std::min(cell.column + kNear, votes_.frame.columns - 1);
  for (std::int32_t r = std::max(cell.row - kNear, 0); r <= std::min(cell.row + kNear, votes_.frame.rows - 1); ++r) {
    std::fill(mark_.data() + in_window(first, r), mark_.data() + in_window(last, r) + 1, mark);
  }
}

/// Marks the cells around each hit of the visit, vague ones included.
void Rasteriser::mark_near_hits(std::uint8_t mark) {
  for (std::int32_t row = visit_box_.first_row; row <= visit_box_.last_row; ++row) {
    for (std::int32_t column = visit_box_.first_column; column <= visit_box_.last_column; ++column) {
      if (visit_hits_[in_window(column, row)] > 0) mark_around({column, row}, mark);
    }
  }
  for (const Cell& cell : visit_vague_) mark_around(cell, mark);
}

void Rasteriser::end_visit() {
  mark_near_hits(kHit);
  for (std::int32_t row = visit_box_.first_row; row <= visit_box_.last_row; ++row) {
    const std::size_t first = in_window(visit_box_.first_column, row);
    const std::size_t last = in_window(visit_box_.last_column, row);
    const std::size_t first_cell = index(visit_box_.first_column, row);
    for (std::size_t at = first; at <= last; ++at) {
      const int hits = visit_hits_[at];
      const int crossings = visit_crossings_[at];
      if (hits == 0 && crossings == 0) continue;
      const std::size_t cell = first_cell + (at - first);
      VisitVotes& votes = votes_.visits[cell];
      count_visit(at, votes);
      votes.log_odds = after_visit(votes.log_odds, hits, crossings);
      if (crossings > 0) votes.crossed = 1;
      if (hits > 0) votes_.hits[cell].scans += static_cast<std::uint32_t>(hits);
    }
  }
  mark_near_hits(kUntouched);
  for (std::int32_t row = visit_box_.first_row; row <= visit_box_.last_row; ++row) {
    const std::size_t first = in_window(visit_box_.first_column, row);
    const std::size_t cells = in_window(visit_box_.last_column, row) + 1 - first;
    std::fill_n(visit_hits_.data() + first, cells, std::uint16_t{0});
    std::fill_n(visit_crossings_.data() + first, cells, std::uint16_t{0});
  }
  visit_vague_.clear();
  visit_box_ = {votes_.frame.columns, -1, votes_.frame.rows, -1};
  scans_of_visit_ = 0;
}

/// `at`: the cell in the window.
void Rasteriser::count_visit(std::size_t at, VisitVotes& votes) const {
  constexpr int kFewestHits = 3;  // range noise puts a hit or two beside a wall
  // Chosen by hand: a visit says "gone" by more beams than it says "there", since beams cross the edge of a cell that a
  // wall fills in part. Half as many take more walls away, twice as many keep more of what moved. A wall in a cell
  // stops most beams, not all: four of five have to.
  constexpr int kFewestCrossings = 4;
  constexpr int kHitsToACrossing = 4;
  const int hits = visit_hits_[at];
  const int crossings = visit_crossings_[at];
  const auto count = [](std::uint8_t& visits) { visits = static_cast<std::uint8_t>(std::min(visits + 1, 255)); };
  if (hits >= kFewestHits && hits >= kHitsToACrossing * crossings) count(votes.visits_there);
  if (mark_[at] != kHit && crossings >= kFewestCrossings) count(votes.visits_gone);
}

std::vector<ChangedCell> Rasteriser::changed_cells() const {
  std::vector<ChangedCell> result;
  const auto columns = static_cast<std::size_t>(votes_.frame.columns);
  votes_.visits.for_each_touched([&](std::size_t cell, const VisitVotes& votes) {
    if (votes.visits_there == 0 || votes.visits_gone == 0) return;
    result.push_back({static_cast<std::int32_t>(cell % columns), static_cast<std::int32_t>(cell / columns),
                      votes.visits_there, votes.visits_gone});
  });
  return result;
}

OccupancyGrid Rasteriser::grid() {
  end_visit();
  OccupancyGrid result{votes_.frame, CellProbabilities(votes_.visits.size(), kUnseen)};
  const CellVotes& votes = votes_;
  votes.visits.for_each_touched([&](std::size_t cell, const VisitVotes& visits) {
    if (visits.crossed != 0 || votes.hits[cell].scans > 0) result.probability[cell] = probability_of(visits.log_odds);
  });
  gather_faces(votes, options_, result);
  return result;
}

}  // namespace wainscot
