#include "scanmatch/line_map.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace wainscot {
namespace {

constexpr double kCellM =
    0.4;  // a line is listed in the 3 x 3 cells about its own: found from 0.4 m wherever it lies in it

/// The floor, as a whole number: std::floor is a call where the processor's own is not known to be there.
std::int32_t lattice(double value_m) {
  const double cells = value_m * (1.0 / kCellM);
  const auto towards_zero = static_cast<std::int32_t>(cells);
  return towards_zero - (static_cast<double>(towards_zero) > cells ? 1 : 0);
}

/// Whether all hold, without a branch for each: each alone is as likely as not, which no processor guesses well.
template <typename... Bool>
bool all_at_once(Bool... conditions) {
  return (... & static_cast<unsigned>(conditions)) != 0;
}

}  // namespace

void Line::set_fit(double fit_offset_m, double fit_slope) {
  offset_m = fit_offset_m;
  slope = fit_slope;
  const double length = std::sqrt(1.0 + slope * slope);
  fitted_normal = (normal - slope * Eigen::Vector2d(normal.y(), -normal.x())) / length;
  fitted_offset_m = offset_m / length;
}

void add_samples(const Line& line, double spacing_m, std::vector<Eigen::Vector2d>& samples) {
  const Eigen::Vector2d tangent(line.normal.y(), -line.normal.x());
  for (double u = line.first_along_m; u <= line.last_along_m; u += spacing_m) {
    samples.push_back(line.anchor + u * tangent + (line.offset_m + line.slope * u) * line.normal);
  }
}

LineMap::LineMap(const LineMapOptions& options) : options_(options) {}

LineMap::LineMap(std::vector<Line> lines, const LineMapOptions& options) : options_(options) {
  for (const Line& line : lines) reserve_along(line);
  lines_ = std::move(lines);
  list_lines();
}

std::int32_t LineMap::cell_of(double x, double y) const {
  const std::int32_t column = lattice(x) - first_column_;
  const std::int32_t row = lattice(y) - first_row_;
  if (column < 0 || row < 0 || column >= columns_ || row >= rows_) return kNone;
  return row * columns_ + column;
}

void LineMap::reserve_cell(double x, double y) {
  // A line is listed in the cells about its own, too, and rounding may put its end into the next one.
  constexpr std::int32_t kAround = 2;
  const std::int32_t column = lattice(x);
  const std::int32_t row = lattice(y);
  const auto within = [](std::int32_t at, std::int32_t first, std::int32_t size) {
    return at - first >= kAround && at - first < size - kAround;
  };
  if (within(column, first_column_, columns_) && within(row, first_row_, rows_)) return;
  // Grow by half of the size at least, so that a long drive lays the cells out anew only a few times.
  const std::int32_t margin = 16 + std::max(columns_, rows_) / 2;
  std::int32_t first_column = columns_ == 0 ? column - margin : first_column_;
  std::int32_t first_row = rows_ == 0 ? row - margin : first_row_;
  std::int32_t last_column = columns_ == 0 ? column + margin : first_column_ + columns_ - 1;
  std::int32_t last_row = rows_ == 0 ? row + margin : first_row_ + rows_ - 1;
  if (column - kAround < first_column) first_column = column - margin;
  if (row - kAround < first_row) first_row = row - margin;
  if (column + kAround > last_column) last_column = column + margin;
  if (row + kAround > last_row) last_row = row + margin;
  first_column_ = first_column;
  first_row_ = first_row;
  columns_ = last_column - first_column + 1;
  rows_ = last_row - first_row + 1;
  heads_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
  list_lines();
}

/// Fills the lists of all cells anew.
void LineMap::list_lines() {
  std::fill(heads_.begin(), heads_.end(), kNone);
  entries_.clear();
  for (std::size_t i = 0; i < lines_.size(); ++i) list_line(static_cast<std::int32_t>(i));
}

/// Makes room for the cells of a line's middle and ends.
void LineMap::reserve_along(const Line& line) {
  const Eigen::Vector2d end(line.half_length_m * line.normal.y(), -line.half_length_m * line.normal.x());
  reserve_cell(line.anchor.x() - end.x(), line.anchor.y() - end.y());
  reserve_cell(line.anchor.x() + end.x(), line.anchor.y() + end.y());
  reserve_cell(line.anchor.x(), line.anchor.y());
}

/// Puts a line into the lists of the cells along it and of those about them, so that a lookup, of which there are many
/// more, walks one list.
void LineMap::list_line(std::int32_t i) {
  const Line& line = lines_[static_cast<std::size_t>(i)];
  const Eigen::Vector2d tangent(line.normal.y(), -line.normal.x());
  const int steps = line.half_length_m > 0.5 * kCellM ? static_cast<int>(std::ceil(line.half_length_m / kCellM)) : 0;
  std::int32_t last = kNone;
  for (int k = -steps; k <= steps; ++k) {
    const double along_m = steps > 0 ? line.half_length_m * k / steps : 0.0;
    const Eigen::Vector2d place = line.anchor + along_m * tangent;
    const std::int32_t cell = cell_of(place.x(), place.y());
    if (cell == last) continue;
    last = cell;
    for (std::int32_t row = -1; row <= 1; ++row) {
      for (std::int32_t column = -1; column <= 1; ++column) {
        std::int32_t& head = heads_[static_cast<std::size_t>(cell + row * columns_ + column)];
        if (head != kNone && entries_[static_cast<std::size_t>(head)].line == i) continue;  // by the place before
        entries_.push_back({i, head});
        head = static_cast<std::int32_t>(entries_.size()) - 1;
      }
    }
  }
}

