#include "io/rooms/door_leaf.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "io/rooms/room_labels.hpp"

namespace wainscot {
namespace {

constexpr double kNarrowestLeafM = 0.5;  // common practice, no source
constexpr double kLeastOpenRad = 0.17;   // 10 degrees: less and the leaf lies in the blurred cells of the frame
constexpr double kMostOpenRad = 1.31;    // 75 degrees: from 60 on the gap is no narrower than the opening

/// The share of places on the way from `from` to `to` for which `is(place)`, every half cell.
template <typename Is>
double share_of(const OpenFloor& floor, const Eigen::Vector2d& from_m, const Eigen::Vector2d& to_m, const Is& is) {
  const int steps = std::max(1, static_cast<int>(2.0 * (to_m - from_m).norm() / floor.frame.cell_size_m));
  int found = 0;
  for (int i = 0; i <= steps; ++i) found += is(from_m + static_cast<double>(i) / steps * (to_m - from_m)) ? 1 : 0;
  return found / (steps + 1.0);
}

/// How much the cells look like a leaf from hinge to end: all of it wall, both sides and the opening free. 0: not at
/// all.
double likeness(const OpenFloor& floor, const DoorLeaf& leaf) {
  constexpr double kLeastWall = 0.8;
  constexpr double kLeastFree = 0.75;
  const double cell_m = floor.frame.cell_size_m;
  const Eigen::Vector2d along = (leaf.end_m - leaf.hinge_m).normalized();
  const Eigen::Vector2d aside = 2.5 * cell_m * Eigen::Vector2d(-along.y(), along.x());
  const auto is_wall = [&](const Eigen::Vector2d& place) { return !floor.is_open(place); };
  const auto is_open = [&](const Eigen::Vector2d& place) { return floor.is_open(place); };
  const double wall = share_of(floor, leaf.hinge_m, leaf.end_m, is_wall);
  if (wall < kLeastWall) return 0.0;
  // Near the hinge frame and leaf are one.
  const Eigen::Vector2d free_from = leaf.hinge_m + 0.4 * (leaf.end_m - leaf.hinge_m);
  const double left = share_of(floor, free_from + aside, leaf.end_m + aside, is_open);
  const double right = share_of(floor, free_from - aside, leaf.end_m - aside, is_open);
  const Eigen::Vector2d opening = leaf.jamb_m - leaf.hinge_m;
  const double gap = share_of(floor, leaf.hinge_m + 0.4 * opening, leaf.hinge_m + 0.85 * opening, is_open);
  if (std::min({left, right, gap}) < kLeastFree) return 0.0;
  // A hinge inside the wall would do as well, but for the wall between it and the opening.
  const double from_hinge = std::min(0.4, 3.0 * cell_m / opening.norm());
  const double behind = share_of(floor, leaf.hinge_m + from_hinge * opening, leaf.hinge_m + 0.85 * opening, is_open);
  return wall + left + right + behind;
}

/// The leaf whose free end is `end_m`, by its likeness; `best` where none is likelier.
void look_from(const OpenFloor& floor, const Eigen::Vector2d& end_m, const Eigen::Vector2d& jamb_m,
               std::optional<DoorLeaf>& best, double& best_likeness) {
  constexpr int kDirections = 360;
  constexpr double kRebateM = 0.15;  // leaf and opening differ by the rebate, and by a cell at each of three places
  for (int i = 0; i < kDirections; ++i) {
    const double angle_rad = 2.0 * std::numbers::pi * i / kDirections;
    const Eigen::Vector2d along(std::cos(angle_rad), std::sin(angle_rad));
    for (double leaf_m = kNarrowestLeafM; leaf_m <= widest_door_m; leaf_m += 0.5 * floor.frame.cell_size_m) {
      const DoorLeaf leaf{end_m + leaf_m * along, end_m, jamb_m};
      const double off_m = std::abs((jamb_m - leaf.hinge_m).norm() - leaf_m);
      if (off_m > kRebateM || leaf.open_rad() < kLeastOpenRad || leaf.open_rad() > kMostOpenRad) continue;
      const double like = likeness(floor, leaf) - (off_m / kRebateM) * (off_m / kRebateM);
      if (like > best_likeness) {
        best_likeness = like;
        best = leaf;
      }
    }
  }
}

}  // namespace

double DoorLeaf::open_rad() const {
  return std::acos(std::clamp((end_m - hinge_m).normalized().dot((jamb_m - hinge_m).normalized()), -1.0, 1.0));
}

std::optional<DoorLeaf> half_open_leaf(const OpenFloor& floor, const Eigen::Vector2d& end_1_m,
                                       const Eigen::Vector2d& end_2_m) {
  std::optional<DoorLeaf> best;
  double best_likeness = 0.0;
  look_from(floor, end_1_m, end_2_m, best, best_likeness);
  look_from(floor, end_2_m, end_1_m, best, best_likeness);
  return best;
}

}  // namespace wainscot
