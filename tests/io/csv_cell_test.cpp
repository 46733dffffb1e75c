#include "io/csv_cell.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(CsvCell, QuotesWhatWouldBeSeveralCells) {
  EXPECT_EQ(csv_cell("kitchen"), "kitchen");
  EXPECT_EQ(csv_cell("kitchen, hall"), "\"kitchen, hall\"");
  EXPECT_EQ(csv_cell("the \"old\" hall"), "\"the \"\"old\"\" hall\"");
  EXPECT_EQ(csv_cell("a\nb"), "\"a\nb\"");
  EXPECT_EQ(csv_cell(""), "");
}

}  // namespace
}  // namespace wainscot
