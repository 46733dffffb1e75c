#include "io/convert/table_line.hpp"

#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

using Cells = std::vector<std::string_view>;

Cells cut(std::string_view line, Separator separator) {
  Cells cells = {"what was there before"};
  cut_line(line, separator, cells);
  return cells;
}

TEST(TableLine, CellsWithoutTheSpacesAroundThem) {
  EXPECT_EQ(cut("1, 2 ,\t3", Separator::comma), (Cells{"1", "2", "3"}));
  EXPECT_EQ(cut("1;2,5;;", Separator::semicolon), (Cells{"1", "2,5", "", ""}));
  EXPECT_EQ(cut("a\t b c\t\td", Separator::tab), (Cells{"a", "b c", "", "d"}));
  EXPECT_EQ(cut("  W  12\t 3 ", Separator::blanks), (Cells{"W", "12", "3"}));
  EXPECT_EQ(cut("", Separator::comma), (Cells{""}));
  EXPECT_EQ(cut(" ", Separator::blanks), (Cells{}));
}

TEST(TableLine, QuotedCells) {
  EXPECT_EQ(cut(R"("a,b", "c" ,d)", Separator::comma), (Cells{"a,b", "c", "d"}));
  EXPECT_EQ(cut(R"("say ""no""",2)", Separator::comma), (Cells{R"(say ""no"")", "2"}));
  EXPECT_EQ(cut(R"("never ends,2)", Separator::comma), (Cells{R"("never ends)", "2"}));
  EXPECT_EQ(cut(R"(W "left wheel" 3)", Separator::blanks), (Cells{"W", "left wheel", "3"}));
  EXPECT_EQ(cut(R"(a"b,c)", Separator::comma), (Cells{R"(a"b)", "c"}));
}

TEST(TableLine, CommentsAndBlankLinesAreNoRows) {
  EXPECT_TRUE(is_no_row(""));
  EXPECT_TRUE(is_no_row(" \t"));
  EXPECT_TRUE(is_no_row("  # 1,2"));
  EXPECT_FALSE(is_no_row("1,2 # 3"));
}

}  // namespace
}  // namespace wainscot
