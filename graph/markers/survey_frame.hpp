#pragma once

// How the survey's frame lies in the map: two surveyed markers, or one with its heading, put it there, and of all such
// guesses the one counts with which most other surveyed markers agree (random sampling's consensus, with every pair
// tried: M. Fischler, R. Bolles, Comm. ACM 24(6), 1981).

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "graph/drift.hpp"
#include "graph/markers/marker_agreement.hpp"

namespace wainscot {

/// Where a marker is believed to be, and by which sighting the drift to others is told.
struct MarkerPlace {
  Eigen::Vector2d at_m;
  std::optional<double> heading_rad;
  std::size_t node = 0;
  double sd_m = 0.0;
  std::size_t sightings = 0;
};

/// A surveyed marker that was seen.
struct SeenSurveyed {
  std::size_t marker = 0;  ///< its number among MarkerEvidence::names
  SurveyedMarker surveyed;
  MarkerPlace place;
};

struct SurveyFrame {
  Pose2 map_from_survey;
  std::vector<std::size_t> agreeing;  ///< indices into those that it was made of
  double error_m2 = 0.0;              ///< sum of their squared differences
};

/// Standard deviation of the position of a node against another, from the covariance of the one in the other's frame;
/// nullopt: drift has parted the two so far that they are not joined.
std::optional<double> joined_sd_m(const Eigen::Matrix3d& covariance, const MarkerAgreementOptions& options);

/// Why a survey whose frame lies so in the map cannot be used; nullopt: its origin is near enough. `file`: its name.
std::optional<std::string> why_too_far(const Pose2& map_from_survey, const char* file, double farthest_m);

/// nullopt: no two of the markers lie to each other as surveyed, and none has its heading both seen and surveyed.
std::optional<SurveyFrame> survey_frame(const std::vector<SeenSurveyed>& seen, const DriftTree& tree,
                                        const MarkerAgreementOptions& options);

}  // namespace wainscot
