#include "graph/close/verification.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/Dense>

#include "graph/drift.hpp"
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
  constexpr std::size_t kMost = 250;  // a limit of time for the search: what it finds is matched with all returns
  std::vector<Eigen::Vector2d> result;
  const std::size_t stride = std::max<std::size_t>(1, place.points().size() / kMost);
  for (std::size_t i = 0; i < place.points().size(); i += stride) {
    result.emplace_back(place.points()[i].x_m, place.points()[i].y_m);
  }
  return result;
}

Verified rejected(Verified verified, Fit fit, const char* reason) {
  verified.fit = fit;
  verified.candidate.verdict = Verdict::rejected;
  verified.candidate.reason = reason;
  return verified;
}

Verified begun(const Place& earlier, const Place& later, const Pose2& predicted) {
  Verified verified;
  verified.candidate.from = earlier.node();
  verified.candidate.to = later.node();
  verified.candidate.predicted = verified.candidate.found = predicted;
  return verified;
}

IcpOptions icp_options() {
  IcpOptions icp;
  icp.first_gate_m = 0.25;
  icp.max_iterations = 20;
  return icp;
}

/// Whether the match tells the place well enough to be called right: by five standard deviations within 10 cm and 3
/// degrees, beyond which a closure does harm. The prediction does not count: what it says is in the graph already.
bool is_settled(const IcpResult& match) {
  constexpr double kMostM = 0.10 / 5.0;
  constexpr double kMostRad = 0.05 / 5.0;
  const LeftOpen open = left_open(match.information);
  return open.position_m < kMostM && open.heading_rad < kMostRad;
}

bool is_weak(const IcpResult& match) {
  // A direction known to worse than 5 cm by the walls alone: kOpenM of graph/track/keyframes, chosen by hand.
  constexpr double kWeakInformation = 1.0 / (0.05 * 0.05);
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> directions(match.information);
  return directions.eigenvalues()[0] < kWeakInformation;
}

/// What two places do not share beyond noise: each was bent a little by its own stretch of tracking, and surfaces with
/// a range bias are seen from other sides. Chosen by hand for rooms: in recordings of real robots it is more where the
/// ranges' steps and the places are larger (4 mm and 0.08 degrees in one building, 30 to 90 mm and 0.1 to 0.4 degrees
/// in four others, by the residuals in the finished graph). Before the adjustment a closure is not known better;
/// afterwards it is stated by its drive's own residuals, see graph/mapping/restated_edges.
Eigen::Matrix3d with_model_error(const Eigen::Matrix3d& information) {
  constexpr double kModelM = 0.008;
  constexpr double kModelRad = 0.003;
  Eigen::Matrix3d covariance = (information + 1e-6 * Eigen::Matrix3d::Identity()).inverse();
  covariance.diagonal() += Eigen::Vector3d(kModelM * kModelM, kModelM * kModelM, kModelRad * kModelRad);
  return covariance.inverse();
}

struct Limits {
  double min_common;
  double min_overlap;
  double max_contradiction;
};

/// Measures what was found and applies the tests of meaning, then the gate of the drift.
Verified judged(const Place& earlier, const Place& later, const IcpResult& found, const Eigen::Matrix3d& covariance,
                Verified verified, const Limits& limits, const VerificationOptions& options) {
  LoopCandidate& candidate = verified.candidate;
  candidate.found = found.pose;
  verified.information = with_model_error(found.information);
  const Counts forth = compare(earlier, later, found.pose, options.pair_distance_m);
  const Counts back = compare(later, earlier, inverse(found.pose), options.pair_distance_m);
  candidate.overlap = std::min(ratio(forth.on_wall, forth.seen), ratio(back.on_wall, back.seen));
  candidate.contradiction = std::max(ratio(forth.in_free, forth.seen), ratio(back.in_free, back.seen));
  Pose2 error = between(candidate.predicted, found.pose);
  error.heading_rad = wrap_angle(error.heading_rad);
  const Tangent2 difference = log(error);
  candidate.chi_squared = difference.dot(covariance.ldlt().solve(difference));

  const double common = std::min(ratio(forth.seen, forth.all), ratio(back.seen, back.all));
  if (common < limits.min_common) {
    return rejected(verified, Fit::open, "the two places have too little in common");
  }
  if (candidate.overlap < limits.min_overlap) {
    // Walls that are not where they were expected say nothing unless that place was seen to be free.
    const bool seen_free = candidate.contradiction > limits.max_contradiction;
    return rejected(verified, seen_free ? Fit::contradicts : Fit::open, "too few walls coincide");
  }
  if (candidate.contradiction > limits.max_contradiction) {
    return rejected(verified, Fit::contradicts, "walls stand where the earlier place was seen to be free");
  }
  if (candidate.chi_squared > options.max_chi_squared) {
    verified.outside_drift = true;
    return rejected(verified, Fit::open, "the match lies outside of what the drift allows");
  }
  verified.fit = Fit::fits;
  candidate.verdict = Verdict::accepted;
  candidate.reason = "walls coincide and free space agrees";
  return verified;
}

