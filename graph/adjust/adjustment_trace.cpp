#include "graph/adjust/adjustment_trace.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <Eigen/Dense>

#include "core/angles.hpp"
#include "graph/adjust/paired_walls.hpp"
#include "graph/constants.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kMostOfATurning = 120;  // 5 pieces of 3 ways of turning: 1,800 marks, which a phone draws at once

constexpr std::size_t kEnoughReturns = 30;  // a mean of so many is five times as good as one return

constexpr int kTriedOnes = 5;  // as many as the list below has
constexpr std::array<Constant, kTriedOnes> kTriedConstants = {kMountingX, kMountingY, kMountingHeading, kRangeOffset,
                                                              kTimeOffset};
using TriedMatrix = Eigen::Matrix<double, kTriedOnes, kTriedOnes>;
/// Normal equations of a piece's offset and slope, and of what can be tried.
using PieceMatrix = Eigen::Matrix<double, 2 + kTriedOnes, 2 + kTriedOnes>;

/// What the returns on one piece say together.
struct PieceTally {
  PieceMatrix normal = PieceMatrix::Zero();
  std::array<std::size_t, kTurnings> returns{};
  std::size_t left_out = 0;

  std::size_t all() const { return returns[0] + returns[1] + returns[2]; }
  bool both_ways() const { return std::min(returns[0], returns[2]) >= kEnoughReturns; }
};

/// A return on its piece.
struct OnPiece {
  std::size_t piece = 0;
  TracedReturn seen;
  double variance_m2 = 0.0;
  bool left_out = false;
};

Tangent2 velocity_at(const OdometryPath& path, double time_s) {
  constexpr double kHalfS = 0.05;  // some rows of odometry, and less than a robot takes to start a turn
  return log(between(path.pose_at(time_s - kHalfS), path.pose_at(time_s + kHalfS))) / (2.0 * kHalfS);
}

/// Turns of much the same speed, in which a wrong clock and a wrong heading of the lidar look most alike.
double fast_turn_rad_s(const OdometryPath& path, const std::vector<Keyframe>& keyframes) {
  // At this rate a clock that is 20 ms off moves a wall 3 m away by a hobby lidar's noise.
  constexpr double kLeastRadS = 0.25;
  std::vector<double> speeds;
  for (const Keyframe& keyframe : keyframes) {
    const double speed = std::abs(velocity_at(path, keyframe.time_s).z());
    if (speed > kLeastRadS) speeds.push_back(speed);
  }
  if (speeds.empty()) return kLeastRadS;
  // How fast it turns at its usual fastest: jolts and jumps of odometry are few.
  const auto usual = speeds.begin() + static_cast<std::ptrdiff_t>(9 * speeds.size() / 10);
  std::nth_element(speeds.begin(), usual, speeds.end());
  return std::max(kLeastRadS, *usual * 2.0 / 3.0);
}

Turning turning_of(const Tangent2& velocity, double fast_rad_s) {
  return velocity.z() > fast_rad_s ? Turning::left : velocity.z() < -fast_rad_s ? Turning::right : Turning::straight;
}

/// All returns on pieces that are shared, one after another: they would be too many to keep.
class ReturnsOnPieces {
 public:
  ReturnsOnPieces(const Drive& drive, const OdometryPath& path, const JointResult& adjusted,
                  const AdjustmentTrace& trace)
      : path_(path),
        adjusted_(adjusted),
        found_(trace.found),
        fast_turn_rad_s_(trace.fast_turn_rad_s),
        noise_(range_noise(drive.robot.lidar)),
        walls_(paired_walls(adjusted.keyframes, adjusted.poses, noise_)) {}

  const std::vector<Line>& lines() const { return walls_.pieces.lines(); }

  /// `of_piece`: a flag for each line.
  template <typename Visit>
  void visit(const std::vector<bool>& of_piece, const Visit& visit) const {
    for (std::size_t k = 0; k < adjusted_.keyframes.size(); ++k) {
      const std::vector<ScanPoint>& points = adjusted_.keyframes[k].points;
      for (std::size_t i = 0; i < points.size(); ++i) {
        const Line* line = walls_.shared_piece(k, i);
        if (line == nullptr || !of_piece[static_cast<std::size_t>(walls_.piece_of[k][i])]) continue;
        visit(on_piece(k, i, *line));
      }
    }
  }

