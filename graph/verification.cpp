#include "graph/verification.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/Dense>

#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

struct Counts {
  int on_wall = 0;
  int in_free = 0;
  int seen = 0;
  int all = 0;
};

Counts compare(const Place& reference, const Place& other, const Pose2& pose, double pair_distance_m) {
  Counts counts;
  const Eigen::Matrix2d rotation = pose.rotation();
  for (const ScanPoint& p : other.points()) {
    const Eigen::Vector2d place = pose * Eigen::Vector2d(p.x_m, p.y_m);
    const Eigen::Vector2d normal = rotation * Eigen::Vector2d(p.normal_x, p.normal_y);
    ++counts.all;
    if (!reference.seen().is_seen(place)) continue;
    ++counts.seen;
    if (reference.lines().find(place, normal, pair_distance_m) != LineMap::kNone) {
      ++counts.on_wall;
    } else if (reference.seen().is_free(place)) {
      ++counts.in_free;
    }
  }
  return counts;
}

double ratio(int part, int whole) { return whole > 0 ? static_cast<double>(part) / whole : 0.0; }

std::vector<Eigen::Vector2d> some_ends(const Place& place) {
  constexpr std::size_t kMost = 250;
  std::vector<Eigen::Vector2d> result;
  const std::size_t stride = std::max<std::size_t>(1, place.points().size() / kMost);
  for (std::size_t i = 0; i < place.points().size(); i += stride) {
    result.emplace_back(place.points()[i].x_m, place.points()[i].y_m);
  }
  return result;
}

Verified rejected(Verified verified, const char* reason) {
  verified.candidate.verdict = Verdict::rejected;
  verified.candidate.reason = reason;
  return verified;
}

/// Where the search begins ICP: the prediction itself where it is good, else the best place in its uncertainty.
std::optional<Pose2> search(const Place& earlier, const Place& later, const Pose2& predicted,
                            const Eigen::Matrix3d& covariance, const VerificationOptions& options) {
  const double sd_m = std::sqrt(std::max(covariance(0, 0), covariance(1, 1)));
  const double sd_rad = std::sqrt(covariance(2, 2));
  if (sd_m < options.direct_sd_m && sd_rad < options.direct_sd_rad) return predicted;
  const double half_m = std::min(3.0 * sd_m + 0.1, options.widest_search_m);
  const double half_rad = std::min(3.0 * sd_rad + 0.02, options.widest_search_rad);
  const auto match = earlier.raster().search(some_ends(later), predicted, {half_m, half_m, half_rad});
  if (!match) return std::nullopt;
  return match->pose;
}

}  // namespace

Verified verify(const Place& earlier, const Place& later, const Pose2& predicted, const Eigen::Matrix3d& covariance,
                const RangeNoise& noise, const VerificationOptions& options) {
  Verified verified;
  LoopCandidate& candidate = verified.candidate;
  candidate.from = earlier.node();
  candidate.to = later.node();
  candidate.predicted = candidate.found = predicted;

  const std::optional<Pose2> start = search(earlier, later, predicted, covariance, options);
  if (!start) return rejected(verified, "nowhere within the drift's uncertainty do the walls fit");
  IcpOptions icp;
  icp.first_gate_m = 0.25;
  icp.max_iterations = 20;
  // The prediction's own word, so that a direction that the walls leave open (along a corridor) stays with odometry.
  const IcpResult match = match_icp(later.points(), earlier.lines(), noise, *start, Eigen::Matrix3d::Zero(), icp);
  const Eigen::Matrix3d prior = covariance.inverse();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> directions(match.information);
  constexpr double kWeakInformation = 1.0 / (0.05 * 0.05);
  const bool weak = directions.eigenvalues()[0] < kWeakInformation;
  const IcpResult found = weak ? match_icp(later.points(), earlier.lines(), noise, predicted, prior, icp) : match;
  candidate.found = found.pose;
  verified.information = found.information;

  const Counts forth = compare(earlier, later, found.pose, options.pair_distance_m);
  const Counts back = compare(later, earlier, inverse(found.pose), options.pair_distance_m);
  candidate.overlap = std::min(ratio(forth.on_wall, forth.seen), ratio(back.on_wall, back.seen));
  candidate.contradiction = std::max(ratio(forth.in_free, forth.seen), ratio(back.in_free, back.seen));
  const Tangent2 difference = log(between(predicted, found.pose));
  candidate.chi_squared = difference.dot(prior * difference);

  const double common = std::min(ratio(forth.seen, forth.all), ratio(back.seen, back.all));
  if (common < options.min_common) return rejected(verified, "the two places have too little in common");
  if (candidate.overlap < options.min_overlap) return rejected(verified, "too few walls coincide");
  if (candidate.contradiction > options.max_contradiction) {
    return rejected(verified, "walls stand where the earlier place was seen to be free");
  }
  if (candidate.chi_squared > options.max_chi_squared) {
    return rejected(verified, "the match lies outside of what the drift allows");
  }
  candidate.verdict = Verdict::accepted;
  candidate.reason = "walls coincide and free space agrees";
  return verified;
}

}  // namespace wainscot
