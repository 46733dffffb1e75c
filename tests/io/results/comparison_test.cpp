#include "io/results/comparison.hpp"

#include <map>
#include <string>

#include <gtest/gtest.h>

#include "tests/io/sample_comparison.hpp"

namespace wainscot {
namespace {

std::map<std::string, double> by_name(const std::vector<NamedFigure>& figures) {
  std::map<std::string, double> result;
  for (const NamedFigure& figure : figures) {
    EXPECT_TRUE(result.emplace(figure.name, figure.value).second) << figure.name << " is there twice";
  }
  return result;
}

// A straight way of 20 m measured 1 % too long: after alignment the ends lie 0.1 m off.
TEST(Comparison, FiguresOfAPathHaveTheirUnitsInTheirNames) {
  const auto figures = by_name(figures_of(sample_comparison().paths[0]));
  EXPECT_EQ(figures.at("poses"), 41.0);
  EXPECT_NEAR(figures.at("position_max_m"), 0.1, 1e-9);
  EXPECT_NEAR(figures.at("scale"), 1.0 / 1.01, 1e-9);
  EXPECT_NEAR(figures.at("over_1_m_position_rmse_m"), 0.01, 1e-9);
  EXPECT_NEAR(figures.at("over_0.5_m_position_rmse_m"), 0.005, 1e-9);
  EXPECT_NEAR(figures.at("along_way_position_mean_m"), 0.005, 1e-9);
  EXPECT_NEAR(figures.at("drift_way_m_per_m"), 0.01, 1e-9);
  EXPECT_EQ(figures.at("over_turn_stretches"), 0.0);
  EXPECT_EQ(figures.count("over_turn_position_rmse_m"), 0u);  // nothing is said of what is not there
}

TEST(Comparison, FiguresOfMaps) {
  const auto figures = by_name(figures_of(*sample_comparison().maps));
  EXPECT_EQ(figures.at("wall_pieces_paired"), 93.0);
  EXPECT_NEAR(figures.at("wall_only_first_m2"), 0.01, 1e-12);
  EXPECT_EQ(figures.at("wall_only_second_m2"), 0.0);
}

TEST(Comparison, IsAmbiguousWhereAnotherWayFitsNearlyAsWell) {
  Comparison comparison = sample_comparison();
  EXPECT_FALSE(comparison.is_ambiguous());
  comparison.maps->alignment.runner_up = 0.95;
  EXPECT_TRUE(comparison.is_ambiguous());
  comparison.maps.reset();
  EXPECT_FALSE(comparison.is_ambiguous());
}

}  // namespace
}  // namespace wainscot
