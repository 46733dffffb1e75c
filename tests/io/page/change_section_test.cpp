#include "io/page/change_section.hpp"

#include <string>

#include <gtest/gtest.h>

#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

TEST(ChangeSection, TellsDoorsFromOtherThings) {
  const std::string section = change_section(sample_map().changes);
  EXPECT_NE(section.find(R"(<tr><td>door</td><td class="n">1.00, 2.00</td><td class="n">1.00, 2.80</td>)"
                         R"(<td class="n">0.80 m</td><td class="n">4</td><td class="n">3</td></tr>)"),
            std::string::npos);
  EXPECT_NE(section.find("<td>other thing</td>"), std::string::npos);
  EXPECT_EQ(section.find("between the drives"), std::string::npos);
}

TEST(ChangeSection, WhatALaterDriveSawOtherwiseStandsApart) {
  std::vector<Change> changes = sample_map_of_two().changes;
  const std::string both = change_section(changes);
  EXPECT_LT(both.find("What changed during the drive"), both.find("What changed between the drives"));
  changes.erase(changes.begin(), changes.begin() + 2);
  const std::string between = change_section(changes);
  EXPECT_EQ(between.find("What changed during the drive"), std::string::npos);
  EXPECT_NE(between.find("<td>there since drive 2</td>"), std::string::npos);
  EXPECT_NE(between.find("<td>gone since drive 2</td>"), std::string::npos);
}

TEST(ChangeSection, NothingChangedNothingSaid) { EXPECT_EQ(change_section({}), ""); }

}  // namespace
}  // namespace wainscot
