#pragma once

// A plan made by hand, for the tests of its writers: two walls, a path of three places, one free cell.

#include "io/draw/wall_plan.hpp"

namespace wainscot {

inline WallPlan sample_plan() {
  WallPlan plan;
  plan.title = "Plan of <b>\"odd\"</b>";
  plan.walls = {{{0.0, 0.0}, {3.0, 0.0}, 0.0021, 12, 700}, {{3.0, 0.0}, {3.0, 1.23456}, 0.003, 5, 90}};
  plan.paths = {{{1.0, 0.5, 0.0}, {1.001, 0.5, 0.0}, {2.0, 0.75, 0.0}}};
  plan.floor = {"", "floor", {0.5, 2, 1, 1, 1}, {true}, {}};
  plan.simulated = true;
  return plan;
}

}  // namespace wainscot