 private:
  OnPiece on_piece(std::size_t k, std::size_t i, const Line& line) const {
    // 0.3 % of gaussian errors: a return further off is drawn as one that is left out.
    constexpr double kMostSd = 3.0;
    const ScanPoint& p = adjusted_.keyframes[k].points[i];
    OnPiece on;
    on.piece = static_cast<std::size_t>(walls_.piece_of[k][i]);
    on.variance_m2 = across_variance(p, noise_);
    const double off_m = line.distance_of(adjusted_.poses[k] * Eigen::Vector2d(p.x_m, p.y_m));
    on.left_out = off_m * off_m > kMostSd * kMostSd * on.variance_m2;
    on.seen.angle_rad = static_cast<double>(p.angle_rad);
    on.seen.range_m = static_cast<double>(p.range_m) - found_.range_offset_m;
    // Back from where the beam ended to the robot's pose at its moment.
    const double beam_rad = std::atan2(static_cast<double>(p.beam_y), static_cast<double>(p.beam_x));
    const Eigen::Vector2d lidar =
        Eigen::Vector2d(p.x_m, p.y_m) - static_cast<double>(p.range_m) * Eigen::Vector2d(p.beam_x, p.beam_y);
    const Pose2 robot{0.0, 0.0, wrap_angle(beam_rad - found_.mounting.heading_rad - on.seen.angle_rad)};
    const Eigen::Vector2d place = lidar - robot * found_.mounting.translation();
    on.seen.robot = adjusted_.poses[k] * Pose2{place.x(), place.y(), robot.heading_rad};
    on.seen.velocity = velocity_at(path_, adjusted_.keyframes[k].time_s + static_cast<double>(p.time_offset_s));
    on.seen.turning = turning_of(on.seen.velocity, fast_turn_rad_s_);
    return on;
  }

  const OdometryPath& path_;
  const JointResult& adjusted_;
  const TriedConstants& found_;
  double fast_turn_rad_s_;
  RangeNoise noise_;
  PairedWalls walls_;
};

/// Derivatives of the distance from the piece: by the piece's offset and slope, then by what can be tried.
Eigen::Matrix<double, 2 + kTriedOnes, 1> derivatives(const TracedReturn& seen, const Line& line,
                                                     const TriedConstants& found) {
  const Eigen::Vector2d n = seen.robot.rotation().transpose() * line.fitted_normal;
  const double direction_rad = found.mounting.heading_rad + seen.angle_rad;
  const Eigen::Vector2d beam(std::cos(direction_rad), std::sin(direction_rad));
  const double range_m = seen.range_m + found.range_offset_m;
  const Eigen::Vector2d end = found.mounting.translation() + range_m * beam;
  const Eigen::Vector2d moves = seen.velocity.head<2>() + seen.velocity.z() * Eigen::Vector2d(-end.y(), end.x());
  Eigen::Matrix<double, 2 + kTriedOnes, 1> by;
  by << -1.0, -line.along_of(landing_m(seen, found, found)), n.x(), n.y(),
      range_m * (n.y() * beam.x() - n.x() * beam.y()), n.dot(beam), n.dot(moves);
  return by;
}

/// What a piece tells of what can be tried, whatever its own offset and slope; in units of what is known beforehand.
TriedMatrix told_by(const PieceTally& tally, const Eigen::Matrix<double, kTriedOnes, 1>& prior_sd) {
  const Eigen::Matrix2d own = tally.normal.topLeftCorner<2, 2>();
  const Eigen::Matrix<double, kTriedOnes, 2> with = tally.normal.bottomLeftCorner<kTriedOnes, 2>();
  const TriedMatrix left =
      tally.normal.bottomRightCorner<kTriedOnes, kTriedOnes>() - with * own.ldlt().solve(with.transpose());
  // Of a piece with more returns no more are shown.
  constexpr double kMost = static_cast<double>(kTurnings * kMostOfATurning);
  const double share = std::min(1.0, kMost / static_cast<double>(tally.all()));
  return share * prior_sd.asDiagonal() * left * prior_sd.asDiagonal();
}

bool can_be_shown(const Line& line, const PieceTally& tally) {
  // Chosen by hand, to be looked at: of fewer nodes or a shorter piece no eye sees a wall double or thicken.
  constexpr int kLeastNodes = 3;
  constexpr double kLeastLengthM = 0.15;
  return line.nodes >= kLeastNodes && tally.all() >= kEnoughReturns &&
         line.last_along_m - line.first_along_m >= kLeastLengthM;
}

