#pragma once

// A drive that somebody takes through all rooms of a furnished home.

#include <cstddef>
#include <optional>
#include <vector>

#include "apps/simulator/layout.hpp"
#include "apps/simulator/plan.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/route_planner.hpp"

namespace wainscot::simulator {

class RoomTour {
 public:
  /// `plan` has the walls, the furniture and the robot.
  RoomTour(const Layout& layout, const Plan& plan, Random& random);

  /// Into every room and back to the start, then from room to room until a time between the two is over, and back to
  /// the start again. Empty where the robot fits nowhere.
  std::vector<Waypoint> make(double least_s, double most_s);

  /// Whether the drive passes every room.
  bool everywhere() const { return everywhere_; }

  /// Somebody who walks where the robot could drive.
  Person person();

 private:
  double duration_s() const;
  void choose_goals();
  std::size_t first_room() const;
  template <typename Merit>
  std::optional<Point> best_spot(const Room& room, const std::vector<double>& reach, const Merit& merit);
  void go(Point goal);
  std::vector<Waypoint> waypoints();

  const Layout& layout_;
  const RobotSpec& robot_;
  FloorGrid grid_;
  Random& random_;
  std::vector<Point> goals_;
  std::vector<Point> points_;
  bool everywhere_ = true;
};

}  // namespace wainscot::simulator
