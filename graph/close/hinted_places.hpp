#pragma once

// What the person who drove knows (hints.csv): two times at which the robot was at the same place, or was not. A "yes"
// vouches for the place, not for the metre, and the walls may still contradict it; a "no" holds.

#include <array>
#include <cstddef>
#include <vector>

#include "core/drive.hpp"
#include "graph/close/chain.hpp"
#include "graph/close/verification.hpp"

namespace wainscot {

/// The node nearest in time. `keyframes`: not empty, in the order of time.
std::size_t node_at(const std::vector<Keyframe>& keyframes, double time_s);

/// The pairs of nodes that were said not to be one place.
class ForbiddenPairs {
 public:
  /// `chain` must outlive this. `within_way_m`: a "no" holds for nodes within this way of both times.
  ForbiddenPairs(const std::vector<Hint>& hints, const Chain& chain, double within_way_m = 2.0);

  bool contains(std::size_t from, std::size_t to) const;

 private:
  const std::vector<double>& ways_m_;
  double within_way_m_;
  std::vector<std::array<double, 2>> apart_;  ///< ways at both times of each "no"
};

struct HintedPlace {
  std::size_t hint = 0;  ///< index into the hints
  Verified verified;
};

/// Every "yes" put to the walls, in their order; those whose times lie at one node are left out.
std::vector<HintedPlace> verify_hints(const std::vector<Hint>& hints, const Chain& chain);

}  // namespace wainscot
