#include "io/page/comparison_page.hpp"

#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "tests/io/sample_comparison.hpp"

namespace wainscot {
namespace {

std::vector<std::string> names_of(const std::vector<ComparisonPicture>& pictures) {
  std::vector<std::string> names;
  for (const ComparisonPicture& picture : pictures) names.push_back(picture.name);
  return names;
}

TEST(ComparisonPage, HasAPictureOfAllThatIsThere) {
  Comparison comparison = sample_comparison();
  EXPECT_EQ(names_of(comparison_pictures(comparison, PictureSize::file)),
            (std::vector<std::string>{"paths", "position", "heading", "stretches", "walls", "distances"}));
  comparison.maps.reset();
  EXPECT_EQ(names_of(comparison_pictures(comparison, PictureSize::file)),
            (std::vector<std::string>{"paths", "position", "heading", "stretches"}));
  comparison = sample_comparison();
  comparison.paths.clear();
  comparison.maps->walls.distances.clear();
  EXPECT_EQ(names_of(comparison_pictures(comparison, PictureSize::file)), std::vector<std::string>{"walls"});
}

TEST(ComparisonPage, SaysTheAnswerFirstAndThatItIsSimulated) {
  const std::string page = comparison_page(sample_comparison(), "9.8.7");
  const std::size_t answer = page.find("from the true path (root mean square over 41 poses");
  ASSERT_NE(answer, std::string::npos);
  EXPECT_LT(answer, page.find("<svg"));
  EXPECT_NE(page.find("simulated drive"), std::string::npos);
  EXPECT_NE(page.find("wainscot 9.8.7"), std::string::npos);
}

TEST(ComparisonPage, LoadsNothingAndEscapesNames) {
  Comparison comparison = sample_comparison();
  comparison.maps->first = "<script>alert(1)</script>";
  comparison.maps->second = "\" onload=\"x";
  const std::string page = comparison_page(comparison, "9.8.7");
  EXPECT_EQ(page.find("<script"), std::string::npos);
  EXPECT_EQ(page.find("onload=\""), std::string::npos);
  EXPECT_EQ(page.find("<b>"), std::string::npos);
  // "http-equiv" is the only address-like word of the page.
  EXPECT_EQ(page.find("http", page.find("http-equiv") + 1), std::string::npos);
  EXPECT_EQ(page.find("src="), std::string::npos);
}

}  // namespace
}  // namespace wainscot
