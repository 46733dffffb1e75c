#pragma once

// How the survey's frame lies in the map by lines that were followed and measured. Two that are not parallel put it
// there but for a half turn about the place where they cross: which way round is told by further lines, or by where
// along its length each line was followed. Of all such guesses the one counts with which most lines agree, as with
// markers (graph/markers/survey_frame.hpp).

#include <cstddef>
#include <optional>
#include <vector>

#include "core/drive.hpp"
#include "graph/drift.hpp"
#include "graph/markers/floor_line.hpp"
#include "graph/markers/marker_agreement.hpp"

namespace wainscot {

struct LineAgreementOptions {
  MarkerAgreementOptions places = {};  ///< how far apart two places are one, and how well a survey is taken to be known
  double bend_rad =
      0.03;  ///< beyond noise and drift, directions of one line differ by no more: houses in the graph bend
  double overhang_m = 0.4;        ///< a line is followed between its measured ends, give or take a robot's length
  double least_angle_rad = 0.35;  ///< lines that cross at less (20 degrees) say too little of where along them
  double least_length_m = 0.3;    ///< the robot must have gone so far on a line to tell its direction
  double correlation_m = 0.5;     ///< see LineFactorOptions
  std::size_t most_lines = 300;   ///< the adjustment's matrix is dense; further names, by the alphabet, are left out
};

/// A line as the graph has it.
struct FollowedLine {
  FloorLine line;
  double first_m = 0.0;  ///< where it was followed: from here, ahead of the anchor,
  double last_m = 0.0;   ///< to there
  double sd_m = 0.01;    ///< of its place across, in the middle,
  double sd_rad = 0.01;  ///< and of its direction
  std::size_t node = 0;  ///< in the middle of it

  Eigen::Vector2d first_place() const { return line.anchor + first_m * line.along(); }
  Eigen::Vector2d last_place() const { return line.anchor + last_m * line.along(); }
};

/// A measured line as it should lie in the frame that `frame` is the survey's pose in.
FloorLine measured_line(const MeasuredLine& measured, const Pose2& frame);

/// How far `followed` is from where it was measured, by its two ends, m; and whether that, its direction and where
/// along the line it lies are what noise and drift allow. `drift`: of the line's node against what holds the survey's
/// frame, `away_m` metres away from it.
struct LineFit {
  double off_m = 0.0;
  bool agrees = false;
};
LineFit fit_of(const FollowedLine& followed, const MeasuredLine& measured, const Pose2& frame,
               const Eigen::Matrix3d& drift, double away_m, const LineAgreementOptions& options);

struct MeasuredAndFollowed {
  MeasuredLine measured;
  FollowedLine followed;
};

struct LineFrame {
  std::optional<Pose2> map_from_survey;
  bool ambiguous = false;  ///< as many lines agree with another one, half a turn away: none is given
};

LineFrame line_frame(const std::vector<MeasuredAndFollowed>& lines, const DriftTree& tree,
                     const LineAgreementOptions& options);

}  // namespace wainscot
