#pragma once

#include <filesystem>
#include <string>

#include "apps/simulator/plan.hpp"

// A plan is one mapping; random houses show it whole (`wainscot simulate --random-house 1 --write-plan FILE`). Beyond
// what they have it may hold:
//
//   walls:     openings: [{..., leaf: {..., moves: [{from_s: 90, open_deg: 0}]}}]   a door is shut from 90 s on
//              mirrors: [{at_m: 1.2, width_m: 0.8, side: left}]                     left or right of from -> to
//   furniture: moves: [{from_s: 120, centre: [3, 2], heading_deg: 30}]              stands there from 120 s on
//   people:    {follows_m: 1.1}                                                     walks after the robot
//   route:     - {at: [1, 2], lift: {way: [[2, 2], [4, 5]], heading_deg: 90}}       carried along, put down at the end
//   slips:     - {at: [1, 2], radius_m: 0.12, crossing: 2, left_m: 0.5, right_m: 0.4}   the second time it comes there
//   robot:     lidar: {all_at_once: true, scan_every_m: 1.2, scan_every_deg: 45}    a scan now and then, at one moment
namespace wainscot::simulator {

/// Reads a plan. Throws InputError with file and line: a key that is not known (the nearest one is named), a missing or
/// impossible value, a file that cannot be read.
Plan read_plan(const std::filesystem::path& file);

/// The plan as YAML that `read_plan` gives back unchanged.
std::string plan_text(const Plan& plan);

/// Writes `plan_text` to a file. Throws InputError where it cannot be written.
void write_plan(const Plan& plan, const std::filesystem::path& file);

}  // namespace wainscot::simulator
