#include "io/rooms/room_floors.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <map>
#include <optional>
#include <unordered_map>
#include <utility>

#include "core/polygon.hpp"
#include "io/draw/cell_outlines.hpp"

namespace wainscot {
namespace {

/// Where in a doorway a room ends, corners behind furniture, mixed returns: what no border says of itself. Measured,
/// the median error of areas being 0.73 % of them: simulated homes 9201 to 9208 (tests/bench/rooms).
constexpr double kUnforeseenShare = 0.011;

constexpr std::size_t kNoLine = std::numeric_limits<std::size_t>::max();

/// The wall lines that pass near a cell.
class LinesNear {
 public:
  LinesNear(std::span<const WallLine> lines, const OpenFloor& floor) : lines_(lines), floor_(floor) {
    const double cell_m = floor.frame.cell_size_m;
    for (std::size_t line = 0; line < lines.size(); ++line) {
      const Eigen::Vector2d way = lines[line].to_m - lines[line].from_m;
      const int steps = static_cast<int>(std::ceil(way.norm() / cell_m)) + 1;
      for (int i = 0; i <= steps; ++i) {
        const Eigen::Vector2d place = lines[line].from_m + static_cast<double>(i) / steps * way;
        for (int x = -2; x <= 2; ++x) {
          for (int y = -2; y <= 2; ++y) add(floor.cell_at(place + cell_m * Eigen::Vector2d(x, y)), line);
        }
      }
    }
  }

  struct Face {
    std::size_t line = kNoLine;
    double ahead_m = 0.0;  ///< from the place, along the direction
  };

  /// The face that ends the floor: where a way from the side of a cell outwards meets it, no more than a cell before
  /// and two behind. Of several the one nearest to half a cell, where it lies in the mean.
  Face face_ahead(std::size_t cell, const Eigen::Vector2d& place_m, const Eigen::Vector2d& outward) const {
    const double cell_m = floor_.frame.cell_size_m;
    Face best;
    const auto found = near_.find(cell);
    if (found == near_.end()) return best;
    for (const std::size_t line : found->second) {
      const WallLine& wall = lines_[line];
      const Eigen::Vector2d along = (wall.to_m - wall.from_m).normalized();
      const Eigen::Vector2d normal(-along.y(), along.x());  // to the side that was seen
      const double square = -normal.dot(outward);
      if (square < 0.0 || !mostly_faces(line, outward)) continue;
      const double ahead_m = normal.dot(place_m - wall.from_m) / square;
      const double at_m = along.dot(place_m + ahead_m * outward - wall.from_m);
      if (ahead_m < -cell_m || ahead_m > 2.0 * cell_m || at_m < -cell_m || at_m > wall.length_m() + cell_m) continue;
      const auto off = [&](double value_m) { return std::abs(value_m - 0.5 * cell_m); };
      if (best.line == kNoLine || off(ahead_m) < off(best.ahead_m)) best = {line, ahead_m};
    }
    return best;
  }

  const WallLine& line(std::size_t number) const { return lines_[number]; }

 private:
  /// Whether strips along the direction, an axis of the cells, are what lies between cells and face: those along the
  /// axis that is more square to it.
  bool mostly_faces(std::size_t line, const Eigen::Vector2d& outward) const {
    const Eigen::Vector2d along = (lines_[line].to_m - lines_[line].from_m).cwiseAbs();
    return std::abs(outward.y()) > 0.5 ? along.x() >= along.y() : along.y() > along.x();
  }

  void add(std::optional<std::size_t> cell, std::size_t line) {
    if (!cell) return;
    std::vector<std::size_t>& lines = near_[*cell];
    if (lines.empty() || lines.back() != line) lines.push_back(line);
  }

