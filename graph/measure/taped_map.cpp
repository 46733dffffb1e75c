#include "graph/measure/taped_map.hpp"

#include <utility>

#include "graph/compare/standing_pieces.hpp"
#include "graph/measure/placed_returns.hpp"

namespace wainscot {
namespace {

/// What measuring needs of a map, without faces that were gone when the robot last looked.
Map standing_map(const Map& map) {
  Map standing;
  standing.graph = map.graph;
  standing.trajectory = map.trajectory;
  standing.constants = map.constants;
  standing.scale = map.scale;
  standing.tapes = map.tapes;
  standing.markers = map.markers;
  standing.wall_pieces = standing_pieces(map.wall_pieces, map.grid);
  return standing;
}

}  // namespace

Map taped_map(const Drive& drive, MapperOptions options, const std::vector<LaidTape>& tapes,
              const ScaleRemedyOptions& remedies) {
  TapeEvidence evidence;
  if (!tapes.empty()) {
    options.lengths = [&](const Map& map) {
      const Map standing = standing_map(map);
      const MeasurableMap measurable(standing, placed_returns(standing, drive), OffsetUncertainty::apart);
      evidence = tape_evidence(standing, measurable, tapes);
      return evidence.lengths;
    };
  }
  Map map = build_map(drive, options);
  map.tapes = std::move(evidence.tapes);
  map.warnings.insert(map.warnings.end(), evidence.warnings.begin(), evidence.warnings.end());
  const Map standing = standing_map(map);
  const MeasurableMap measurable(standing, placed_returns(standing, drive), OffsetUncertainty::apart);
  map.scale_remedies = scale_remedies(standing, map.grid, measurable, remedies);
  return map;
}

}  // namespace wainscot