/// Of the pieces that may be shown that which makes most of what is known already; lines' size where there is none.
std::size_t best_piece(const std::vector<Line>& lines, const std::vector<PieceTally>& tallies,
                       const std::vector<TriedMatrix>& told, const TriedMatrix& known,
                       const std::vector<std::size_t>& chosen) {
  constexpr double kApartM = 1.0;  // so that not all pieces shown are of one wall (chosen by hand)
  std::size_t best = lines.size();
  std::pair<bool, double> most{false, 0.0};
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (!can_be_shown(lines[i], tallies[i])) continue;
    const bool near = std::any_of(chosen.begin(), chosen.end(),
                                  [&](std::size_t c) { return (lines[c].anchor - lines[i].anchor).norm() < kApartM; });
    if (near) continue;
    const TriedMatrix with = known + told[i];
    const std::pair<bool, double> worth{tallies[i].both_ways(), with.determinant()};
    if (best != lines.size() && worth <= most) continue;
    most = worth;
    best = i;
  }
  return best;
}

std::vector<std::size_t> telling_pieces(const std::vector<Line>& lines, const std::vector<PieceTally>& tallies,
                                        const Drive& drive) {
  constexpr std::size_t kMostPieces = 5;  // as many pictures as fit on a page
  const ConstantMatrix prior = constant_prior(drive);
  Eigen::Matrix<double, kTriedOnes, 1> sd;
  for (int c = 0; c < kTriedOnes; ++c) {
    const Constant constant = kTriedConstants[static_cast<std::size_t>(c)];
    sd[c] = std::sqrt(prior(constant, constant));
  }
  std::vector<TriedMatrix> told(lines.size(), TriedMatrix::Zero());
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (can_be_shown(lines[i], tallies[i])) told[i] = told_by(tallies[i], sd);
  }
  std::vector<std::size_t> chosen;
  TriedMatrix known = TriedMatrix::Identity();
  while (chosen.size() < kMostPieces) {
    const std::size_t next = best_piece(lines, tallies, told, known, chosen);
    if (next == lines.size()) break;
    known += told[next];
    chosen.push_back(next);
  }
  return chosen;
}

/// Evenly from all of them.
void append_thinned(const std::vector<TracedReturn>& all, std::vector<TracedReturn>& shown) {
  const std::size_t count = std::min(all.size(), kMostOfATurning);
  for (std::size_t i = 0; i < count; ++i) shown.push_back(all[i * all.size() / count]);
}

std::vector<PieceTally> tallies_of(const ReturnsOnPieces& returns, const TriedConstants& found) {
  std::vector<PieceTally> tallies(returns.lines().size());
  returns.visit(std::vector<bool>(tallies.size(), true), [&](const OnPiece& on) {
    PieceTally& tally = tallies[on.piece];
    if (on.left_out) {
      ++tally.left_out;
      return;
    }
    ++tally.returns[static_cast<std::size_t>(on.seen.turning)];
    const auto by = derivatives(on.seen, returns.lines()[on.piece], found);
    tally.normal += by * by.transpose() / on.variance_m2;
  });
  return tallies;
}

}  // namespace

AdjustmentTrace trace_adjustment(const Drive& drive, const OdometryPath& path, const JointResult& adjusted) {
  AdjustmentTrace trace;
  const LidarConstants& stated = drive.robot.lidar;
  const LidarModel found = adjusted.constants.lidar(stated);
  trace.found = {found.mounting, found.range_offset_m, stated.time_offset_s + adjusted.constants.change[kTimeOffset]};
  trace.stated = {lidar_model(stated).mounting, stated.range_offset_m, stated.time_offset_s};
  trace.fast_turn_rad_s = fast_turn_rad_s(path, adjusted.keyframes);
  const ReturnsOnPieces returns(drive, path, adjusted, trace);
  const std::vector<Line>& lines = returns.lines();
  const std::vector<PieceTally> tallies = tallies_of(returns, trace.found);
  const std::vector<std::size_t> chosen = telling_pieces(lines, tallies, drive);

  std::vector<bool> wanted(lines.size(), false);
  for (const std::size_t i : chosen) wanted[i] = true;
  std::vector<std::array<std::vector<TracedReturn>, kTurnings>> seen(chosen.size());
  returns.visit(wanted, [&](const OnPiece& on) {
    if (on.left_out) return;
    const auto slot = std::find(chosen.begin(), chosen.end(), on.piece) - chosen.begin();
    seen[static_cast<std::size_t>(slot)][static_cast<std::size_t>(on.seen.turning)].push_back(on.seen);
  });
  for (std::size_t c = 0; c < chosen.size(); ++c) {
    const Line& line = lines[chosen[c]];
    const PieceTally& tally = tallies[chosen[c]];
    trace.pieces.push_back({line.anchor, line.fitted_normal, line.nodes, tally.all(), tally.left_out, {}});
    for (const std::vector<TracedReturn>& of_turning : seen[c]) append_thinned(of_turning, trace.pieces.back().shown);
  }
  return trace;
}

