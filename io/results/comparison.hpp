#pragma once

// What `wainscot compare` found, as a value, and its figures by name.

#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/grid_difference.hpp"
#include "core/occupancy_grid.hpp"
#include "core/path_comparison.hpp"
#include "graph/compare/map_alignment.hpp"
#include "graph/compare/wall_difference.hpp"

namespace wainscot {

struct MapsComparison {
  std::string first;  ///< for people
  std::string second;
  MapAlignment alignment;
  WallDifference walls;
  GridDifference grid;  ///< in the first's frame
};

/// A map to draw the paths over.
struct BackgroundMap {
  OccupancyGrid grid;
  Pose2 pose;  ///< of the map's frame in the reference's
};

struct Comparison {
  std::string title;                      ///< for people: "flat against the true path"
  std::string reference;                  ///< for people: "the true path"
  bool against_truth = false;             ///< differences are errors then
  bool simulated = false;                 ///< a drive in it says so of itself
  std::vector<TimedPose> reference_path;  ///< empty: the maps' drives are different ones, and only walls are compared
  std::vector<PathComparison> paths;
  std::optional<BackgroundMap> background;
  std::optional<MapsComparison> maps;

  /// Whether the maps could be laid over each other in another way nearly as well.
  bool is_ambiguous() const { return maps.has_value() && maps->alignment.runner_up > 0.9 * maps->alignment.agreement; }
};

/// One figure, its unit at the name's end (none: a count or a ratio).
struct NamedFigure {
  std::string name;
  double value = 0.0;
};

std::vector<NamedFigure> figures_of(const PathComparison& path);
std::vector<NamedFigure> figures_of(const MapsComparison& maps);

}  // namespace wainscot
