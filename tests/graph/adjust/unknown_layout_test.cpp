#include "graph/adjust/unknown_layout.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(UnknownLayout, NodesConstantsFacesMarkersLinesInThisOrder) {
  const UnknownLayout layout{4, 5, 7};
  EXPECT_LT(layout.node(0), 0) << "held";
  EXPECT_EQ(layout.node(1), 0);
  EXPECT_EQ(layout.node(3), 6);
  EXPECT_EQ(layout.constants(), 9);
  EXPECT_EQ(layout.face(0), 9 + kConstants);
  EXPECT_EQ(layout.face(4), 9 + kConstants + 4);
  EXPECT_LT(layout.face(WallFaces::kNone), 0);
  EXPECT_EQ(layout.markers(), 9 + kConstants + 5);
  EXPECT_EQ(layout.size(), 9 + kConstants + 5 + 7);
  const UnknownLayout with_lines{4, 5, 7, 3};
  EXPECT_EQ(with_lines.lines(), layout.size());
  EXPECT_EQ(with_lines.size(), layout.size() + 3);
}

}  // namespace
}  // namespace wainscot
