#include "apps/simulator/gallery.hpp"

#include <set>
#include <string>

#include <gtest/gtest.h>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/plan_yaml.hpp"
#include "apps/simulator/surfaces.hpp"
#include "core/errors.hpp"

namespace wainscot::simulator {
namespace {

TEST(Gallery, NamesArePlainAndEachHasASentence) {
  std::set<std::string_view> names;
  for (const HardPlace& place : gallery()) {
    EXPECT_TRUE(names.insert(place.name).second) << place.name;
    EXPECT_EQ(place.name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-"), std::string_view::npos);
    EXPECT_EQ(place.what.back(), '.');
  }
  EXPECT_GE(names.size(), 22U);
}

TEST(Gallery, AnUnknownNameIsRefusedWithTheNearestOne) {
  try {
    hard_place("lifted-robt", 1);
    FAIL() << "was accepted";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("\"lifted-robot\""), std::string::npos) << error.what();
  }
}

// What every place must keep to, whatever is hard about it.
class EveryHardPlace : public testing::TestWithParam<std::string> {};

TEST_P(EveryHardPlace, IsDrawnFromItsSeedAndCanBeDriven) {
  const Plan plan = hard_place(GetParam(), 1);
  EXPECT_EQ(plan_text(plan), plan_text(hard_place(GetParam(), 1)));
  EXPECT_NE(plan_text(plan), plan_text(hard_place(GetParam(), 2)));
  // The robot never touches anything that stands there at the time.
  const Motion motion = drive_route(plan, 1);
  std::vector<double> times = {0.0};
  for (const double time_s : change_times_s(plan)) times.push_back(time_s);
  times.push_back(motion.duration_s());
  for (std::size_t i = 0; i + 1 < times.size(); ++i) {
    const Surfaces surfaces = surfaces_of(house_at(plan, times[i]));
    for (double t = times[i]; t < times[i + 1]; t += 1.0) {
      if (motion.is_carried(t)) continue;
      ASSERT_GT(clearance_m(surfaces, motion.at(t).position), 0.9 * plan.robot.radius_m) << t;
    }
  }
}

std::vector<std::string> all_names() {
  std::vector<std::string> names;
  for (const HardPlace& place : gallery()) names.emplace_back(place.name);
  return names;
}

std::string test_name(const testing::TestParamInfo<std::string>& info) {
  std::string name = info.param;
  for (char& c : name) c = c == '-' ? '_' : c;
  return name;
}

INSTANTIATE_TEST_SUITE_P(Gallery, EveryHardPlace, testing::ValuesIn(all_names()), test_name);

}  // namespace
}  // namespace wainscot::simulator
