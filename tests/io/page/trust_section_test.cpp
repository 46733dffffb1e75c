#include "io/page/trust_section.hpp"

#include <string>

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(TrustSection, SaysWhatToDoAboutAWarning) {
  Map map = sample_map();
  map.warnings = {"3 scans lie outside of odometry's times and were left out"};
  EXPECT_NE(trust_section(map, sample_drive(), true).find("Start recording the wheels before the lidar"),
            std::string::npos);
}

TEST(TrustSection, SaysHowSureAPlaceIsAndHowLargeTheHouse) {
  const std::string section = trust_section(sample_map(), sample_drive(), false);
  EXPECT_NE(section.find("believed to lie right within 3.0 mm"), std::string::npos);
  EXPECT_NE(section.find("(one standard uncertainty of 2 nodes; 8.0 mm at worst), its scale apart; against where the "
                         "drive began within 4.0 mm"),
            std::string::npos);
  EXPECT_NE(section.find("set by wheels and is believed right within 0.11 %"), std::string::npos);
  // Five of six cells of 5 cm were seen, two of them free.
  EXPECT_NE(section.find("0.15 m wide (along x) and 0.10 m high (along y), with 0.0 m² of free floor"),
            std::string::npos);
  EXPECT_EQ(section.find("simulated"), std::string::npos);
}

TEST(TrustSection, SaysWhatTapesDidAndWouldDoForTheScale) {
  Map map = sample_map();
  EXPECT_EQ(trust_section(map, sample_drive(), false).find("To know the scale better"), std::string::npos);
  map.tapes = {{"<hall>", {0.0, 1.0}, {4.0, 1.0}, 4.0, 0.002, 4.01, ""}};
  map.scale_remedies = {{ScaleRemedy::Kind::straight_run, 3, 3.0, 0.003, 0.0005, {}}};
  const std::string section = trust_section(map, sample_drive(), false);
  EXPECT_NE(section.find("<p>1 of 1 tape holds the scale; along the longest, 4.00 m"), std::string::npos);
  EXPECT_NE(section.find("<p>To know the scale better, this would bring it: 3 straight runs of 3.00 m"),
            std::string::npos);
}

TEST(TrustSection, AMapThatItsReturnsContradictIsNotToBeTrusted) {
  Map map = sample_map();
  map.quality.matched_fraction = 0.3;
  ASSERT_FALSE(map.quality.trustworthy());
  const std::string section = verdict_section(map, sample_drive()) + trust_section(map, sample_drive(), true);
  EXPECT_NE(section.find("Not to be used: only 30 % of the returns"), std::string::npos);
  EXPECT_NE(section.find("What now: look for what is wrong"), std::string::npos);
  EXPECT_EQ(section.find("believed"), std::string::npos);
  EXPECT_NE(section.find("come from a simulated drive"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
