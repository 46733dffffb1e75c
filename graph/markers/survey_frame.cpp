#include "graph/markers/survey_frame.hpp"

#include <algorithm>
#include <cmath>

#include "core/square.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

Eigen::Vector2d place_of(const SurveyedMarker& marker) { return {marker.x_m, marker.y_m}; }

double allowed_m(double sd_m, double distance_m, const MarkerAgreementOptions& options) {
  return options.sds * sd_m + options.bend_m + options.size_share * distance_m;
}

/// The frame that two markers give, and who agrees with it. `covariances`: of all nodes, from the first marker's on.
std::optional<SurveyFrame> by_two(const SeenSurveyed& a, const SeenSurveyed& b,
                                  const std::vector<Eigen::Matrix3d>& covariances,
                                  const std::vector<SeenSurveyed>& seen, const MarkerAgreementOptions& options) {
  const Eigen::Vector2d said = place_of(b.surveyed) - place_of(a.surveyed);
  const Eigen::Vector2d found = b.place.at_m - a.place.at_m;
  if (said.norm() < options.least_base_m) return std::nullopt;
  const std::optional<double> drift = joined_sd_m(covariances[b.place.node], options);
  if (!drift) return std::nullopt;
  const double base_sd = std::sqrt(square(*drift) + square(a.place.sd_m) + square(b.place.sd_m));
  if (std::abs(said.norm() - found.norm()) > allowed_m(base_sd, said.norm(), options)) return std::nullopt;
  SurveyFrame frame;
  const double turn = std::atan2(found.y(), found.x()) - std::atan2(said.y(), said.x());
  frame.map_from_survey.heading_rad = wrap_angle(turn);
  const Eigen::Vector2d middle = 0.5 * (place_of(a.surveyed) + place_of(b.surveyed));
  const Eigen::Vector2d at = 0.5 * (a.place.at_m + b.place.at_m) - frame.map_from_survey.rotation() * middle;
  frame.map_from_survey.x_m = at.x();
  frame.map_from_survey.y_m = at.y();
  for (std::size_t i = 0; i < seen.size(); ++i) {
    const SeenSurveyed& c = seen[i];
    const std::optional<double> to_c = joined_sd_m(covariances[c.place.node], options);
    if (!to_c) continue;
    const Eigen::Vector2d place = place_of(c.surveyed);
    const double lever = (place - middle).norm() / said.norm();
    const double sd = std::sqrt(square(*to_c) + square(c.place.sd_m) + square(lever * base_sd));
    const double error = (frame.map_from_survey * place - c.place.at_m).norm();
    if (error > allowed_m(sd, (place - middle).norm(), options)) continue;
    frame.agreeing.push_back(i);
    frame.error_m2 += square(error);
  }
  return frame;
}

std::optional<Pose2> by_heading(const SeenSurveyed& marker) {
  const SurveyedMarker& surveyed = marker.surveyed;
  if (!marker.place.heading_rad || !surveyed.heading_rad) return std::nullopt;
  Pose2 map_from_survey = Pose2{marker.place.at_m.x(), marker.place.at_m.y(), *marker.place.heading_rad} *
                          inverse(Pose2{surveyed.x_m, surveyed.y_m, *surveyed.heading_rad});
  map_from_survey.heading_rad = wrap_angle(map_from_survey.heading_rad);
  return map_from_survey;
}

}  // namespace

std::optional<double> joined_sd_m(const Eigen::Matrix3d& covariance, const MarkerAgreementOptions& options) {
  const double sd_m = std::sqrt(std::max(covariance(0, 0), covariance(1, 1)));
  if (sd_m > options.joined_m || std::sqrt(covariance(2, 2)) > options.joined_rad) return std::nullopt;
  return sd_m;
}

std::optional<std::string> why_too_far(const Pose2& map_from_survey, const char* file, double farthest_m) {
  const double far_m = inverse(map_from_survey).translation().norm();
  if (far_m <= farthest_m) return std::nullopt;
  return sentence(
      "%s is not used: the house lies %.0f km from the origin of its places, where "
      "single-precision figures of a map are too coarse; subtract a round number from all x and y",
      file, far_m / 1000.0);
}

std::optional<SurveyFrame> survey_frame(const std::vector<SeenSurveyed>& seen, const DriftTree& tree,
                                        const MarkerAgreementOptions& options) {
  constexpr std::size_t kMostTried = 60;  // a limit of time: pairs, so that 1,770 are tried
  const std::size_t stride = 1 + seen.size() / kMostTried;
  std::optional<SurveyFrame> best;
  for (std::size_t i = 0; i < seen.size(); i += stride) {
    const std::vector<Eigen::Matrix3d> covariances = tree.covariances_from(seen[i].place.node);
    for (std::size_t j = i + 1; j < seen.size(); j += stride) {
      const std::optional<SurveyFrame> frame = by_two(seen[i], seen[j], covariances, seen, options);
      if (!frame) continue;
      const bool better = !best || frame->agreeing.size() > best->agreeing.size() ||
                          (frame->agreeing.size() == best->agreeing.size() && frame->error_m2 < best->error_m2);
      if (better) best = frame;
    }
  }
  if (best) return best;
  for (std::size_t i = 0; i < seen.size(); ++i) {
    if (const std::optional<Pose2> frame = by_heading(seen[i])) return SurveyFrame{*frame, {i}, 0.0};
  }
  return std::nullopt;
}

}  // namespace wainscot