  std::span<const WallLine> lines_;
  const OpenFloor& floor_;
  std::unordered_map<std::size_t, std::vector<std::size_t>> near_;
};

enum class Beyond { face, cells, unseen, room };

/// One side of a cell at the border of a room.
struct BorderSide {
  Eigen::Vector2d begin_m;
  Eigen::Vector2d outward;
  Beyond beyond = Beyond::cells;
  std::size_t line = kNoLine;
  double shift_m = 0.0;  ///< outwards, to where the floor ends
  bool counts = true;    ///< the strip is floor: of a slanted face's staircase only one kind of sides counts
};

struct CellBox {
  std::int64_t low_x = std::numeric_limits<std::int64_t>::max();
  std::int64_t low_y = std::numeric_limits<std::int64_t>::max();
  std::int64_t high_x = -1;
  std::int64_t high_y = -1;
  std::size_t widest = 0;  ///< the cell of the room that is farthest from the walls
};

class RoomMeasure {
 public:
  RoomMeasure(const OpenFloor& floor, const RoomLabels& labels, const OccupancyGrid& grid, const LinesNear& lines)
      : floor_(floor), labels_(labels), grid_(grid), lines_(lines), cell_m_(floor.frame.cell_size_m) {}

  RoomFloor measure(std::int32_t room, const CellBox& box, const MapUncertainty& common) {
    result_ = {};
    result_.widest_m = floor_.middle_m(box.widest);
    variance_m4_ = 0.0;
    length_by_line_m_.clear();
    const auto columns = static_cast<std::int32_t>(box.high_x - box.low_x + 1);
    const auto rows = static_cast<std::int32_t>(box.high_y - box.low_y + 1);
    std::vector<bool> marked(static_cast<std::size_t>(columns) * static_cast<std::size_t>(rows));
    std::size_t cells = 0;
    for (std::size_t i = 0; i < marked.size(); ++i) {
      const auto x = static_cast<std::size_t>(box.low_x) + i % static_cast<std::size_t>(columns);
      const auto y = static_cast<std::size_t>(box.low_y) + i / static_cast<std::size_t>(columns);
      marked[i] = labels_.of_cell[y * floor_.columns() + x] == room;
      cells += marked[i] ? 1U : 0U;
    }
    result_.area_m2 = static_cast<double>(cells) * cell_m_ * cell_m_;
    const Eigen::Vector2d corner_m =
        floor_.frame.lower_left_corner_m() +
        cell_m_ * Eigen::Vector2d(static_cast<double>(box.low_x), static_cast<double>(box.low_y));
    double largest_m2 = 0.0;
    for (const CellOutline& outline : cell_outlines(marked, columns, rows)) {
      std::vector<Eigen::Vector2d> corners;
      for (const Eigen::Vector2i& corner : outline) corners.push_back(corner_m + cell_m_ * corner.cast<double>());
      const std::vector<BorderSide> sides = sides_of(corners);
      count(sides);
      const double area_m2 = signed_area(corners);
      if (area_m2 > largest_m2) {
        largest_m2 = area_m2;
        result_.outline = simplified(sides, corners);
      }
    }
    finish(common);
    return result_;
  }

 private:
  std::vector<BorderSide> sides_of(const std::vector<Eigen::Vector2d>& corners) const {
    std::vector<BorderSide> sides;
    for (std::size_t i = 0; i < corners.size(); ++i) {
      const Eigen::Vector2d way = corners[(i + 1) % corners.size()] - corners[i];
      const int steps = static_cast<int>(std::lround(way.norm() / cell_m_));
      for (int step = 0; step < steps; ++step)
        sides.push_back(side_at(corners[i] + step * way / steps, way.normalized()));
    }
    take_steps(sides);
    return sides;
  }

  /// Steps of the staircase that cells make along a slanted face, between two sides that end at it, have no strip of
  /// their own.
  static void take_steps(std::vector<BorderSide>& sides) {
    for (std::size_t i = 0; i < sides.size(); ++i) {
      const BorderSide& before = sides[(i + sides.size() - 1) % sides.size()];
      const BorderSide& after = sides[(i + 1) % sides.size()];
      BorderSide& side = sides[i];
      const bool is_step = before.counts && after.counts && before.line == after.line && before.line != kNoLine;
      if (!is_step || side.line != kNoLine || side.beyond == Beyond::room) continue;
      side.beyond = Beyond::face;
      side.line = before.line;
      side.shift_m = 0.0;
      side.counts = false;
    }
  }