template <typename Visit>
void LineMap::visit_near(double x, double y, const Visit& visit) const {
  const std::int32_t cell = cell_of(x, y);
  if (cell == kNone) return;
  for (std::int32_t i = heads_[static_cast<std::size_t>(cell)]; i != kNone;
       i = entries_[static_cast<std::size_t>(i)].next) {
    visit(entries_[static_cast<std::size_t>(i)].line);
  }
}

std::int32_t LineMap::add(const Eigen::Vector2d& point, const Eigen::Vector2d& normal, double weight, int node,
                          int oldest_node, const LineReach& reach) {
  // Half of a piece's length; a longer one would bridge doors. By hand, on simulated homes whose numbers were not kept.
  constexpr double kLongestM = 1.5;
  constexpr double kReturnsOnHalf = 2.0;  // five on a piece: NormalOptions::min_neighbours
  constexpr double kJoinSd = 4.0;         // one return in 16,000 is further off by noise alone
  const double half_length_m = std::clamp(kReturnsOnHalf * reach.spacing_m, options_.half_length_m, kLongestM);
  const double join_m = std::max(options_.join_distance_m, kJoinSd * reach.noise_m);
  std::int32_t best = kNone;
  double nearest_along = kLongestM;
  visit_near(point.x(), point.y(), [&](std::int32_t i) {
    const Line& line = lines_[static_cast<std::size_t>(i)];
    if (line.last_node < oldest_node || line.normal.dot(normal) < options_.normal_cosine) return;
    const double along = std::abs(line.along_of(point));
    // A coarse piece of a wall seen from afar does not swallow what is seen of it from near by.
    if (along >= line.half_length_m || line.half_length_m > 2.0 * half_length_m) return;
    if (along < nearest_along && std::abs(line.distance_of(point)) < join_m) {
      nearest_along = along;
      best = i;
    }
  });
  if (best == kNone) {
    best = static_cast<std::int32_t>(lines_.size());
    Line line;
    line.half_length_m = half_length_m;
    line.anchor = point;
    line.normal = normal;
    line.set_fit(0.0, 0.0);
    line.last_node = node - 1;
    reserve_along(line);
    lines_.push_back(line);
    list_line(best);
  }
  Line& line = lines_[static_cast<std::size_t>(best)];
  const double along = line.along_of(point);
  const double across = line.across_of(point);
  line.weight += weight;
  line.along += weight * along;
  line.across += weight * across;
  line.along2 += weight * along * along;
  line.along_across += weight * along * across;
  line.first_along_m = std::min(line.first_along_m, along);
  line.last_along_m = std::max(line.last_along_m, along);
  if (line.last_node != node || line.nodes == 0) {
    touched_.push_back(best);
    line.last_node = node;
    ++line.nodes;
  }
  ++line.returns;
  return best;
}

void LineMap::fit() {
  // A weak prior on the slope (8 degrees) and on the offset (5 cm) keeps young lines near the normal they began with:
  // each three times what noise does to the normal and the place of one return (NormalOptions::radius_m, RangeNoise).
  constexpr double kSlopePrior = 1.0 / (0.14 * 0.14);
  constexpr double kOffsetPrior = 1.0 / (0.05 * 0.05);
  for (std::int32_t i : touched_) {
    Line& line = lines_[static_cast<std::size_t>(i)];
    const double a = line.weight + kOffsetPrior;
    const double c = line.along2 + kSlopePrior;
    const double determinant = a * c - line.along * line.along;
    line.set_fit((c * line.across - line.along * line.along_across) / determinant,
                 (a * line.along_across - line.along * line.across) / determinant);
    line.slope_variance = a / determinant;
  }
  touched_.clear();
}

void LineMap::forget(int oldest_node) {
  std::erase_if(lines_, [oldest_node](const Line& line) { return line.last_node < oldest_node; });
  touched_.clear();
  list_lines();
}

std::int32_t LineMap::find(const Eigen::Vector2d& point, const Eigen::Vector2d& normal, double gate_m, int oldest_node,
                           std::int32_t likely) const {
  if (likely != kNone) {
    const Line& line = lines_[static_cast<std::size_t>(likely)];
    // About the noise of one return: what most lie within, and less than what lies between two faces of one wall.
    constexpr double kSureM = 0.02;
    const double near_enough_m = std::min(kSureM, gate_m);
    // Nearer along the wall than half the way to the next piece: the search would find no piece more abreast.
    const double abreast_m = 0.5 * line.half_length_m;
    if (line.last_node >= oldest_node && line.normal.dot(normal) >= options_.normal_cosine &&
        std::abs(line.distance_of(point)) < near_enough_m && std::abs(line.along_of(point)) < abreast_m) {
      return likely;
    }
  }
  std::int32_t best = kNone;
  double nearest = gate_m;
  visit_near(point.x(), point.y(), [&](std::int32_t i) {
    const Line& line = lines_[static_cast<std::size_t>(i)];
    const double distance = std::abs(line.distance_of(point));
    const double along = line.along_of(point);
    if (!all_at_once(line.last_node >= oldest_node, line.normal.dot(normal) >= options_.normal_cosine,
                     distance < nearest, along >= line.first_along_m - beyond_m(line),
                     along <= line.last_along_m + beyond_m(line))) {
      return;
    }
    // A line beside the point counts a little further away than the line abreast of it. By hand, as a slope of 14
    // degrees, five times what noise does to a normal.
    constexpr double kBesideSlope = 0.25;
    const double beside = std::max(0.0, std::abs(along) - line.half_length_m);
    if (distance + kBesideSlope * beside < nearest) {
      nearest = distance + kBesideSlope * beside;
      best = i;
    }
  });
  return best;
}

}  // namespace wainscot
