#include "graph/motion/sampled_strides.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/odometry.hpp"
#include "graph/parallel.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kStretch = 32;     // of scans: three to six seconds
constexpr std::size_t kFewestScans = 8;  // a quarter of it: what is left at the end of a log

struct Stretch {
  std::size_t first = 0, end = 0;  // indices into Drive::scans
  double turned_rad = 0.0;
  double way_m = 0.0;
};

std::vector<Stretch> all_stretches(const Drive& drive) {
  std::vector<Stretch> stretches;
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  if (steps.empty()) return stretches;
  const OdometryPath path(steps, {});
  for (std::size_t first = 0; first + kFewestScans <= drive.scans.size(); first += kStretch) {
    Stretch stretch{first, std::min(first + kStretch, drive.scans.size())};
    const double from_s = drive.scans[first].time_s;
    const double to_s = drive.scans[stretch.end - 1].time_s;
    stretch.turned_rad = path.turned_at_rad(to_s) - path.turned_at_rad(from_s);
    stretch.way_m = path.way_at_m(to_s) - path.way_at_m(from_s);
    stretches.push_back(stretch);
  }
  return stretches;
}

/// In the order of time.
std::vector<Stretch> telling_stretches(const Drive& drive, std::size_t most) {
  std::vector<Stretch> stretches = all_stretches(drive);
  if (stretches.size() > most) {
    std::stable_sort(stretches.begin(), stretches.end(),
                     [](const Stretch& a, const Stretch& b) { return a.turned_rad > b.turned_rad; });
    const auto turning = static_cast<std::ptrdiff_t>((most + 1) / 2);
    std::stable_sort(stretches.begin() + turning, stretches.end(),
                     [](const Stretch& a, const Stretch& b) { return a.way_m > b.way_m; });
    stretches.resize(most);
    std::sort(stretches.begin(), stretches.end(), [](const Stretch& a, const Stretch& b) { return a.first < b.first; });
  }
  return stretches;
}

std::vector<Scan> scans_of(const Drive& drive, const Stretch& stretch, std::size_t most_beams) {
  std::vector<Scan> scans;
  for (std::size_t i = stretch.first; i < stretch.end; ++i) {
    const std::vector<Return>& beams = drive.scans[i].returns;
    const std::size_t step = std::max<std::size_t>(1, (beams.size() + most_beams - 1) / most_beams);
    Scan scan{drive.scans[i].time_s, {}};
    for (std::size_t k = 0; k < beams.size(); k += step) scan.returns.push_back(beams[k]);
    scans.push_back(std::move(scan));
  }
  return scans;
}

SampledStrides follow(const Drive& drive, const Stretch& stretch, const SampleOptions& options) {
  const LidarConstants& lidar = drive.robot.lidar;
  const TurnScans scans = turn_scans(scans_of(drive, stretch, options.most_beams), lidar);
  if (scans.scans.size() < kFewestScans || scans.turn_s <= 0.0) return {};
  LidarMotionOptions following;
  following.sweep_s = scans.stated_s;
  following.corrections = options.corrections;
  following.threads = 1;
  LidarMotion motion = follow_lidar(scans, lidar, following);
  std::vector<LidarStride> strides = long_strides(scans, motion, lidar, following);
  return {std::move(motion.steps), std::move(strides)};
}

}  // namespace

SampledStrides sampled_strides(const Drive& drive, const SampleOptions& options) {
  const std::vector<Stretch> stretches =
      telling_stretches(drive, std::max<std::size_t>(1, options.most_scans / kStretch));
  std::vector<SampledStrides> parts(stretches.size());
  for_each_index(stretches.size(), options.threads,
                 [&](std::size_t k) { parts[k] = follow(drive, stretches[k], options); });
  SampledStrides all;
  for (const SampledStrides& part : parts) {
    all.steps.insert(all.steps.end(), part.steps.begin(), part.steps.end());
    all.strides.insert(all.strides.end(), part.strides.begin(), part.strides.end());
  }
  return all;
}

}  // namespace wainscot
