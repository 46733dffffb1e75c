#pragma once

// Tapes held against a map: do they agree, and what is left of bias and scale.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "graph/measure/tape.hpp"

namespace wainscot {

/// What a tape said, and what the map says.
struct TapeReading {
  double tape_m = 0.0;
  double tape_sd_m = 0.0;  ///< standard uncertainty of reading and holding the tape, > 0
  TapeMeasure map;

  double difference_m() const { return map.distance_m - tape_m; }
};

/// A figure with its standard uncertainty.
struct TapeFigure {
  double value = 0.0;
  double sd = 0.0;
  double half_interval_95 = 0.0;  ///< Student's t times `sd`
};

struct TapeCheck {
  /// Probability of differences as large as these if map and tapes are as uncertain as stated (chi squared): all
  /// tapes' own uncertainties, and the scale that they share.
  double agreement = 1.0;
  /// From the tapes alone: difference = bias * by_range_offset / 2 + scale * tape, by weighted least squares. Their
  /// uncertainties grow with the scatter where it is larger than stated (R. T. Birge, Physical Review 40, 1932).
  /// nullopt: fewer than three tapes, or all of much the same length.
  std::optional<TapeFigure> bias_m;  ///< the map's distances across rooms are too long by this
  std::optional<TapeFigure> scale;   ///< and by this fraction of their length
  /// Of each tape: difference beyond bias and scale (where they are known, else the difference itself) / its own
  /// standard uncertainty.
  std::vector<double> standardised;
};

/// `readings`: at least one.
TapeCheck check_tapes(std::span<const TapeReading> readings, double scale_sd);

/// What tapes and map know together: how much too long the map's lengths and the lidar's ranges are.
struct MapCorrection {
  double scale = 0.0;  ///< relative: the map's lengths are too long by this fraction
  double scale_sd = 0.0;
  double range_offset_m = 0.0;  ///< and each range beyond that by this
  double range_offset_sd_m = 0.0;
};

/// The map's own uncertainties are the prior, the tapes the measurements; one tape is enough.
MapCorrection correct_map(std::span<const TapeReading> readings, double scale_sd, double range_offset_sd_m);

}  // namespace wainscot
