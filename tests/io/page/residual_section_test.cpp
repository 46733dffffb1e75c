#include "io/page/residual_section.hpp"

#include <string>

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

PoseGraph graph_with_an_edge(EdgeKind kind, double off_m) {
  PoseGraph graph = sample_map().graph;
  graph.edges[0].kind = kind;
  graph.edges[0].relative = {1.0 - off_m, 0.0, 0.0};
  graph.edges[0].information = Eigen::Vector3d(100.0, 100.0, 100.0).asDiagonal();
  graph.nodes[0].pose = {};
  graph.nodes[1].pose = {1.0, 0.0, 0.0};
  return graph;
}

TEST(ResidualSection, SaysHowFarOffEachKindOfEdgeIs) {
  const std::string section = residual_section(graph_with_an_edge(EdgeKind::closure, 0.05));
  // 0.05 m at 100 per square metre: 0.25.
  std::string row = R"(<th scope="row">loop closure</th><td class="n" data-label="edges">1</td>)";
  for (const std::string label : {"median", "95 % below", "worst"}) {
    row += "<td class=\"n\" data-label=\"" + label + "\">50 mm</td><td class=\"n\" data-label=\"" + label +
           ", turn\">0.00°</td>";
  }
  EXPECT_NE(section.find(row + R"(<td class="n" data-label="χ², median">0.25</td>)"), std::string::npos);
  EXPECT_EQ(section.find("odometry alone</th>"), std::string::npos);
  EXPECT_NE(residual_section(graph_with_an_edge(EdgeKind::odometry, 0.0)).find("odometry alone</th>"),
            std::string::npos);
}

TEST(ResidualSection, AGraphWithoutEdgesHasNone) { EXPECT_EQ(residual_section(PoseGraph()), ""); }

}  // namespace
}  // namespace wainscot
