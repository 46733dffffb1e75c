#include "graph/markers/line_frame.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "core/square.hpp"
#include "graph/markers/survey_frame.hpp"

namespace wainscot {
namespace {

/// The difference of two directions of lines, whose two ways are the same: in [-pi/2, pi/2].
double line_angle(double rad) { return std::remainder(rad, std::numbers::pi); }

/// A guess, and who agrees with it.
struct LineGuess {
  Pose2 map_from_survey;
  std::size_t agreeing = 0;
  double error_m2 = 0.0;

  bool is_better_than(const LineGuess& other) const {
    return agreeing > other.agreeing || (agreeing == other.agreeing && error_m2 < other.error_m2);
  }
};

/// The frame in which both lines lie as measured; `turned`: the other one of the two.
std::optional<Pose2> frame_of_two(const MeasuredAndFollowed& a, const MeasuredAndFollowed& b, bool turned,
                                  const LineAgreementOptions& options) {
  const FloorLine said_a = measured_line(a.measured, {});
  const FloorLine said_b = measured_line(b.measured, {});
  const FloorLine& found_a = a.followed.line;
  const FloorLine& found_b = b.followed.line;
  if (std::abs(line_angle(found_a.direction_rad - found_b.direction_rad)) < options.least_angle_rad) {
    return std::nullopt;
  }
  const double by_a = found_a.direction_rad - said_a.direction_rad + (turned ? std::numbers::pi : 0.0);
  const double more_by_b = line_angle(found_b.direction_rad - said_b.direction_rad - by_a);
  const double allowed = options.places.sds * std::hypot(a.followed.sd_rad, b.followed.sd_rad) + options.bend_rad;
  if (std::abs(more_by_b) > allowed) return std::nullopt;
  Pose2 frame{0.0, 0.0, wrap_angle(by_a + 0.5 * more_by_b)};
  // Their measured middles come to lie on the lines.
  Eigen::Matrix2d normals;
  normals << found_a.normal().transpose(), found_b.normal().transpose();
  const Eigen::Vector2d left(found_a.left_m(frame * said_a.anchor), found_b.left_m(frame * said_b.anchor));
  const Eigen::Vector2d shift = normals.inverse() * -left;
  frame.x_m = shift.x();
  frame.y_m = shift.y();
  return frame;
}

LineGuess judged(const Pose2& frame, const FollowedLine& base, const std::vector<Eigen::Matrix3d>& covariances,
                 const std::vector<MeasuredAndFollowed>& lines, const LineAgreementOptions& options) {
  LineGuess guess{frame, 0, 0.0};
  for (const MeasuredAndFollowed& line : lines) {
    const Eigen::Matrix3d& drift = covariances[line.followed.node];
    if (!joined_sd_m(drift, options.places)) continue;
    const double away_m = (line.followed.line.anchor - base.line.anchor).norm();
    const LineFit fit = fit_of(line.followed, line.measured, frame, drift, away_m, options);
    if (!fit.agrees) continue;
    ++guess.agreeing;
    guess.error_m2 += square(fit.off_m);
  }
  return guess;
}

}  // namespace

FloorLine measured_line(const MeasuredLine& measured, const Pose2& frame) {
  const Eigen::Vector2d from(measured.x1_m, measured.y1_m);
  const Eigen::Vector2d to(measured.x2_m, measured.y2_m);
  const Eigen::Vector2d along = to - from;
  return in_frame(frame, FloorLine{0.5 * (from + to), std::atan2(along.y(), along.x())});
}

LineFit fit_of(const FollowedLine& followed, const MeasuredLine& measured, const Pose2& frame,
               const Eigen::Matrix3d& drift, double away_m, const LineAgreementOptions& options) {
  const FloorLine line = measured_line(measured, frame);
  const double half_m = 0.5 * std::hypot(measured.x2_m - measured.x1_m, measured.y2_m - measured.y1_m);
  const MarkerAgreementOptions& places = options.places;
  const double turn_sd = std::sqrt(drift(2, 2));
  const double sd = std::sqrt(std::max(drift(0, 0), drift(1, 1)) + square(followed.sd_m) + square(turn_sd * away_m));
  const double allowed_m = places.sds * sd + places.bend_m + places.size_share * away_m;
  const double turn = std::abs(line_angle(followed.line.direction_rad - line.direction_rad));
  LineFit fit;
  fit.agrees = turn <= places.sds * std::hypot(followed.sd_rad, turn_sd) + options.bend_rad;
  for (const Eigen::Vector2d& end : {followed.first_place(), followed.last_place()}) {
    fit.off_m = std::max(fit.off_m, std::abs(line.left_m(end)));
    if (std::abs(line.ahead_m(end)) > half_m + options.overhang_m + allowed_m) fit.agrees = false;
  }
  fit.agrees = fit.agrees && fit.off_m <= allowed_m;
  return fit;
}

LineFrame line_frame(const std::vector<MeasuredAndFollowed>& lines, const DriftTree& tree,
                     const LineAgreementOptions& options) {
  constexpr std::size_t kMostTried = 40;  // a limit of time: pairs, so that 780 are tried
  constexpr double kAnotherRad = 1.0;     // two guesses are the same way round, or half a turn apart
  const std::size_t stride = 1 + lines.size() / kMostTried;
  std::vector<LineGuess> guesses;
  for (std::size_t i = 0; i < lines.size(); i += stride) {
    const std::vector<Eigen::Matrix3d> covariances = tree.covariances_from(lines[i].followed.node);
    for (std::size_t j = i + 1; j < lines.size(); j += stride) {
      for (const bool turned : {false, true}) {
        const std::optional<Pose2> frame = frame_of_two(lines[i], lines[j], turned, options);
        if (!frame) continue;
        const LineGuess guess = judged(*frame, lines[i].followed, covariances, lines, options);
        if (guess.agreeing >= 2) guesses.push_back(guess);
      }
    }
  }
  LineFrame result;
  if (guesses.empty()) return result;
  const LineGuess& best = *std::max_element(guesses.begin(), guesses.end(),
                                            [](const LineGuess& a, const LineGuess& b) { return b.is_better_than(a); });
  result.ambiguous = std::any_of(guesses.begin(), guesses.end(), [&best](const LineGuess& other) {
    const double turn = wrap_angle(other.map_from_survey.heading_rad - best.map_from_survey.heading_rad);
    return other.agreeing == best.agreeing && std::abs(turn) > kAnotherRad;
  });
  if (!result.ambiguous) result.map_from_survey = best.map_from_survey;
  return result;
}

}  // namespace wainscot
