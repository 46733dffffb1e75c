#pragma once

// Which stretches of followed lines are believed, and which measured lines: in a graph whose loops are closed by the
// walls, the robot's way along a line must be straight, the stretches that name one line must lie on one, and measured
// lines must lie to each other as the survey says. A row that names another line, a line that was moved and a slip in
// the survey are left out, each with its reason.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "graph/markers/line_frame.hpp"
#include "graph/markers/line_nodes.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

/// What the graph and the joint adjustment take from the lines.
struct LineEvidence {
  std::vector<std::string> names;                     ///< of all lines that were followed
  std::vector<StretchNodes> stretches;                ///< those that are believed
  std::vector<std::optional<MeasuredLine>> measured;  ///< by line: its row of line_map.csv, where it is believed
  std::optional<Pose2> map_from_survey;               ///< the survey's frame in the graph's; none: nothing defines it
  double survey_sd_m = 0.005;                         ///< across a line, of each of its two places
  std::vector<LeftOutStretch> left_out;
  std::vector<std::string> warnings;  ///< one sentence each

  bool empty() const { return stretches.empty(); }
};

/// `graph`: optimised. `by_markers`: the survey's frame in the graph's where surveyed markers define it; else the lines
/// do, if they can.
LineEvidence agreeing_lines(const Drive& drive, const PoseGraph& graph, const std::optional<Pose2>& by_markers,
                            const LineAgreementOptions& options = {});

}  // namespace wainscot
