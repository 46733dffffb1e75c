#include "apps/simulator/house_in_time.hpp"

#include <algorithm>
#include <cstddef>

namespace wainscot::simulator {

HouseInTime::HouseInTime(const Plan& plan) : from_s_({0.0}) {
  for (const double time_s : change_times_s(plan)) {
    if (time_s > 0.0) from_s_.push_back(time_s);
  }
  casters_.reserve(from_s_.size());
  for (const double time_s : from_s_) casters_.emplace_back(surfaces_of(house_at(plan, time_s)));
}

const RayCaster& HouseInTime::at(double time_s) const {
  const auto after = std::upper_bound(from_s_.begin() + 1, from_s_.end(), time_s);
  return casters_[static_cast<std::size_t>(after - from_s_.begin()) - 1];
}

}  // namespace wainscot::simulator
