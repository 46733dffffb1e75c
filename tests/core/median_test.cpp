#include "core/median.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(Median, IsTheMiddleValueInAnyOrder) {
  EXPECT_EQ(median({3.0, -1.0, 2.0}), 2.0);
  EXPECT_EQ(median({4.0, 1.0, 3.0, 2.0}), 3.0);
  EXPECT_EQ(median({7.5}), 7.5);
  EXPECT_EQ(median({}), 0.0);
}

TEST(Quantile, IsTheValueThatAShareOfTheOthersAreLessThan) {
  EXPECT_EQ(quantile({5.0, 1.0, 4.0, 2.0, 3.0}, 0.0), 1.0);
  EXPECT_EQ(quantile({5.0, 1.0, 4.0, 2.0, 3.0}, 0.7), 4.0);
  EXPECT_EQ(quantile({5.0, 1.0, 4.0, 2.0, 3.0}, 1.0), 5.0);
  EXPECT_EQ(quantile({}, 0.3), 0.0);
}

}  // namespace
}  // namespace wainscot
