#include "graph/markers/marker_factors.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Dense>

#include "core/median.hpp"
#include "core/square.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

constexpr Eigen::Index kCamera = 4;  // unknowns of what sees the markers
constexpr Eigen::Index kMarker = 3;  // of a marker, and of the survey's frame

/// The place and the heading each have a weight: a misread heading need not spoil the place.
Eigen::Vector3d robust(Eigen::Vector3d information, const Eigen::Vector3d& off, double ratio) {
  information.head<2>() *= cauchy_weight(information.x() * off.head<2>().squaredNorm(), ratio);
  information.z() *= cauchy_weight(information.z() * square(off.z()), ratio);
  return information;
}

double robust_cost(const Eigen::Vector3d& information, const Eigen::Vector3d& off, double ratio) {
  return cauchy_cost(information.x() * off.head<2>().squaredNorm(), ratio) +
         cauchy_cost(information.z() * square(off.z()), ratio);
}

Eigen::Vector3d moved(const Pose2& by, const Eigen::Vector3d& place) {
  const Pose2 result = by * Pose2{place.x(), place.y(), place.z()};
  return {result.x_m, result.y_m, wrap_angle(result.heading_rad)};
}

}  // namespace

MarkerFactors::MarkerFactors(MarkerEvidence evidence, const std::vector<Pose2>& poses,
                             const MarkerFactorOptions& options)
    : evidence_(std::move(evidence)),
      options_(options),
      places_(evidence_.names.size(), Eigen::Vector3d::Zero()),
      sightings_of_(evidence_.names.size(), 0),
      has_heading_(evidence_.names.size(), false) {
  for (const NodeSighting& s : evidence_.sightings) {
    const Eigen::Vector2d at = poses[s.node] * s.at_m;
    // The running mean of the places; the first heading is near enough to begin with.
    places_[s.marker].head<2>() += (at - places_[s.marker].head<2>()) / ++sightings_of_[s.marker];
    if (!s.heading_rad || has_heading_[s.marker]) continue;
    places_[s.marker].z() = wrap_angle(poses[s.node].heading_rad + *s.heading_rad);
    has_heading_[s.marker] = true;
  }
  if (!evidence_.map_from_survey) return;
  const Pose2& frame = *evidence_.map_from_survey;
  survey_ = {frame.x_m, frame.y_m, frame.heading_rad};
}

Eigen::Index MarkerFactors::marker_column(std::size_t marker) const {
  return kCamera + kMarker * static_cast<Eigen::Index>(marker);
}

Eigen::Index MarkerFactors::survey_column() const { return marker_column(places_.size()); }

Eigen::Index MarkerFactors::unknowns() const {
  if (evidence_.empty()) return 0;
  return survey_column() + (evidence_.map_from_survey ? kMarker : 0);
}

std::optional<SurveyUnknown> MarkerFactors::survey(Eigen::Index first_column) const {
  if (!evidence_.map_from_survey) return std::nullopt;
  return SurveyUnknown{{survey_.x(), survey_.y(), survey_.z()}, first_column + survey_column()};
}

void MarkerFactors::begin_round(const Drive& drive, const OdometryPath& path, const std::vector<double>& times_s,
                                std::vector<Pose2>& poses) {
  if (evidence_.empty()) return;
  for (NodeSighting& sighting : evidence_.sightings) carry_again(drive, path, times_s, poses, sighting);
  if (!evidence_.map_from_survey) return;
  const Pose2 back = inverse(Pose2{survey_.x(), survey_.y(), survey_.z()});
  for (Pose2& pose : poses) pose = back * pose;
  for (Eigen::Vector3d& place : places_) place = moved(back, place);
  survey_.setZero();
}

MarkerFactors::Seen MarkerFactors::expected(const NodeSighting& s, const Pose2& pose) const {
  const Eigen::Vector2d there = inverse(pose * s.robot) * Eigen::Vector2d(places_[s.marker].head<2>());
  const Pose2 turned_back{0.0, 0.0, -camera_[2]};
  Seen seen;
  seen.in_robot = there;
  seen.by_place = turned_back.rotation() / (1.0 + camera_[3]);
  seen.by_camera = seen.by_place * (there - Eigen::Vector2d(camera_.head<2>()));
  return seen;
}

Eigen::Vector3d MarkerFactors::residual(const NodeSighting& s, const Pose2& pose) const {
  const Eigen::Vector2d off = expected(s, pose).by_camera - inverse(s.robot) * s.at_m;
  const double said_turn = pose.heading_rad + s.heading_rad.value_or(0.0) + camera_[2];
  const double turn = s.heading_rad ? wrap_angle(places_[s.marker].z() - said_turn) : 0.0;
  return {off.x(), off.y(), turn};
}

