#pragma once

// A gallery of hard places: houses, robots and drives that are known to lead mappers astray. Each is drawn anew from a
// seed: its dimensions, the robot and the defects vary, what is hard about it does not. The robots' wheels are known to
// 0.1 % and their track width to 1 %, and robot.yaml says so, unless the place is about worse odometry.

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

struct HardPlace {
  std::string_view name;
  std::string_view what;         ///< what is hard about it, one sentence
  bool from_recordings = false;  ///< recordings of real robots taught it
};

/// All of them, in a fixed order.
std::span<const HardPlace> gallery();

/// Throws InputError with the nearest name where there is no place of this one.
void need_hard_place(const std::string& name);

/// The place of that name for a seed. Some events are set to a moment of the drive that the same seed makes, so
/// `simulate` is to be called with this seed too. Throws InputError with the nearest name where there is none of it.
Plan hard_place(const std::string& name, std::uint64_t seed);

}  // namespace wainscot::simulator
