#pragma once

// Tapes that were laid between faces of walls, made into what they say of the map's scale. The map is measured as
// `measure` does it, at first without them; what each differs by is an equation in the lidar's range scale and range
// offset (graph/adjust/length_evidence), as uncertain as tape, faces, poses and surfaces are. Tapes that touch one face
// share its bias. A tape that the others contradict is left out.

#include <string>
#include <vector>

#include "graph/adjust/length_evidence.hpp"
#include "graph/map.hpp"
#include "graph/measure/tape.hpp"

namespace wainscot {

/// Of reading and holding a tape, where nothing else is said: tapes of class II are good to about a millimetre at 4 m
/// (OIML R 35, from memory), and a millimetre is read at each end.
inline constexpr double usual_tape_sd_m = 0.002;

struct LaidTape {
  std::string name;
  Tape tape;  ///< map frame
  double tape_m = 0.0;
  double tape_sd_m = usual_tape_sd_m;
};

struct TapeEvidence {
  LengthEvidence lengths;
  std::vector<MappedTape> tapes;      ///< one each, in their order
  std::vector<std::string> warnings;  ///< one sentence each, without full stop
};

/// What the equations of tapes have in common with one another, m2: `ends` of each tape on its faces. The diagonal is
/// own_sd_m squared and the tape's.
Eigen::MatrixXd tape_covariance(const std::vector<TapeMeasure>& measures, const Eigen::VectorXd& tape_sds_m);

/// `measurable`: of `map`, with OffsetUncertainty::apart. `map.scale` has to be known.
TapeEvidence tape_evidence(const Map& map, const MeasurableMap& measurable, const std::vector<LaidTape>& tapes);

}  // namespace wainscot
