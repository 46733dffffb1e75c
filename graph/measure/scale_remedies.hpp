#pragma once

// What a person can do to know a map's scale better, and what it is worth, by the covariances of the map itself: each
// remedy is a measurement that was not made yet, whose size does not matter for how sure the scale is afterwards
// (K. Chaloner, I. Verdinelli, "Bayesian experimental design: a review", Statistical Science 10, 1995).

#include <vector>

#include "graph/map.hpp"
#include "graph/measure/tape.hpp"
#include "graph/measure/tape_evidence.hpp"

namespace wainscot {

struct ScaleRemedyOptions {
  double tape_sd_m = usual_tape_sd_m;
  double run_sd_m = 0.003;  ///< of a run's length, as `calibrate` takes it where nothing is said
  int runs = 3;             ///< one run's slip is not told from its wheels
  /// The scale's uncertainty afterwards / now must be below this to be worth a person's time. Chosen by hand: a fifth
  /// less is the least that shows in the account's two digits.
  double worthwhile = 0.8;
  int most_tried = 6;  ///< tapes, the longest first: each takes some ten milliseconds
};

/// The best first, of each kind those that help: one tape and, where more help more, three; straight runs; a survey of
/// the markers that the map has. Empty where none does. `measurable`: of `map`, with OffsetUncertainty::apart. `grid`:
/// where furniture is, across which no tape is laid.
std::vector<ScaleRemedy> scale_remedies(const Map& map, const OccupancyGrid& grid, const MeasurableMap& measurable,
                                        const ScaleRemedyOptions& options = {});

}  // namespace wainscot
