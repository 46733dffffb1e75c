#pragma once

// Lines on the floor, tapes that are not quite straight, and a robot that follows them wherever its way goes along one.

#include <cstdint>
#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/random.hpp"
#include "core/drive.hpp"

namespace wainscot::simulator {

class Motion;

/// `count` lines along straight parts of the plan's route, spread over the house, the second not parallel to the first;
/// named "1", "2", ... Fewer where the route has no more straights of a metre and a half that lie apart.
std::vector<FloorLine> lay_out_lines(const Plan& plan, int count);

/// Keeps the robot on the plan's lines, with the follower's errors, which are drawn from the seed.
class LineFollower {
 public:
  LineFollower(const Plan& plan, std::uint64_t seed);

  /// The line that a robot follows which goes that way from here; nullptr: none.
  const FloorLine* line_at(Point place, Point way) const;

  /// The place to steer at, where `ahead` is the one that the route would have: on the line, as the follower sees it.
  /// To be called once for each step of the way, `step_m` long.
  Point drawn_to(const FloorLine& line, Point ahead, Point way, double step_m);

 private:
  const std::vector<FloorLine>& lines_;
  std::vector<double> bows_m_;
  double noise_m_ = 0.0;
  double aside_m_ = 0.0;
  CorrelatedNoise error_;
};

/// followed.csv: when the robot was on a line and went along it for 0.8 m at least. Some rows name another line, as the
/// plan's defects say.
std::vector<FollowedStretch> follow_lines(const Plan& plan, const Motion& motion, std::uint64_t seed);

/// The lines' ends as somebody measured them, in the frame of the house; empty unless the plan has them measured.
std::vector<MeasuredLine> measure_lines(const Plan& plan, std::uint64_t seed);

}  // namespace wainscot::simulator
