#include "io/short_list.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(ShortList, HasTenLinesAtMost) {
  EXPECT_EQ(short_list("Failed:", {}, ": in the CSV"), "");
  EXPECT_EQ(short_list("Failed:", {"a: why", "b"}, ": in the CSV"), "Failed:\n  a: why\n  b\n");
  const std::string ten = short_list("Failed:", std::vector<std::string>(10, "x"), ": in the CSV");
  EXPECT_EQ(ten.find("more"), std::string::npos);
  const std::string many = short_list("Failed:", std::vector<std::string>(1'300, "x"), ": in the CSV");
  EXPECT_EQ(many, ten + "  and 1,290 more: in the CSV\n");
}

}  // namespace
}  // namespace wainscot
