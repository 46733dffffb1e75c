#pragma once

// Closures of a map of a simulated house against the truth.

#include "apps/simulator/simulate.hpp"
#include "graph/map.hpp"

namespace wainscot::bench {

/// Accepted closures that lie further than this from the truth are wrong.
constexpr double kWrongClosure_m = 0.10;
constexpr double kWrongClosure_rad = 3.0 * 0.017453292519943295;

/// Closures against the truth.
struct ClosureScore {
  int right = 0;
  int wrong = 0;
  int revisits = 0;         ///< stretches of the drive that come back to a place seen long before
  int revisits_closed = 0;  ///< of these, those that an accepted closure joins to the earlier time
};

ClosureScore score_closures(const Map& map, const simulator::Truth& truth);

}  // namespace wainscot::bench