  /// The room's cell lies to the left of the way.
  BorderSide side_at(const Eigen::Vector2d& begin_m, const Eigen::Vector2d& way) const {
    BorderSide side{begin_m, {way.y(), -way.x()}, Beyond::cells, kNoLine, 0.0, true};
    const Eigen::Vector2d middle_m = begin_m + 0.5 * cell_m_ * way;
    const std::optional<std::size_t> outside = floor_.cell_at(middle_m + 0.5 * cell_m_ * side.outward);
    if (outside && labels_.of_cell[*outside] >= 0) {
      side.beyond = Beyond::room;
      return side;
    }
    const std::size_t inside = floor_.cell_at(middle_m - 0.5 * cell_m_ * side.outward).value();
    const LinesNear::Face face = lines_.face_ahead(inside, middle_m, side.outward);
    if (face.line != kNoLine) {
      side.beyond = Beyond::face;
      side.line = face.line;
      side.shift_m = face.ahead_m;
    } else if (!outside || std::isnan(grid_.probability[*outside])) {
      side.beyond = Beyond::unseen;
    } else {
      side.shift_m = 0.5 * cell_m_;
    }
    return side;
  }

  void count(const std::vector<BorderSide>& sides) {
    for (const BorderSide& side : sides) {
      result_.border_m += cell_m_;
      if (side.counts) result_.area_m2 += cell_m_ * side.shift_m;
      if (side.beyond == Beyond::unseen) result_.unseen_m += cell_m_;
      if (side.beyond == Beyond::room) result_.to_rooms_m += cell_m_;
      if (side.beyond != Beyond::face) continue;
      result_.by_faces_m += cell_m_;
      if (side.counts) length_by_line_m_[side.line] += cell_m_;
    }
    // Where cells alone end the floor, all of a straight run is off by the same part of a cell.
    double run_m = 0.0;
    for (std::size_t i = 0; i < sides.size(); ++i) {
      const BorderSide& side = sides[i];
      run_m = side.beyond == Beyond::face ? 0.0 : run_m + cell_m_;
      const BorderSide& next = sides[(i + 1) % sides.size()];
      const bool goes_on = i + 1 < sides.size() && next.beyond == side.beyond && next.outward == side.outward;
      if (goes_on) continue;
      variance_m4_ += run_m * run_m * cell_m_ * cell_m_ / 12.0;
      run_m = 0.0;
    }
  }

  void finish(const MapUncertainty& common) {
    double faces_m = 0.0;
    for (const auto& [line, length_m] : length_by_line_m_) {
      const double part = length_m * lines_.line(line).sd_m;
      variance_m4_ += part * part;
      faces_m += length_m;
    }
    const double by_borders_m2 = std::hypot(std::sqrt(variance_m4_), faces_m * common.range_offset_sd_m,
                                            2.0 * common.scale_sd * result_.area_m2);
    result_.sd_m2 = std::hypot(by_borders_m2, kUnforeseenShare * result_.area_m2);
  }

  /// The border moved to where the floor ends.
  std::vector<Eigen::Vector2d> moved(const std::vector<BorderSide>& sides) const {
    std::vector<Eigen::Vector2d> places;
    for (std::size_t i = 0; i < sides.size(); ++i) {
      const BorderSide& side = sides[i];
      const BorderSide& next = sides[(i + 1) % sides.size()];
      const Eigen::Vector2d middle_m = 0.5 * (side.begin_m + next.begin_m);
      places.push_back(on_face(side, middle_m));
      const bool turns = side.outward.dot(next.outward) < 0.5;
      const bool one_face = side.line != kNoLine && side.line == next.line;
      if (turns && !one_face)
        places.push_back(next.begin_m + side.shift_m * side.outward + next.shift_m * next.outward);
    }
    return places;
  }

  Eigen::Vector2d on_face(const BorderSide& side, const Eigen::Vector2d& middle_m) const {
    if (side.line == kNoLine) return middle_m + side.shift_m * side.outward;
    const WallLine& wall = lines_.line(side.line);
    const Eigen::Vector2d along = (wall.to_m - wall.from_m).normalized();
    return wall.from_m + along.dot(middle_m - wall.from_m) * along;
  }

  /// `corners`: those of the cells, for a border so narrow that it would cross itself.
  std::vector<Eigen::Vector2d> simplified(const std::vector<BorderSide>& sides,
                                          const std::vector<Eigen::Vector2d>& corners) const;

