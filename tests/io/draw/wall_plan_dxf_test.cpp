#include "io/draw/wall_plan_dxf.hpp"

#include <string>
#include <vector>

#include <dxflib/dl_creationadapter.h>
#include <dxflib/dl_dxf.h>
#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_plan.hpp"

namespace wainscot {
namespace {

/// What dxflib's own reader finds; tests/outside/exported_files.py reads it with another.
class Found : public DL_CreationAdapter {
 public:
  void addLayer(const DL_LayerData& layer) override { layers.push_back(layer.name); }
  void addLine(const DL_LineData& line) override { lines.emplace_back(attributes.getLayer(), line); }
  void addVertex(const DL_VertexData& vertex) override { vertices.push_back(vertex); }
  void addText(const DL_TextData& text) override { texts += text.text + "\n"; }

  std::vector<std::string> layers;
  std::vector<std::pair<std::string, DL_LineData>> lines;
  std::vector<DL_VertexData> vertices;
  std::string texts;
};

TEST(WallPlanDxf, ReadsBack) {
  const ReaderFolder folder;
  Found found;
  ASSERT_TRUE(DL_Dxf().in(folder.write("plan.dxf", wall_plan_dxf(sample_plan())).string(), &found));
  EXPECT_EQ(found.layers, (std::vector<std::string>{"0", "walls", "path", "axes", "notes"}));
  ASSERT_EQ(found.lines.size(), 4u);  // and two axes
  EXPECT_EQ(found.lines[1].first, "walls");
  EXPECT_NEAR(found.lines[1].second.x1, 3.0, 1e-9);
  EXPECT_NEAR(found.lines[1].second.y2, 1.2346, 1e-9);
  EXPECT_EQ(found.lines[3].first, "axes");
  ASSERT_EQ(found.vertices.size(), 2u);
  EXPECT_NEAR(found.vertices[1].y, 0.75, 1e-9);
  EXPECT_NE(found.texts.find("A 2D lidar sees one plane only"), std::string::npos);
  EXPECT_NE(found.texts.find("Simulated"), std::string::npos);
}

TEST(WallPlanDxf, OfNothingIsAPlanToo) {
  const ReaderFolder folder;
  Found found;
  ASSERT_TRUE(DL_Dxf().in(folder.write("plan.dxf", wall_plan_dxf({})).string(), &found));
  EXPECT_EQ(found.lines.size(), 2u);
  EXPECT_TRUE(found.vertices.empty());
}

// The reference to the style of dimensions' text was whatever stood in memory.
TEST(WallPlanDxf, DimensionsReferToTheStyleThatIsThere) {
  const std::string dxf = wall_plan_dxf(sample_plan());
  const auto value_of = [&dxf](const std::string& code, std::size_t from) {
    const std::size_t begin = dxf.find("\n" + code + "\n", from) + code.size() + 2;
    return dxf.substr(begin, dxf.find('\n', begin) - begin);
  };
  const std::string style = value_of("  5", dxf.find("\nSTYLE\n", dxf.find("\nSTYLE\n") + 1));
  EXPECT_FALSE(style.empty());
  EXPECT_EQ(value_of("340", dxf.find("\nDIMSTYLE\n")), style);
}

TEST(WallPlanDxf, IsTheSameEveryTime) { EXPECT_EQ(wall_plan_dxf(sample_plan()), wall_plan_dxf(sample_plan())); }

}  // namespace
}  // namespace wainscot
