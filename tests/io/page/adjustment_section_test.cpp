#include "io/page/adjustment_section.hpp"

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TracedReturn sample_return(Turning turning) { return {{1.0, 2.0, 0.5}, {0.25, 0.0, -0.5}, -1.5, 3.25, turning}; }

AdjustmentTrace sample_trace(std::size_t pieces, std::size_t returns) {
  AdjustmentTrace trace;
  trace.found = {{0.05, 0.0, 0.01}, 0.002, -0.02};
  for (std::size_t i = 0; i < pieces; ++i) {
    TracedPiece piece{{1.0, 2.0}, {0.0, 1.0}, 7, 2000, 3, {}};
    piece.shown.assign(returns, sample_return(Turning::left));
    trace.pieces.push_back(piece);
  }
  return trace;
}

TEST(AdjustmentSection, CarriesPiecesAndConstants) {
  AdjustmentTrace trace = sample_trace(1, 0);
  trace.pieces[0].shown = {sample_return(Turning::right)};
  const nlohmann::ordered_json data = adjustment_data(trace, sample_map().constants);
  EXPECT_EQ(data["found"], nlohmann::ordered_json({0.05, 0.0, 0.01, 0.002, -0.02}));
  EXPECT_EQ(data["stated"], nlohmann::ordered_json({0.0, 0.0, 0.0, 0.0, 0.0}));
  EXPECT_TRUE(data["found_sd"][0].is_null()) << "this map's account has no lidar.x_m";
  EXPECT_EQ(data["found_sd"][2], 0.0213);
  const nlohmann::ordered_json& piece = data["pieces"][0];
  EXPECT_EQ(piece["nodes"], 7);
  EXPECT_EQ(piece["returns"], 2000);
  EXPECT_EQ(piece["left_out"], 3);
  // 1, 2, 0.5, 0.25, 0, -0.5, -1.5, 3.25, -1 as little-endian single precision (python3: struct.pack('<9f', ...)).
  EXPECT_EQ(piece["shown"], "AACAPwAAAEAAAAA/AACAPgAAAAAAAAC/AADAvwAAUEAAAIC/");
}

// 5 pieces of 3 times 120 returns is the most that there can be.
TEST(AdjustmentSection, KeepsThePageSmall) {
  EXPECT_LT(adjustment_data(sample_trace(5, 360), sample_map().constants).dump().size(), 90'000U);
}

TEST(AdjustmentSection, SaysOfEachConstantWhetherTheDriveCouldTellIt) {
  std::vector<RefinedConstant> constants = sample_map().constants;
  constants.push_back({"<odd>", "1", 1.0, 0.01, 1.001, 0.0099, false});
  const std::string html = told_constants(constants);
  EXPECT_NE(html.find("lidar.heading_deg</th><td data-label=\"robot.yaml said\">0.0 ± 2.0 deg</td><td "
                      "data-label=\"found\">0.431 ± 0.021 deg</td><td data-label=\"told\">yes, 94 times as surely as "
                      "robot.yaml</td>"),
            std::string::npos)
      << html;
  EXPECT_NE(html.find("a little: less than twice as surely as robot.yaml"), std::string::npos);
  EXPECT_NE(html.find("<th scope=\"row\">&lt;odd&gt;</th>"), std::string::npos);
  EXPECT_NE(html.find("no: hardly surer than robot.yaml"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
