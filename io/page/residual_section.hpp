#pragma once

#include <string>

#include "graph/pose_graph.hpp"

namespace wainscot {

/// How far the graph stands from what its edges measured, as a section of report.html: for each kind of edge the
/// median, 95 % and the worst, and room for the charts over time that the script draws. "" for a graph without edges.
std::string residual_section(const PoseGraph& graph);

}  // namespace wainscot
