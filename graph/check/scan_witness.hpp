#pragma once

// What two scans say of a motion that the wheels claim, where the lidar's own steps say another one: along a bare
// corridor, in a crowd or with few returns the steps follow the wrong wall, and the scans fit the wheels' word as well.

#include <cstddef>
#include <functional>
#include <vector>

#include "core/pose2.hpp"
#include "core/robot.hpp"
#include "graph/motion/lidar_motion.hpp"
#include "scanmatch/motion_correction.hpp"

namespace wainscot {

class ScanWitness {
 public:
  /// `mounting`: of the lidar in the robot's frame. Scans, motion and lidar must outlive this.
  ScanWitness(const TurnScans& scans, const LidarMotion& motion, const LidarConstants& lidar, double sweep_s,
              const Pose2& mounting)
      : scans_(scans), motion_(motion), lidar_(lidar), sweep_s_(sweep_s), mounting_(mounting) {}

  /// Whether the scans `from` and `to` fit one another as well where the robot's motion `claimed` puts them as where
  /// the lidar's motion `seen` does, or, matched from there, better than it: then nothing seen contradicts the claim.
  /// m, rad.
  bool bears_out(std::size_t from, std::size_t to, const Pose2& claimed, const Pose2& seen) const;

  /// Whether the earlier scan matched against the later one says the lidar's motion `seen` too. A right match is right
  /// both ways round; of few returns, a wrong one seldom is. And a lidar that hardly moved sees the same again.
  bool confirms(std::size_t from, std::size_t to, const Pose2& seen) const;

  /// Whether the lidar's `stride` still contradicts what is claimed once the scans before and after it are asked: a
  /// robot that slipped stays where it went, and what one match got wrong is gone. True at the ends of the log.
  /// `claimed`: the robot's motion between two times of the lidar's clock.
  bool lasts(const LidarStride& stride, const std::function<Pose2(double begin_s, double end_s)>& claimed) const;

 private:
  std::vector<ScanPoint> points(std::size_t scan) const;

  const TurnScans& scans_;
  const LidarMotion& motion_;
  const LidarConstants& lidar_;
  double sweep_s_;
  Pose2 mounting_;
};

}  // namespace wainscot