/// Where the search begins ICP: the prediction itself where it is good, else the best place in its uncertainty.
std::optional<Pose2> search(const Place& earlier, const Place& later, const Pose2& predicted,
                            const Eigen::Matrix3d& covariance, const VerificationOptions& options) {
  const double sd_m = position_sd_m(covariance);
  const double sd_rad = std::sqrt(covariance(2, 2));
  if (sd_m < options.direct_sd_m && sd_rad < options.direct_sd_rad) return predicted;
  const double half_m = std::min(3.0 * sd_m + 0.1, options.widest_search_m);
  const double half_rad = std::min(3.0 * sd_rad + 0.02, options.widest_search_rad);
  const auto match = earlier.raster(half_m).search(some_ends(later), predicted, {half_m, half_m, half_rad});
  if (!match) return std::nullopt;
  return match->pose;
}

/// The best place of `later` in `earlier` over all headings in which their walls are parallel.
std::optional<Pose2> search_anywhere(const Place& earlier, const Place& later, const VerificationOptions& options) {
  constexpr std::size_t kMostTurns = 4;   // rooms of right angles look alike in four
  constexpr double kTurnErrorRad = 0.06;  // the directions are told to 3 degrees
  const LikelihoodRaster raster = earlier.raster(options.far_search_m);
  const std::vector<Eigen::Vector2d> points = some_ends(later);
  std::optional<CorrelativeMatch> best;
  for (const double turn : earlier.signature().turns_to(later.signature(), kMostTurns)) {
    const auto match =
        raster.search(points, {0.0, 0.0, turn}, {options.far_search_m, options.far_search_m, kTurnErrorRad});
    if (match && (!best || match->score > best->score)) best = match;
  }
  if (!best) return std::nullopt;
  return best->pose;
}

}  // namespace

Verified verify(const Place& earlier, const Place& later, const Pose2& predicted, const Eigen::Matrix3d& covariance,
                const RangeNoise& noise, const VerificationOptions& options) {
  const Verified verified = begun(earlier, later, predicted);
  const std::optional<Pose2> start = search(earlier, later, predicted, covariance, options);
  if (!start) {
    return rejected(verified, Fit::open, "nowhere within the drift's uncertainty do the walls fit");
  }
  const IcpResult match =
      match_icp(later.points(), earlier.lines(), noise, *start, Eigen::Matrix3d::Zero(), icp_options());
  // The prediction's own word, so that a direction that the walls leave open (along a corridor) stays with odometry.
  const IcpResult found =
      is_weak(match) ? match_icp(later.points(), earlier.lines(), noise, predicted, covariance.inverse(), icp_options())
                     : match;
  if (options.settled_by_walls && !is_settled(found)) {
    return rejected(verified, Fit::open, "the walls leave open how far along them the place lies");
  }
  return judged(earlier, later, found, covariance, verified,
                {options.min_common, options.min_overlap, options.max_contradiction}, options);
}

Verified verify_anywhere(const Place& earlier, const Place& later, const Pose2& predicted,
                         const Eigen::Matrix3d& covariance, const RangeNoise& noise,
                         const VerificationOptions& options) {
  const Verified verified = begun(earlier, later, predicted);
  const std::optional<Pose2> start = search_anywhere(earlier, later, options);
  if (!start) return rejected(verified, Fit::open, "the signatures are alike, but the walls fit nowhere");
  const IcpResult found =
      match_icp(later.points(), earlier.lines(), noise, *start, Eigen::Matrix3d::Zero(), icp_options());
  if (is_weak(found)) {
    return rejected(verified, Fit::open, "the walls leave open how far along them the place lies");
  }
  return judged(earlier, later, found, covariance, verified,
                {options.far_min_common, options.far_min_overlap, options.far_max_contradiction}, options);
}

}  // namespace wainscot
