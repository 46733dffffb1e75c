#include "apps/progress_bar.hpp"

#include <limits>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(ProgressBar, LineShowsTheShareDone) {
  EXPECT_EQ(progress_line("matching", 0.0), "..............................   0 % matching");
  EXPECT_EQ(progress_line("matching", 0.5), "###############...............  50 % matching");
  EXPECT_EQ(progress_line("writing", 1.0), "############################## 100 % writing");
}

TEST(ProgressBar, LineStaysALineForAnyFraction) {
  EXPECT_EQ(progress_line("x", -3.0), progress_line("x", 0.0));
  EXPECT_EQ(progress_line("x", 7.0), progress_line("x", 1.0));
  EXPECT_EQ(progress_line("x", std::numeric_limits<double>::quiet_NaN()), progress_line("x", 0.0));
  EXPECT_LE(progress_line(std::string(200, 's'), 1.0).size(), 60U);
}

}  // namespace
}  // namespace wainscot