void MarkerFactors::add_to(const FactorTarget& target, const std::vector<Pose2>& poses) {
  if (evidence_.empty()) return;
  renew_noise_ratio(poses);
  add_priors(target);
  for (const NodeSighting& sighting : evidence_.sightings) add_sighting(sighting, target, poses[sighting.node]);
  for (std::size_t marker = 0; marker < places_.size(); ++marker) {
    if (evidence_.surveyed[marker]) add_survey(marker, target);
  }
}

/// The noise that sightings really have, by the median, which misread numbers do not mislead.
void MarkerFactors::renew_noise_ratio(const std::vector<Pose2>& poses) {
  constexpr std::size_t kEnough = 10;  // of pairs of numbers: as good as the 20 of graph/markers/line_factors
  constexpr int kFewest = 3;           // of one marker
  constexpr double kMedian = 1.1774100225154747;  // sqrt(2 ln 2): of the length of a standard normal pair
  std::vector<double> ratios;
  for (const NodeSighting& s : evidence_.sightings) {
    const int count = sightings_of_[s.marker];
    if (count < kFewest) continue;
    const double left = std::sqrt(1.0 - 1.0 / count);  // the marker's place takes a share of the noise
    ratios.push_back(residual(s, poses[s.node]).head<2>().norm() / (s.sd_m * left));
  }
  if (ratios.size() >= kEnough) noise_ratio_ = std::clamp(median(std::move(ratios)) / kMedian, 0.3, 5.0);
}

void MarkerFactors::add_sighting(const NodeSighting& s, const FactorTarget& target, const Pose2& pose) const {
  const Eigen::Vector3d off = residual(s, pose);
  const Seen seen = expected(s, pose);
  // By a motion of the robot in its own frame, which a motion of the node in its frame carries along.
  Eigen::Matrix<double, 2, 3> place_by_robot;
  place_by_robot << -1.0, 0.0, seen.in_robot.y(), 0.0, -1.0, -seen.in_robot.x();
  Eigen::Matrix3d by_robot;
  by_robot << seen.by_place * place_by_robot, Eigen::RowVector3d(0.0, 0.0, -1.0);
  const Eigen::Matrix3d by_node = by_robot * adjoint(inverse(s.robot));
  Eigen::Matrix3d by_marker = Eigen::Matrix3d::Identity();
  by_marker.topLeftCorner<2, 2>() = seen.by_place * (pose * s.robot).rotation().transpose();
  Eigen::Matrix<double, 3, 4> by_camera = Eigen::Matrix<double, 3, 4>::Zero();
  by_camera.topLeftCorner<2, 2>() = -seen.by_place;
  by_camera.col(2) << seen.by_camera.y(), -seen.by_camera.x(), -1.0;
  by_camera.col(3).head<2>() = -seen.by_camera / (1.0 + camera_[3]);
  // With the house the short way from the node grows.
  Tangent2 way = Tangent2::Zero();
  way.head<2>() = s.robot.rotation().transpose() * s.robot.translation();
  add_factor(target, off, robust(information(s), off, options_.robust_ratio),
             {{target.node_column(s.node), by_node},
              {target.range_scale_column, by_robot * way},
              {target.first_column, by_camera},
              {target.first_column + marker_column(s.marker), by_marker}});
}

bool MarkerFactors::survey_has_heading(std::size_t marker) const {
  return evidence_.surveyed[marker]->heading_rad && has_heading_[marker];
}

Eigen::Vector3d MarkerFactors::survey_residual(std::size_t marker) const {
  const SurveyedMarker& s = *evidence_.surveyed[marker];
  const Pose2 frame{survey_.x(), survey_.y(), survey_.z()};
  const Eigen::Vector2d turned = frame.rotation() * Eigen::Vector2d(s.x_m, s.y_m);
  const Eigen::Vector3d& place = places_[marker];
  const Eigen::Vector2d off = place.head<2>() - frame.translation() - turned;
  const double turn = survey_has_heading(marker) ? wrap_angle(place.z() - frame.heading_rad - *s.heading_rad) : 0.0;
  return {off.x(), off.y(), turn};
}

Eigen::Vector3d MarkerFactors::information(const NodeSighting& s) const {
  const double of_place = 1.0 / square(noise_ratio_ * s.sd_m);
  return {of_place, of_place, s.heading_rad ? 1.0 / square(s.sd_rad) : 0.0};
}

Eigen::Vector3d MarkerFactors::survey_information(std::size_t marker) const {
  const double of_place = 1.0 / square(evidence_.survey_sd_m);
  return {of_place, of_place, survey_has_heading(marker) ? 1.0 / square(evidence_.survey_sd_rad) : 0.0};
}

