#include "io/map/map_agreement.hpp"

#include <functional>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

std::string said(const std::function<void()>& require) {
  try {
    require();
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

// The sample's grid reaches from (-1.85, 0.2) to (-1.7, 0.3), its path from (0, 0) to (1, 0.25).
TEST(MapAgreement, APathIsNearItsGrid) {
  const Map map = sample_map();
  const auto check = [&map](double farthest_return_m) {
    return said([&] { require_path_on_grid(map.grid.frame, map.trajectory, farthest_return_m, "flat"); });
  };
  EXPECT_EQ(check(2.71), "");
  EXPECT_EQ(
      check(2.69),
      "flat: grid.yaml says that the grid reaches from (-1.85, 0.20) m to (-1.70, 0.30) m, but trajectory.csv that "
      "the path comes to (1.00, 0.25) m; build the map again");
}

TEST(MapAgreement, NodesStandOnThePath) {
  Map map = sample_map_of_two();
  const auto check = [&map] { return said([&] { require_graph_on_map(map, 8.0, "flat"); }); };
  EXPECT_EQ(check(), "");
  map.graph.nodes[1].pose.x_m += 1e-6;  // what rounding makes
  EXPECT_EQ(check(), "");
  map.graph.nodes[1].pose.x_m = 1.01;
  EXPECT_EQ(check(),
            "flat: graph.sqlite says that drive 1 was at (1.010, 0.250) m at 2.000000 s (node 1), but trajectory.csv "
            "(1.000, 0.250) m; build the map again");
  map = sample_map_of_two();
  map.graph.nodes[2].time_s = 10.25;
  EXPECT_EQ(
      check(),
      "flat: graph.sqlite says that drive 2 was at (0.500, 0.500) m at 10.250000 s (node 2), but trajectory.csv has "
      "no row of that time; build the map again");
}

TEST(MapAgreement, WallsAreNearTheGrid) {
  Map map = sample_map();
  map.wall_pieces[0].middle_m.x() = 6999.0;
  EXPECT_NE(said([&] {
              require_graph_on_map(map, 8.0, "flat");
            }).find("but graph.sqlite that a piece of wall stands at (6999.00, 1.00) m"),
            std::string::npos);
}

}  // namespace
}  // namespace wainscot
