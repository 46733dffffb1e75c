#include "apps/simulator/defects.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot::simulator {
namespace {

TEST(Knob, DrawsFromItsLaw) {
  Random random(1, "test");
  double least = 1e9;
  double greatest = -1e9;
  double sum = 0.0;
  double squares = 0.0;
  const int n = 20000;
  for (int i = 0; i < n; ++i) {
    const double u = Knob::uniform(2.0, 3.0).draw(random);
    least = std::min(least, u);
    greatest = std::max(greatest, u);
    const double g = Knob::normal(5.0, 0.5).draw(random);
    sum += g;
    squares += (g - 5.0) * (g - 5.0);
  }
  EXPECT_NEAR(least, 2.0, 0.001);
  EXPECT_NEAR(greatest, 3.0, 0.001);
  EXPECT_NEAR(sum / n, 5.0, 4.0 * 0.5 / std::sqrt(n));
  EXPECT_NEAR(std::sqrt(squares / n), 0.5, 0.01);
  EXPECT_EQ(Knob::fixed(7.0).draw(random), 7.0);
  EXPECT_NEAR(Knob::uniform(0.0, 1.0).sd(), std::sqrt(1.0 / 12.0), 1e-12);
}

TEST(Knob, TextIsReadBackTheSame) {
  Defects defects;
  for (const KnobEntry& entry : knob_table()) {
    const Knob before = defects.*entry.member;
    Defects again = perfect(Defects());
    set_knob(again, entry.name, to_text(before));
    EXPECT_EQ((again.*entry.member).law, before.law) << entry.name;
    EXPECT_EQ((again.*entry.member).a, before.a) << entry.name;
    EXPECT_EQ((again.*entry.member).b, before.b) << entry.name;
  }
}

std::string refusal(const char* name, const char* value) {
  Defects defects;
  try {
    set_knob(defects, name, value);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(Knob, RefusesWhatItDoesNotKnow) {
  EXPECT_NE(refusal("range_noice_m", "1").find("range_noise_m"), std::string::npos);
  for (const char* bad : {"", "x", "1,5", "nan", "3..1", "1..", "0~-1", "99"}) {
    EXPECT_NE(refusal("range_noise_m", bad), "") << bad;
  }
  EXPECT_EQ(refusal("range_noise_m", "0.01"), "");
}

TEST(Defects, LevelsAreAsTheirNamesSay) {
  EXPECT_EQ(Defects().left_m_per_tick_error_rel.sd(), 0.003);
  EXPECT_EQ(Defects().track_width_error_rel.sd(), 0.03);
  EXPECT_EQ(calibrated(Defects()).left_m_per_tick_error_rel.sd(), 0.001);
  EXPECT_EQ(calibrated(Defects()).right_m_per_tick_error_rel.sd(), 0.001);
  EXPECT_EQ(calibrated(Defects()).track_width_error_rel.sd(), 0.01);
  const Defects off = perfect(Defects());
  for (const KnobEntry& entry : knob_table()) {
    if (entry.name.starts_with("hand_")) continue;
    EXPECT_EQ((off.*entry.member).law, Knob::Law::fixed) << entry.name;
    EXPECT_EQ((off.*entry.member).a, entry.off) << entry.name;
  }
}

TEST(Defects, WhatTheFirstPlansDidNotHaveIsOffByDefault) {
  int later = 0;
  for (const KnobEntry& entry : knob_table()) {
    if (entry.written_where_off) continue;
    ++later;
    EXPECT_TRUE((Defects().*entry.member).is(entry.off)) << entry.name;
  }
  EXPECT_GE(later, 20);
  EXPECT_EQ(&knob_entry("range_scale"), &knob_entry("range_scale"));
  EXPECT_EQ(knob_entry("range_scale").off, 1.0);
  EXPECT_THROW(knob_entry("range_scael"), InputError);
}

}  // namespace
}  // namespace wainscot::simulator
