#include "io/draw/wall_plan_dxf.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/io/dxf_groups.hpp"
#include "tests/io/sample_plan.hpp"

namespace wainscot {
namespace {

// tests/outside/exported_files.py reads a plan by what no one here wrote.

std::vector<DxfPart> entities_of(const std::string& dxf, const char* kind) {
  return dxf_kind(dxf_section(dxf, "ENTITIES"), kind);
}

TEST(WallPlanDxf, ReadsBack) {
  const std::string dxf = wall_plan_dxf(sample_plan());
  EXPECT_EQ(dxf_layers(dxf), (std::vector<std::string>{"0", "walls", "path", "axes", "notes"}));
  const std::vector<DxfPart> lines = entities_of(dxf, "LINE");
  ASSERT_EQ(lines.size(), 4u);  // and two axes
  EXPECT_EQ(lines[1].one(8), "walls");
  EXPECT_NEAR(lines[1].number(10), 3.0, 1e-9);
  EXPECT_NEAR(lines[1].number(21), 1.2346, 1e-9);
  EXPECT_EQ(lines[3].one(8), "axes");
  EXPECT_NEAR(lines[3].number(21), 0.6, 1e-9);
  const std::vector<DxfPart> paths = entities_of(dxf, "LWPOLYLINE");
  ASSERT_EQ(paths.size(), 1u);
  EXPECT_EQ(paths[0].one(8), "path");
  EXPECT_EQ(paths[0].all(10), (std::vector<std::string>{"1.0", "2.0"}));
  EXPECT_EQ(paths[0].all(20), (std::vector<std::string>{"0.5", "0.75"}));
  std::string texts;
  for (const DxfPart& text : entities_of(dxf, "TEXT")) {
    EXPECT_EQ(text.one(8), "notes");
    texts += text.one(1) + "\n";
  }
  EXPECT_NE(texts.find("A 2D lidar sees one plane only"), std::string::npos);
  EXPECT_NE(texts.find("Simulated"), std::string::npos);
  EXPECT_NE(dxf.find("\n$INSUNITS\n 70\n6\n"), std::string::npos) << "the unit is the metre";
}

TEST(WallPlanDxf, OfNothingIsAPlanToo) {
  const std::string dxf = wall_plan_dxf({});
  EXPECT_EQ(entities_of(dxf, "LINE").size(), 2u);
  EXPECT_TRUE(entities_of(dxf, "LWPOLYLINE").empty());
  EXPECT_EQ(entities_of(dxf, "TEXT").size(), 2u);
}

TEST(WallPlanDxf, APathOfOnePlaceIsNotDrawn) {
  WallPlan plan = sample_plan();
  plan.paths = {{{1.0, 0.5, 0.0}}, {{0.0, 0.0, 0.0}, {1.0, 0.0, 0.0}}, {}};
  EXPECT_EQ(entities_of(wall_plan_dxf(plan), "LWPOLYLINE").size(), 1u);
}

// Below the lowest wall, from the leftmost one on, so that they lie on nothing.
TEST(WallPlanDxf, NotesStandBelowThePlan) {
  WallPlan plan = sample_plan();
  plan.walls.push_back({{-2.0, 4.0}, {1.0, -3.0}, 0.002, 1, 2});
  const std::vector<DxfPart> texts = entities_of(wall_plan_dxf(plan), "TEXT");
  ASSERT_EQ(texts.size(), 2u);
  EXPECT_NEAR(texts[0].number(10), -2.0, 1e-9);
  EXPECT_NEAR(texts[0].number(20), -3.5, 1e-9);
  EXPECT_NEAR(texts[1].number(20), -3.8, 1e-9);
}

// The one reference to a style that is not by its name.
TEST(WallPlanDxf, DimensionsReferToTheStyleThatIsThere) {
  const std::vector<DxfPart> tables = dxf_section(wall_plan_dxf(sample_plan()), "TABLES");
  const std::vector<DxfPart> styles = dxf_kind(tables, "STYLE");
  ASSERT_EQ(styles.size(), 1u);
  EXPECT_FALSE(styles[0].one(5).empty());
  EXPECT_EQ(dxf_kind(tables, "DIMSTYLE").at(0).one(340), styles[0].one(5));
}

TEST(WallPlanDxf, IsTheSameEveryTime) { EXPECT_EQ(wall_plan_dxf(sample_plan()), wall_plan_dxf(sample_plan())); }

}  // namespace
}  // namespace wainscot