void MarkerFactors::add_survey(std::size_t marker, const FactorTarget& target) const {
  const SurveyedMarker& s = *evidence_.surveyed[marker];
  const Eigen::Vector2d turned = Pose2{0.0, 0.0, survey_.z()}.rotation() * Eigen::Vector2d(s.x_m, s.y_m);
  const Eigen::Vector3d off = survey_residual(marker);
  Eigen::Matrix3d by_survey = -Eigen::Matrix3d::Identity();
  by_survey(0, 2) = turned.y();
  by_survey(1, 2) = -turned.x();
  add_factor(target, off, robust(survey_information(marker), off, options_.robust_ratio),
             {{target.first_column + marker_column(marker), Eigen::Matrix3d::Identity()},
              {target.first_column + survey_column(), by_survey}});
}

Eigen::Vector4d MarkerFactors::camera_sd() const {
  return {options_.camera_sd_m, options_.camera_sd_m, options_.camera_sd_rad, options_.camera_scale_sd};
}

double MarkerFactors::cost(const std::vector<Pose2>& poses) const {
  if (evidence_.empty()) return 0.0;
  double sum = 0.5 * camera_.cwiseQuotient(camera_sd()).squaredNorm();
  for (const NodeSighting& s : evidence_.sightings) {
    sum += robust_cost(information(s), residual(s, poses[s.node]), options_.robust_ratio);
  }
  for (std::size_t marker = 0; marker < places_.size(); ++marker) {
    if (!evidence_.surveyed[marker]) continue;
    sum += robust_cost(survey_information(marker), survey_residual(marker), options_.robust_ratio);
  }
  return sum;
}

void MarkerFactors::add_priors(const FactorTarget& target) const {
  const Eigen::Vector4d sd = camera_sd();
  for (Eigen::Index i = 0; i < kCamera; ++i) {
    const Eigen::Index at = target.first_column + i;
    target.system.entry(at, at) += 1.0 / square(sd[i]);
    target.system.right_side<1>(at)[0] -= camera_[i] / square(sd[i]);
  }
  // Keeps the matrix regular: a marker of which every sighting was left out, a heading that nobody saw.
  constexpr double kFree = 1e-2;
  for (Eigen::Index i = kCamera; i < survey_column(); ++i) {
    target.system.entry(target.first_column + i, target.first_column + i) += kFree;
  }
}

void MarkerFactors::move(const Eigen::VectorXd& step) {
  if (evidence_.empty()) return;
  camera_ += step.head<kCamera>();
  for (std::size_t i = 0; i < places_.size(); ++i) places_[i] += step.segment<kMarker>(marker_column(i));
  if (evidence_.map_from_survey) survey_ += step.segment<kMarker>(survey_column());
}

MapMarkers MarkerFactors::account(const std::vector<Pose2>& poses, const Eigen::MatrixXd& covariance) const {
  MapMarkers result;
  result.left_out = evidence_.left_out;
  result.frame_by_survey = evidence_.map_from_survey.has_value();
  if (evidence_.empty()) return result;
  std::vector<double> squares(places_.size(), 0.0);
  std::vector<int> used(places_.size(), 0);
  for (const NodeSighting& s : evidence_.sightings) {
    const double off_m = residual(s, poses[s.node]).head<2>().norm();
    if (off_m > options_.left_out_ratio * noise_ratio_ * s.sd_m) {
      result.left_out.push_back({s.sighting, s.time_s, evidence_.names[s.marker],
                                 sentence("%.2f m from the marker's place in the finished map", off_m)});
      continue;
    }
    squares[s.marker] += square(off_m);
    ++used[s.marker];
  }
  std::sort(result.left_out.begin(), result.left_out.end(),
            [](const LeftOutSighting& a, const LeftOutSighting& b) { return a.sighting < b.sighting; });
  for (std::size_t i = 0; i < places_.size(); ++i) {
    if (used[i] == 0) continue;
    MappedMarker marker;
    marker.name = evidence_.names[i];
    marker.place = {places_[i].x(), places_[i].y(), wrap_angle(places_[i].z())};
    marker.has_heading = has_heading_[i];
    const Eigen::Index at = marker_column(i);
    marker.sd_m = std::sqrt(std::max(covariance(at, at), covariance(at + 1, at + 1)));
    marker.sightings = used[i];
    marker.residual_rms_m = std::sqrt(squares[i] / used[i]);
    marker.surveyed = evidence_.surveyed[i].has_value();
    if (marker.surveyed) {
      const Pose2 frame{survey_.x(), survey_.y(), survey_.z()};
      const Eigen::Vector2d there = frame * Eigen::Vector2d(evidence_.surveyed[i]->x_m, evidence_.surveyed[i]->y_m);
      marker.survey_difference_m = (there - marker.place.translation()).norm();
    }
    result.markers.push_back(marker);
  }
  return result;
}

}  // namespace wainscot
