#include "tests/bench/altered_drive.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <functional>
#include <map>
#include <random>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/errors.hpp"
#include "io/spelling.hpp"

namespace wainscot::bench {
namespace {

using Poses = std::vector<TimedPose>;

void mirror(Poses& poses) {
  for (TimedPose& row : poses) {
    row.pose.y_m = -row.pose.y_m;
    row.pose.heading_rad = -row.pose.heading_rad;
  }
}

void mirror(Drive& drive, Poses& reference) {
  mirror(drive.odometry);
  mirror(reference);
  for (Scan& scan : drive.scans) {
    for (Return& r : scan.returns) r.angle_rad = -r.angle_rad;
  }
}

/// Each motion from one row to the next as `change` has it.
void change_motions(Poses& poses, const std::function<Pose2(const Pose2&)>& change) {
  Pose2 before = poses.front().pose;
  for (std::size_t i = 1; i < poses.size(); ++i) {
    const Pose2 motion = between(before, poses[i].pose);
    before = poses[i].pose;
    poses[i].pose = poses[i - 1].pose * change(motion);
  }
}

void scale_odometry(Drive& drive, Poses&) {
  change_motions(drive.odometry, [](const Pose2& motion) {
    return Pose2{0.93 * motion.x_m, 0.93 * motion.y_m, 1.08 * motion.heading_rad};
  });
}

void let_odometry_drift(Drive& drive, Poses&) {
  std::mt19937 random(1);
  std::normal_distribution<double> normal;
  change_motions(drive.odometry, [&](const Pose2& motion) {
    const double way_m = motion.translation().norm();
    const double sd_rad = 0.05 * std::sqrt(std::abs(motion.heading_rad) + 0.3 * way_m);
    return Pose2{motion.x_m, motion.y_m, motion.heading_rad + 0.03 * way_m + sd_rad * normal(random)};
  });
}

void change_returns(Drive& drive, const std::function<void(std::vector<Return>&)>& change) {
  for (Scan& scan : drive.scans) change(scan.returns);
}

void add_range_noise(Drive& drive, Poses&) {
  std::mt19937 random(1);
  std::normal_distribution<float> normal(0.0F, 0.03F);
  change_returns(drive, [&](std::vector<Return>& returns) {
    for (Return& r : returns) r.range_m = std::max(0.05F, r.range_m + normal(random));
  });
}

void see_less_far(Drive& drive, Poses&) {
  change_returns(drive, [](std::vector<Return>& returns) {
    std::erase_if(returns, [](const Return& r) { return r.range_m > 12.0F; });
  });
}

template <typename T>
void keep_every_second(std::vector<T>& all) {
  std::size_t kept = 0;
  for (std::size_t i = 0; i < all.size(); i += 2) all[kept++] = std::move(all[i]);
  all.resize(kept);
}

/// What lies between two moments, as parts of the time of the scans.
void keep_between(Drive& drive, Poses& reference, double from, double to) {
  const double begin_s = drive.scans.front().time_s;
  const double length_s = drive.scans.back().time_s - begin_s;
  const auto is_outside = [&](const auto& row) {
    return row.time_s < begin_s + from * length_s || row.time_s > begin_s + to * length_s;
  };
  const auto first = std::find_if_not(drive.odometry.begin(), drive.odometry.end(), is_outside);
  const auto skipped = static_cast<std::size_t>(first - drive.odometry.begin());
  std::erase_if(drive.odometry, is_outside);
  std::erase_if(drive.breaks,
                [&](std::size_t row) { return row <= skipped || row >= skipped + drive.odometry.size(); });
  for (std::size_t& row : drive.breaks) row -= skipped;
  std::erase_if(drive.scans, is_outside);
  std::erase_if(reference, is_outside);
}

using Alteration = std::function<void(Drive&, Poses&)>;

const std::map<std::string, Alteration>& alterations_by_name() {
  static const std::map<std::string, Alteration> all = {
      {"mirrored", [](Drive& drive, Poses& reference) { mirror(drive, reference); }},
      {"scaled-odometry", scale_odometry},
      {"drifting-odometry", let_odometry_drift},
      {"noisy-ranges", add_range_noise},
      {"short-ranges", see_less_far},
      {"fewer-beams", [](Drive& drive, Poses&) { change_returns(drive, keep_every_second<Return>); }},
      {"fewer-scans", [](Drive& drive, Poses&) { keep_every_second(drive.scans); }},
      {"first-half", [](Drive& drive, Poses& reference) { keep_between(drive, reference, 0.0, 0.5); }},
      {"second-half", [](Drive& drive, Poses& reference) { keep_between(drive, reference, 0.5, 1.0); }},
  };
  return all;
}

}  // namespace

std::vector<std::string> alterations() {
  std::vector<std::string> names;
  for (const auto& [name, alteration] : alterations_by_name()) names.push_back(name);
  return names;
}

Drive altered(Drive drive, std::vector<TimedPose>& reference, const std::string& alteration) {
  const auto found = alterations_by_name().find(alteration);
  if (found == alterations_by_name().end()) {
    throw InputError(fmt::format("--alter {}: there is {}", printable(alteration), fmt::join(alterations(), ", ")));
  }
  if (drive.odometry.empty() || drive.scans.empty()) {
    throw InputError(printable(drive.name) + ": only drives with odometry.csv and scans can be altered");
  }
  found->second(drive, reference);
  return drive;
}

}  // namespace wainscot::bench