  const OpenFloor& floor_;
  const RoomLabels& labels_;
  const OccupancyGrid& grid_;
  const LinesNear& lines_;
  double cell_m_;
  RoomFloor result_;
  double variance_m4_ = 0.0;
  std::map<std::size_t, double> length_by_line_m_;
};

double distance_from_way(const Eigen::Vector2d& place, const Eigen::Vector2d& from, const Eigen::Vector2d& to) {
  const Eigen::Vector2d way = to - from;
  const double length2 = way.squaredNorm();
  const double at = length2 > 0.0 ? std::clamp(way.dot(place - from) / length2, 0.0, 1.0) : 0.0;
  return (place - from - at * way).norm();
}

/// Marks the places between two kept ones that are needed so that none lies further than `most` from the way (D. H.
/// Douglas, T. K. Peucker, "Algorithms for the reduction of the number of points", Cartographica 10, 1973).
void keep_needed(const std::vector<Eigen::Vector2d>& places, std::size_t first, std::size_t last, double most,
                 std::vector<bool>& kept) {
  std::vector<std::pair<std::size_t, std::size_t>> ways{{first, last}};
  while (!ways.empty()) {
    const auto [from, to] = ways.back();
    ways.pop_back();
    std::size_t farthest = from;
    double distance = most;
    for (std::size_t i = from + 1; i < to; ++i) {
      const double away = distance_from_way(places[i], places[from], places[to % places.size()]);
      if (away > distance) {
        distance = away;
        farthest = i;
      }
    }
    if (farthest == from) continue;
    kept[farthest] = true;
    ways.emplace_back(from, farthest);
    ways.emplace_back(farthest, to);
  }
}

std::vector<Eigen::Vector2d> RoomMeasure::simplified(const std::vector<BorderSide>& sides,
                                                     const std::vector<Eigen::Vector2d>& corners) const {
  const std::vector<Eigen::Vector2d> places = moved(sides);
  const auto away = [&](const Eigen::Vector2d& place) { return (place - places.front()).squaredNorm(); };
  const auto farthest =
      std::max_element(places.begin(), places.end(), [&](const auto& a, const auto& b) { return away(a) < away(b); });
  const auto middle = static_cast<std::size_t>(farthest - places.begin());
  std::vector<bool> kept(places.size(), false);
  kept.front() = true;
  kept[middle] = true;
  keep_needed(places, 0, middle, 0.5 * cell_m_, kept);
  keep_needed(places, middle, places.size(), 0.5 * cell_m_, kept);
  std::vector<Eigen::Vector2d> outline;
  for (std::size_t i = 0; i < places.size(); ++i) {
    if (kept[i]) outline.push_back(places[i]);
  }
  return crossing_edges(outline) ? corners : outline;
}

}  // namespace

std::vector<RoomFloor> room_floors(const OpenFloor& floor, const RoomLabels& labels, const OccupancyGrid& grid,
                                   std::span<const WallLine> walls, const MapUncertainty& uncertainty) {
  std::vector<CellBox> boxes(labels.named);
  for (std::size_t cell = 0; cell < labels.of_cell.size(); ++cell) {
    if (!labels.is_named(labels.of_cell[cell])) continue;
    CellBox& box = boxes[static_cast<std::size_t>(labels.of_cell[cell])];
    const auto x = static_cast<std::int64_t>(cell % floor.columns());
    const auto y = static_cast<std::int64_t>(cell / floor.columns());
    const bool wider = box.high_x < 0 || floor.clearance[cell] > floor.clearance[box.widest];
    box = {std::min(box.low_x, x), std::min(box.low_y, y), std::max(box.high_x, x), std::max(box.high_y, y),
           wider ? cell : box.widest};
  }
  const LinesNear lines(walls, floor);
  RoomMeasure measure(floor, labels, grid, lines);
  std::vector<RoomFloor> rooms;
  for (std::size_t room = 0; room < boxes.size(); ++room) {
    rooms.push_back(measure.measure(static_cast<std::int32_t>(room), boxes[room], uncertainty));
  }
  return rooms;
}

}  // namespace wainscot
