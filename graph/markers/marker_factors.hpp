#pragma once

// Markers in the joint adjustment: their sightings and their survey as further measurements in its normal equations.
//
// Unknowns, behind all others: where what sees the markers really sits (x, y, heading) and how much too far it sees
// them; place and heading of each marker; and the survey's frame in the map's, where a survey defines it. The map's
// scale is held by the survey alone: cameras see markers too near or too far by more than a lidar errs.

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "core/odometry.hpp"
#include "graph/markers/factor_target.hpp"
#include "graph/markers/marker_agreement.hpp"

namespace wainscot {

struct MarkerFactorOptions {
  double camera_sd_m = 0.01;      ///< of where the camera sits, x and y each,
  double camera_sd_rad = 0.02;    ///< which way it looks,
  double camera_scale_sd = 0.02;  ///< and of its measure of distances
  double robust_ratio = 3.0;      ///< of the Cauchy weight: residual / its standard deviation
  double left_out_ratio = 6.0;    ///< sightings further off than this in the end are told as left out
};

class MarkerFactors {
 public:
  /// `evidence.sightings`: their nodes are those of the adjustment.
  MarkerFactors(MarkerEvidence evidence, const std::vector<Pose2>& poses, const MarkerFactorOptions& options = {});

  Eigen::Index unknowns() const;

  /// The survey's frame, where a survey defines it. `first_column`: of the own unknowns.
  std::optional<SurveyUnknown> survey(Eigen::Index first_column = 0) const;

  /// To be called before each round: carries the sightings to the nodes anew and brings everything, `poses` included,
  /// into the survey's frame where there is one.
  void begin_round(const Drive& drive, const OdometryPath& path, const std::vector<double>& times_s,
                   std::vector<Pose2>& poses);

  /// Adds all factors. `poses`: of the nodes.
  void add_to(const FactorTarget& target, const std::vector<Pose2>& poses);

  /// 0.5 * sum of the robust squares of all residuals, the camera's priors among them, with the noise ratio that
  /// add_to() found last.
  double cost(const std::vector<Pose2>& poses) const;

  /// Moves the unknowns by their part of the solution.
  void move(const Eigen::VectorXd& step);

  /// The markers as they lie in the end. `covariance`: of the markers' own unknowns.
  MapMarkers account(const std::vector<Pose2>& poses, const Eigen::MatrixXd& covariance) const;

 private:
  Eigen::Index marker_column(std::size_t marker) const;  ///< from the first of the own unknowns on
  Eigen::Index survey_column() const;
  /// Where a marker should be seen.
  struct Seen {
    Eigen::Vector2d in_robot;   ///< the marker in the robot's frame,
    Eigen::Vector2d by_camera;  ///< as the camera, misplaced and mistaken in its measure, should tell it
    Eigen::Matrix2d by_place;   ///< and the derivative of this by that
  };
  Seen expected(const NodeSighting& sighting, const Pose2& pose) const;
  /// In the camera's own measure: its noise is that of what it says. Otherwise a smaller house would seem to fit
  /// better.
  Eigen::Vector3d residual(const NodeSighting& sighting, const Pose2& pose) const;
  Eigen::Vector3d survey_residual(std::size_t marker) const;
  /// 1 / variance of each part of these residuals; 0 where a heading is not known.
  Eigen::Vector3d information(const NodeSighting& sighting) const;
  Eigen::Vector3d survey_information(std::size_t marker) const;
  Eigen::Vector4d camera_sd() const;
  bool survey_has_heading(std::size_t marker) const;
  void renew_noise_ratio(const std::vector<Pose2>& poses);
  void add_sighting(const NodeSighting& sighting, const FactorTarget& target, const Pose2& pose) const;
  void add_survey(std::size_t marker, const FactorTarget& target) const;
  void add_priors(const FactorTarget& target) const;

  MarkerEvidence evidence_;
  MarkerFactorOptions options_;
  Eigen::Vector4d camera_ = Eigen::Vector4d::Zero();  ///< x, y (m), heading (rad), scale - 1
  std::vector<Eigen::Vector3d> places_;               ///< x, y (m), heading (rad), map frame
  std::vector<int> sightings_of_;                     ///< by marker
  std::vector<bool> has_heading_;
  Eigen::Vector3d survey_ = Eigen::Vector3d::Zero();  ///< the survey's frame in the map's
  double noise_ratio_ = 1.0;                          ///< found / stated noise of places
};

}  // namespace wainscot
