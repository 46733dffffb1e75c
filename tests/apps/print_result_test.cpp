#include "apps/print_result.hpp"

#include <cstdio>
#include <string>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(PrintResult, IsOutBeforeAnythingElseIsSaid) {
  testing::internal::CaptureStdout();
  const std::string table(10'000, 'x');  // more than a buffer holds
  print_result(table);
  print_result("\n1,2\n");
  EXPECT_EQ(testing::internal::GetCapturedStdout(), table + "\n1,2\n");
}

}  // namespace
}  // namespace wainscot
