#include "io/page/stage_section.hpp"

#include <string>

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(StageSection, CountsWhatEachStageTookAndGave) {
  const std::string section = stage_section(sample_map());
  const auto has = [&section](const char* figure, const char* value) {
    const std::string part = std::string("data-figure=\"") + figure + "\">" + value + "</dd>";
    return section.find(part) != std::string::npos;
  };
  EXPECT_TRUE(has("scans_used", "3 scans"));
  EXPECT_TRUE(has("scans_outside_odometry", "2"));
  EXPECT_TRUE(has("nodes", "2"));
  EXPECT_TRUE(has("match_edges", "1"));
  EXPECT_TRUE(has("odometry_edges", "0"));
  EXPECT_TRUE(has("closures", "1 accepted of 2 candidates"));
  EXPECT_TRUE(has("wall_pieces", "1"));
  EXPECT_TRUE(has("scale_sd", "0.11 %"));
  EXPECT_TRUE(has("cells", "3 × 2"));
  EXPECT_TRUE(has("changes", "2"));
}

}  // namespace
}  // namespace wainscot
