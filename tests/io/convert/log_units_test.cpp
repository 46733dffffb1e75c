#include "io/convert/log_units.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(LogUnits, AreKnownByTheirWords) {
  ASSERT_NE(find_log_unit("mm"), nullptr);
  EXPECT_EQ(find_log_unit("mm")->si, 0.001);
  EXPECT_EQ(find_log_unit("mm")->kind, UnitKind::length);
  EXPECT_NEAR(180.0 * find_log_unit("deg")->si, 3.14159265358979, 1e-12);
  EXPECT_EQ(find_log_unit("deg/s")->kind, UnitKind::yaw_rate);
  EXPECT_EQ(find_log_unit("furlong"), nullptr);
  EXPECT_EQ(find_log_unit(""), nullptr);
}

TEST(LogUnits, TheChoiceOfAKind) {
  EXPECT_EQ(unit_choice(UnitKind::time), "s, ms, us or ns");
  EXPECT_EQ(unit_choice(UnitKind::angle), "rad or deg");
}

}  // namespace
}  // namespace wainscot
