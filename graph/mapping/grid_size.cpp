#include "graph/mapping/grid_size.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "core/errors.hpp"
#include "core/map_extent.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

/// Odometry that drifts bends a long corridor, and the box around a bent one is larger: around 5 km that bend by 40
/// degrees in the middle 4.7 km by 0.86 km, four times the largest grid of cells of 5 cm.
constexpr double kBentByDrift = 4.0;

struct Size {
  double length_m = 0.0;
  double width_m = 0.0;
  double cells(double cell_size_m) const { return length_m * width_m / (cell_size_m * cell_size_m); }
};

/// How far points reach in each of some directions.
class Reach {
 public:
  Reach() {
    most_m_.fill(-std::numeric_limits<double>::infinity());
    for (std::size_t i = 0; i < kDirections; ++i) {
      const double angle = 2.0 * std::numbers::pi * static_cast<double>(i) / kDirections;
      directions_[i] = {std::cos(angle), std::sin(angle)};
    }
  }
  void add(const Eigen::Vector2d& point_m) {
    for (std::size_t i = 0; i < kDirections; ++i) most_m_[i] = std::max(most_m_[i], directions_[i].dot(point_m));
  }
  /// Of the smallest box around the points, however it is turned.
  Size smallest_box() const {
    const auto extent_m = [this](std::size_t i) { return most_m_[i] + most_m_[(i + kDirections / 2) % kDirections]; };
    Size smallest{extent_m(0), extent_m(kDirections / 4)};
    for (std::size_t i = 1; i < kDirections / 4; ++i) {
      const Size turned{extent_m(i), extent_m(i + kDirections / 4)};
      if (turned.cells(1.0) < smallest.cells(1.0)) smallest = turned;
    }
    return smallest;
  }

 private:
  // Of 5 degrees: the box around a house is told to 10 % and better, which is all that a refusal needs.
  static constexpr std::size_t kDirections = 72;
  std::array<double, kDirections> most_m_{};
  std::array<Eigen::Vector2d, kDirections> directions_;
};

bool is_seen(const Return& beam, const Drive& drive) {
  return static_cast<double>(beam.range_m) < drive.robot.lidar.max_range_m;
}

struct FarReturn {
  double range_m = 0.0;
  double time_s = 0.0;
};

FarReturn farthest_return(const Drive& drive, const std::vector<std::size_t>& scans) {
  FarReturn farthest;
  for (const std::size_t scan : scans) {
    for (const Return& beam : drive.scans[scan].returns) {
      const double range_m = beam.range_m;
      if (is_seen(beam, drive) && range_m > farthest.range_m) farthest = {range_m, drive.scans[scan].time_s};
    }
  }
  return farthest;
}

void add(const Scan& scan, const Pose2& pose, const Drive& drive, Reach& reach) {
  for (const Return& beam : scan.returns) {
    if (!is_seen(beam, drive)) continue;
    const double angle = pose.heading_rad + static_cast<double>(beam.angle_rad);
    const double range_m = beam.range_m;
    reach.add(pose.translation() + range_m * Eigen::Vector2d(std::cos(angle), std::sin(angle)));
  }
}

/// Beyond which one return in a hundred lies.
double hundredth_m(const Drive& drive, const std::vector<std::size_t>& scans) {
  std::vector<float> ranges;
  for (const std::size_t scan : scans) {
    for (const Return& beam : drive.scans[scan].returns) {
      if (is_seen(beam, drive)) ranges.push_back(beam.range_m);
    }
  }
  const auto place = ranges.begin() + static_cast<std::ptrdiff_t>(99 * ranges.size() / 100);
  std::nth_element(ranges.begin(), place, ranges.end());
  return *place;
}

bool fits(const Size& size, double cell_size_m) { return size.cells(cell_size_m) <= most_grid_cells; }

std::string too_large(const Size& size, double cell_size_m) {
  return sentence("%.0f m by %.0f m, %.0f million cells of %g m, of which there can be %.0f million", size.length_m,
                  size.width_m, std::ceil(size.cells(cell_size_m) / 1e6), cell_size_m, most_grid_cells / 1e6);
}

/// `far`: the scans of which the farthest return is named, beside what `all` see.
[[noreturn]] void refuse(const Size& size, double cell_size_m, const Drive& drive, const std::vector<std::size_t>& far,
                         const std::vector<std::size_t>& all) {
  const FarReturn farthest = farthest_return(drive, far);
  throw PoorData(
      sentence("the map would be %s: the farthest return, %.1f m at %.3f s, makes it so large, and 99 %% of the "
               "returns are nearer than %.1f m; state a smaller max_range_m in robot.yaml (it is %g), or take "
               "larger cells",
               too_large(size, cell_size_m).c_str(), farthest.range_m, farthest.time_s, hundredth_m(drive, all),
               drive.robot.lidar.max_range_m));
}

}  // namespace

void require_possible_grid(const Drive& drive, const std::vector<std::size_t>& scans, const OdometryPath& path,
                           double cell_size_m) {
  Reach driven;
  for (const std::size_t scan : scans) driven.add(path.pose_at(drive.scans[scan].time_s).translation());
  const Size way = driven.smallest_box();
  const double bent_cell_m = cell_size_m * std::sqrt(kBentByDrift);
  if (!fits(way, bent_cell_m)) {
    throw PoorData(
        sentence("by odometry alone the map would be %s: look at what a tick of the wheels is in robot.yaml, or at the "
                 "unit of odometry.csv, or take larger cells",
                 too_large(way, cell_size_m).c_str()));
  }
  const double round_m = 2.0 * farthest_return(drive, scans).range_m;
  if (fits({way.length_m + round_m, way.width_m + round_m}, cell_size_m)) return;  // all but always
  Reach seen = driven;
  for (const std::size_t scan : scans) {
    Reach alone;  // one scan is not bent
    alone.add(Eigen::Vector2d::Zero());
    add(drive.scans[scan], {}, drive, alone);
    if (!fits(alone.smallest_box(), cell_size_m)) refuse(alone.smallest_box(), cell_size_m, drive, {scan}, scans);
    add(drive.scans[scan], path.pose_at(drive.scans[scan].time_s), drive, seen);
  }
  if (!fits(seen.smallest_box(), bent_cell_m)) refuse(seen.smallest_box(), cell_size_m, drive, scans, scans);
}

void require_possible_grid(const Drive& drive, const std::vector<std::size_t>& scans, const Eigen::AlignedBox2d& box_m,
                           double cell_size_m) {
  const Size size{box_m.sizes().x(), box_m.sizes().y()};
  if (fits(size, cell_size_m)) return;
  const double round_m = 2.0 * farthest_return(drive, scans).range_m;
  const Size way{std::max(0.0, size.length_m - round_m), std::max(0.0, size.width_m - round_m)};
  if (!fits(way, cell_size_m)) {
    throw PoorData(sentence("the map would be %s, since the way itself is so long; take larger cells",
                            too_large(size, cell_size_m).c_str()));
  }
  refuse(size, cell_size_m, drive, scans, scans);
}

}  // namespace wainscot
