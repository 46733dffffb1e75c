#include "io/convert/column_words.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(ColumnWords, TimeInSeveralLanguages) {
  for (const char* name : {"t", "time_ms", "Zeit", "timeStamp", "horodatage", "tiempo", "tid"})
    EXPECT_TRUE(is_time_word(name)) << name;
  for (const char* name : {"turn", "left", "tilt", ""}) EXPECT_FALSE(is_time_word(name)) << name;
}

TEST(ColumnWords, WhereATurnBegins) {
  EXPECT_TRUE(is_begin_word("start_deg"));
  EXPECT_TRUE(is_begin_word("scan.Anfangswinkel"));
  EXPECT_FALSE(is_begin_word("step"));
}

TEST(ColumnWords, LeftAndRight) {
  EXPECT_EQ(left_before_right("left_ticks", "right_ticks"), 1);
  EXPECT_EQ(left_before_right("enc_r", "enc_l"), -1);
  EXPECT_EQ(left_before_right("wl", "wr"), 1);
  EXPECT_EQ(left_before_right("roue_gauche", "roue_droite"), 1);
  EXPECT_EQ(left_before_right("linksRad", "rechtsRad"), 1);
  EXPECT_EQ(left_before_right("data.rueda_derecha", "data.rueda_izquierda"), -1);
  EXPECT_EQ(left_before_right("m1", "m2"), 0);
  EXPECT_EQ(left_before_right("", ""), 0);
  EXPECT_EQ(left_before_right("bar", "baz"), 0);
}

}  // namespace
}  // namespace wainscot
