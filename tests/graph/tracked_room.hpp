#pragma once

// A room as the local map of tracking: what some keyframes saw of it.

#include <vector>

#include "graph/track/local_map.hpp"
#include "graph/track/wall_evidence.hpp"
#include "tests/graph/scene.hpp"

namespace wainscot {

struct TrackedRoom {
  RangeNoise noise{0.005, 0.0};
  std::vector<Keyframe> keyframes;
  std::vector<Pose2> poses;
  LocalMap map{7.0, 6, noise};

  TrackedRoom(const Scene& scene, const std::vector<Pose2>& from) : poses(from) {
    for (std::size_t i = 0; i < from.size(); ++i) add(keyframe_at(scene, from[i], i));
  }

  LocalWalls walls() const { return {map.lines(), noise, keyframes, poses, 0}; }

 private:
  void add(Keyframe keyframe) {
    map.add(keyframe.points, poses[keyframes.size()], 0.3 * static_cast<double>(keyframes.size()));
    keyframes.push_back(std::move(keyframe));
  }
};

}  // namespace wainscot
