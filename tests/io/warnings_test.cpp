#include "io/warnings.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(Warnings, TheReadersFirstAndEachOnce) {
  Drive drive;
  drive.warnings = {"a", "b"};
  Map map;
  map.warnings = {"b", "c"};
  EXPECT_EQ(all_warnings(drive, map), (std::vector<std::string>{"a", "b", "c"}));
}

}  // namespace
}  // namespace wainscot
