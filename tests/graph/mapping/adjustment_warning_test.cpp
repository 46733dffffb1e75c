#include "graph/mapping/adjustment_warning.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

std::string warning_of(AdjustmentEnd end, int rounds_done) {
  JointResult adjusted;
  adjusted.end = end;
  adjusted.rounds_done = rounds_done;
  adjusted.last_move_m = 0.28;
  EXPECT_FALSE(adjusted.converged());
  return adjustment_warning(adjusted).value_or("");
}

TEST(AdjustmentWarning, NoneWhereItConverged) {
  const JointResult converged;
  EXPECT_FALSE(adjustment_warning(converged));
}

TEST(AdjustmentWarning, SaysWhatHappenedAndWhatToDo) {
  EXPECT_NE(warning_of(AdjustmentEnd::moving, 4).find("moved a part of the path by 0.28 m"), std::string::npos);
  EXPECT_NE(warning_of(AdjustmentEnd::cost_rose, 1).find("stopped after 1 round,"), std::string::npos);
  EXPECT_NE(warning_of(AdjustmentEnd::unsolvable, 0).find("could not be computed after 0 rounds;"), std::string::npos);
  for (const AdjustmentEnd end : {AdjustmentEnd::moving, AdjustmentEnd::cost_rose, AdjustmentEnd::unsolvable}) {
    EXPECT_NE(warning_of(end, 2).find("do not measure in this map"), std::string::npos);
  }
}

}  // namespace
}  // namespace wainscot
