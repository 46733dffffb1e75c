#include "io/convert/guess_text.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

const std::vector<GuessedItem> kItems = {
    {"unit of the ranges", "mm", "95 % lie below 4600", 99, {}, "scans"},
    {"left wheel", "3", "no name says which is which", 80, {"4"}, "wheels"},
};

TEST(GuessText, TellsReasonsOfDoubts) {
  const std::string table = guess_table(kItems);
  EXPECT_NE(table.find("sure, 99 %"), std::string::npos);
  EXPECT_NE(table.find("likely, 80 %"), std::string::npos);
  EXPECT_NE(table.find("no name says"), std::string::npos);
  EXPECT_NE(table.find("less likely: 4"), std::string::npos);
  EXPECT_EQ(table.find("4600"), std::string::npos);
}

TEST(GuessText, NotesStandAtTheirSections) {
  const ColumnNotes notes = guess_notes(kItems);
  ASSERT_EQ(notes.count("scans"), 1U);
  EXPECT_EQ(notes.at("scans").at(0), "unit of the ranges: mm (sure, 99 %)");
  EXPECT_EQ(notes.at("scans").at(1), "  95 % lie below 4600");
  EXPECT_EQ(notes.at("wheels").size(), 3U);
  EXPECT_FALSE(notes.at("").empty());
}

}  // namespace
}  // namespace wainscot