Eigen::Vector2d landing_m(const TracedReturn& seen, const TriedConstants& tried, const TriedConstants& found) {
  const Pose2 robot = seen.robot * exp((tried.time_offset_s - found.time_offset_s) * seen.velocity);
  const double direction_rad = tried.mounting.heading_rad + seen.angle_rad;
  const Eigen::Vector2d beam(std::cos(direction_rad), std::sin(direction_rad));
  return robot * Eigen::Vector2d(tried.mounting.translation() + (seen.range_m + tried.range_offset_m) * beam);
}

std::vector<double> residuals_m(const AdjustmentTrace& trace, const TriedConstants& tried,
                                std::optional<Turning> turning) {
  constexpr std::size_t kLeast = 3;  // a line takes two of the points' freedoms
  std::vector<double> residuals;
  for (const TracedPiece& piece : trace.pieces) {
    const Eigen::Vector2d tangent(piece.normal.y(), -piece.normal.x());
    std::vector<Eigen::Vector2d> points;  // along, across
    Eigen::Vector2d mean = Eigen::Vector2d::Zero();
    for (const TracedReturn& seen : piece.shown) {
      if (turning && seen.turning != *turning) continue;
      const Eigen::Vector2d from_anchor = landing_m(seen, tried, trace.found) - piece.anchor_m;
      points.emplace_back(tangent.dot(from_anchor), piece.normal.dot(from_anchor));
      mean += points.back();
    }
    if (points.size() < kLeast) continue;
    mean /= static_cast<double>(points.size());
    double along2 = 0.0;
    double along_across = 0.0;
    for (const Eigen::Vector2d& p : points) {
      along2 += (p.x() - mean.x()) * (p.x() - mean.x());
      along_across += (p.x() - mean.x()) * (p.y() - mean.y());
    }
    const double slope = along2 > 0.0 ? along_across / along2 : 0.0;
    for (const Eigen::Vector2d& p : points) residuals.push_back(p.y() - mean.y() - slope * (p.x() - mean.x()));
  }
  return residuals;
}

double thickness_m(const AdjustmentTrace& trace, const TriedConstants& tried, std::optional<Turning> turning) {
  const std::vector<double> residuals = residuals_m(trace, tried, turning);
  if (residuals.empty()) return 0.0;
  double squares = 0.0;
  for (const double r : residuals) squares += r * r;
  return std::sqrt(squares / static_cast<double>(residuals.size()));
}

bool seen_in(const AdjustmentTrace& trace, Turning turning) {
  return residuals_m(trace, trace.found, turning).size() >= kEnoughReturns;
}

TriedConstants with_best_heading(const AdjustmentTrace& trace, TriedConstants tried, std::optional<Turning> turning) {
  // Gauss-Newton of one unknown: a step leaves the square of what it was off, in radians.
  constexpr int kSteps = 4;
  constexpr double kAsideRad = 1e-3;
  for (int step = 0; step < kSteps; ++step) {
    TriedConstants left = tried;
    TriedConstants right = tried;
    left.mounting.heading_rad += kAsideRad;
    right.mounting.heading_rad -= kAsideRad;
    const std::vector<double> here = residuals_m(trace, tried, turning);
    const std::vector<double> to_left = residuals_m(trace, left, turning);
    const std::vector<double> to_right = residuals_m(trace, right, turning);
    double gradient = 0.0;
    double curvature = 0.0;
    for (std::size_t i = 0; i < here.size(); ++i) {
      const double by_heading = (to_left[i] - to_right[i]) / (2.0 * kAsideRad);
      gradient += by_heading * here[i];
      curvature += by_heading * by_heading;
    }
    if (curvature <= 0.0) break;
    tried.mounting.heading_rad -= gradient / curvature;
  }
  return tried;
}

}  // namespace wainscot
