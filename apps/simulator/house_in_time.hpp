#pragma once

// The house while a drive goes on: doors open and close, furniture is moved.

#include <vector>

#include "apps/simulator/plan.hpp"
#include "apps/simulator/ray_caster.hpp"

namespace wainscot::simulator {

/// What rays meet at any moment. Faces keep their numbers from moment to moment.
class HouseInTime {
 public:
  explicit HouseInTime(const Plan& plan);

  const RayCaster& at(double time_s) const;

 private:
  std::vector<double> from_s_;  ///< rising
  std::vector<RayCaster> casters_;
};

}  // namespace wainscot::simulator
