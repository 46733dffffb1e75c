#pragma once

// The chain of nodes that tracking left: what was seen at each, where it was put, and how far any two may have drifted
// apart. Closures are sought along it and weighed against it.

#include <cstddef>
#include <vector>

#include "graph/close/place.hpp"
#include "graph/drift.hpp"
#include "graph/drive_part.hpp"
#include "graph/track/keyframes.hpp"

namespace wainscot {

/// Refers to the tracked path that it was made from, which must outlive it and stay as it is.
struct Chain {
  const std::vector<Keyframe>& keyframes;
  const std::vector<Pose2>& poses;  ///< of the keyframes, by tracking
  /// Way driven until each node, m. Where the chain is loose or broken a kilometre is added: what lies on both sides
  /// makes no one place.
  std::vector<double> ways_m;
  ChainDrift drift;
  RangeNoise noise;
  std::vector<std::size_t> parts;  ///< the part of a joined recording that each node belongs to; else 0

  /// What was seen along the chain, where tracking put it.
  SeenPath seen() const { return {keyframes, poses, ways_m, noise}; }
};

/// `parts`: of a recording that was joined from several, else empty.
Chain chain_of(const TrackedPath& tracked, const RangeNoise& noise, const std::vector<DrivePart>& parts = {});

}  // namespace wainscot
