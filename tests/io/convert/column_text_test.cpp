#include "io/convert/column_text.hpp"

#include <gtest/gtest.h>

#include "tests/io/convert/made_room_log.hpp"

namespace wainscot {
namespace {

TEST(ColumnText, NumbersAreCalledColumns) {
  EXPECT_EQ(name_text("12"), "column 12");
  EXPECT_EQ(name_text("enc_l"), "enc_l");
}

TEST(ColumnText, MessageAndFileWhereTheyTellApart) {
  RecordKind kind;
  kind.columns = {made_column("2", {}), made_column("left", {})};
  LogSample sample = made_sample({kind});
  EXPECT_EQ(column_text(sample, 0, 0, 0), "column 2");
  sample.files[0].kinds[0].columns[0].label = "L";  // "L=1204" in each line
  EXPECT_EQ(column_text(sample, 0, 0, 0), "column 2 (L)");
  sample.files[0].kinds[0].choice.message = "W";
  EXPECT_EQ(column_text(sample, 0, 0, 1), "left of W");
  sample.files.push_back(sample.files[0]);
  EXPECT_EQ(column_text(sample, 1, 0, 1), "left of W in robot.log");
}

TEST(ColumnText, FormsOfFiles) {
  LogFile file;
  file.separator = Separator::tab;
  file.header = true;
  EXPECT_EQ(form_text(file), "a table, separated by tabs, with a header");
  file.form = LineForm::json;
  EXPECT_EQ(form_text(file), "JSON lines");
}

}  // namespace
}  // namespace wainscot
