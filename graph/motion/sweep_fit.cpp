#include "graph/motion/sweep_fit.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "graph/parallel.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {
namespace {

struct ScanPair {
  std::size_t a = 0, b = 0;
  Pose2 guess;
};

/// Neighbouring scans whose smears differ: one turned and the other did not, or the other way round.
std::vector<ScanPair> telling_pairs(const TurnScans& scans, const LidarMotion& motion) {
  constexpr double kSmearRad = 0.06;  // 24 cm at 4 m
  // These three were chosen by hand on simulated homes whose numbers were not kept.
  constexpr double kNearM = 0.6;
  constexpr std::size_t kFurthest = 20;
  constexpr std::size_t kMost = 120;
  std::vector<ScanPair> pairs;
  for (std::size_t a = 0; a < scans.scans.size(); ++a) {
    Pose2 moved;
    for (std::size_t b = a + 1; b < std::min(a + kFurthest, scans.scans.size()); ++b) {
      const LidarStride& step = motion.steps[b - 1];
      moved = moved * step.motion;
      if (!step.sure || moved.translation().norm() > kNearM) break;
      if (std::abs(motion.velocities[a].z() - motion.velocities[b].z()) * scans.turn_s < kSmearRad) continue;
      pairs.push_back({a, b, moved});
      break;
    }
  }
  if (pairs.size() <= kMost) return pairs;
  std::vector<ScanPair> thinned;
  for (std::size_t k = 0; k < kMost; ++k) thinned.push_back(pairs[k * pairs.size() / kMost]);
  return thinned;
}

class SweepSearch {
 public:
  SweepSearch(const TurnScans& scans, const LidarMotion& motion, const LidarConstants& lidar, int threads)
      : scans_(scans), motion_(motion), lidar_(lidar), threads_(threads), pairs_(telling_pairs(scans, motion)) {}

  std::size_t size() const { return pairs_.size(); }

  /// Misfit of each pair.
  std::vector<double> misfits(double sweep_s) const {
    std::vector<double> result(pairs_.size());
    for_each_index(pairs_.size(), threads_, [&](std::size_t k) {
      const ScanPair& pair = pairs_[k];
      result[k] = match_points(points(pair.a, sweep_s), points(pair.b, sweep_s), lidar_, pair.guess, 0.0).misfit_m2;
    });
    return result;
  }

  double misfit(double sweep_s) const {
    double sum = 0.0;
    for (const double m : misfits(sweep_s)) sum += m;
    return sum / static_cast<double>(pairs_.size());
  }

 private:
  std::vector<ScanPoint> points(std::size_t i, double sweep_s) const {
    std::vector<ScanPoint> result = unswept(scans_.scans[i], scans_.turns, sweep_s, motion_.velocities[i]);
    estimate_normals(result, range_noise(lidar_), kNormalsOfSingleScans);
    return result;
  }

  const TurnScans& scans_;
  const LidarMotion& motion_;
  const LidarConstants& lidar_;
  int threads_;
  std::vector<ScanPair> pairs_;
};

/// Moves to the lowest point of a parabola through three misfits `step_s` apart; its standard uncertainty, from how far
/// the pairs scatter about it.
double refine(const SweepSearch& search, double step_s, double& sweep_s) {
  const std::vector<double> low = search.misfits(sweep_s - step_s);
  const std::vector<double> middle = search.misfits(sweep_s);
  const std::vector<double> high = search.misfits(sweep_s + step_s);
  double slope = 0.0;
  double slope2 = 0.0;
  double bend = 0.0;
  for (std::size_t k = 0; k < low.size(); ++k) {
    const double g = (high[k] - low[k]) / (2.0 * step_s);
    slope += g;
    slope2 += g * g;
    bend += (high[k] - 2.0 * middle[k] + low[k]) / (step_s * step_s);
  }
  if (bend <= 0.0) return step_s;
  const double shift = std::clamp(-slope / bend, -step_s, step_s);
  const double scatter = slope2 - slope * slope / static_cast<double>(low.size());
  sweep_s += shift;
  return std::sqrt(std::max(0.0, scatter)) / bend;
}

/// Mean of the pairs' differences over its standard uncertainty.
double by_how_much_better(const std::vector<double>& stated, const std::vector<double>& found) {
  double sum = 0.0;
  double squares = 0.0;
  for (std::size_t k = 0; k < stated.size(); ++k) {
    const double difference = stated[k] - found[k];
    sum += difference;
    squares += difference * difference;
  }
  const auto count = static_cast<double>(stated.size());
  const double variance = (squares - sum * sum / count) / (count - 1.0);
  return variance > 0.0 ? sum / std::sqrt(count * variance) : 0.0;
}

}  // namespace

SweepFit fit_sweep(const TurnScans& scans, const LidarMotion& motion, const LidarConstants& lidar, int threads) {
  constexpr std::size_t kFewest = 8;  // chosen by hand on simulated homes whose numbers were not kept
  constexpr int kSteps = 6;           // each way, a quarter of a turn: up to one and a half turns
  const double step_s = 0.25 * scans.turn_s;
  SweepFit fit;
  fit.sweep_s = scans.stated_s;
  const SweepSearch search(scans, motion, lidar, threads);
  if (search.size() < kFewest || scans.turn_s <= 0.0) return fit;
  fit.pairs = search.size();
  double best = search.misfit(scans.stated_s);
  fit.stated_misfit_m = std::sqrt(best);
  for (int k = -kSteps; k <= kSteps; ++k) {
    const double misfit = search.misfit(k * step_s);
    if (misfit >= best) continue;
    best = misfit;
    fit.sweep_s = k * step_s;
  }
  refine(search, 0.5 * step_s, fit.sweep_s);
  // The uncertainty is the wide parabola's: over less than an eighth of a turn, pairs of returns that come and go bend
  // the misfits more than the smear does.
  fit.sd_s = refine(search, 0.5 * step_s, fit.sweep_s);
  refine(search, 0.25 * step_s, fit.sweep_s);
  fit.misfit_m = std::sqrt(search.misfit(fit.sweep_s));
  fit.better = by_how_much_better(search.misfits(scans.stated_s), search.misfits(fit.sweep_s));
  return fit;
}

}  // namespace wainscot
