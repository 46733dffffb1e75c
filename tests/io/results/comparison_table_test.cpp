#include "io/results/comparison_table.hpp"

#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "tests/io/sample_comparison.hpp"

namespace wainscot {
namespace {

TEST(ComparisonTable, SaysItInMillimetresAndDegrees) {
  const std::string text = comparison_text(sample_comparison());
  EXPECT_EQ(text.rfind("Simulated drive", 0), 0u);
  EXPECT_NE(text.find("Distance from the true path after rigid alignment"), std::string::npos);
  EXPECT_NE(text.find("100.0"), std::string::npos);  // the largest error, mm
  EXPECT_NE(text.find("10.00"), std::string::npos);  // drift, mm a metre
  EXPECT_NE(text.find("97 % of the walls agree"), std::string::npos) << text;
  EXPECT_NE(text.find("15.0"), std::string::npos);
}

TEST(ComparisonTable, WarnsWhereTheMapsFitInTwoWays) {
  Comparison comparison = sample_comparison();
  EXPECT_EQ(comparison_text(comparison).find("in another way"), std::string::npos);
  comparison.maps->alignment.runner_up = 0.96;
  EXPECT_NE(comparison_text(comparison).find("in another way"), std::string::npos);
}

TEST(ComparisonTable, CsvHasARowAFigureAndQuotesNames) {
  const std::string csv = comparison_csv(sample_comparison());
  EXPECT_EQ(csv.rfind("compared,reference,figure,value\n\"found, <b>\"\"odd\"\"</b>\",the true path,poses,41\n", 0), 0u)
      << csv;
  EXPECT_NE(csv.find("\nmonday,friday,wall_pieces,100\n"), std::string::npos);
}

TEST(ComparisonTable, JsonHoldsFiguresAndRows) {
  const auto json = nlohmann::json::parse(comparison_json(sample_comparison()));
  EXPECT_EQ(json["wainscot_comparison"], 1);
  EXPECT_EQ(json["simulated"], true);
  const auto& path = json["paths"][0];
  EXPECT_EQ(path["name"], "found, <b>\"odd\"</b>");
  EXPECT_NEAR(path["figures"]["position_max_m"].get<double>(), 0.1, 1e-9);
  ASSERT_EQ(path["rows"].size(), 41u);
  EXPECT_EQ(path["rows"][0].size(), path["columns"].size());
  EXPECT_NEAR(path["rows"][0][1].get<double>(), -0.1, 1e-6);
  EXPECT_EQ(json["maps"]["rows"][0][4], 3.004);
}

}  // namespace
}  // namespace wainscot
