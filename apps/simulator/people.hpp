#pragma once

// People who walk about while the robot drives, with two legs each at the lidar's height, and round carts.

#include <vector>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

struct Leg {
  Point centre;
  double radius_m = 0.06;
};

/// Where everybody's legs are at any moment of a drive.
class People {
 public:
  /// Walks everybody through the whole drive; whoever would come near the robot waits, or steps aside. Who follows the
  /// robot walks where it drove. Carts keep to the same rules.
  People(const Plan& plan, const Motion& motion);

  /// The legs in the house at this moment.
  std::vector<Leg> legs(double time_s) const;

 private:
  struct Track {
    std::vector<Leg> left;  ///< kStep_s apart
    std::vector<Leg> right;
    std::vector<bool> here;
    double cart_m = 0.0;  ///< diameter; its places are in `left`, and `right` is empty. 0: a person

    void add(Point body, Point along, double walked_m, bool is_here);
  };
  static Track follow(const Person& person, const Motion& motion);
  std::vector<Track> tracks_;
};

}  // namespace wainscot::simulator
