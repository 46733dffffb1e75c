#include "io/log/line_reader.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class LineReaderTest : public testing::Test {
 protected:
  std::vector<FollowedStretch> followed(const std::string& text) {
    FileReader file(folder_.write("followed.csv", text));
    return read_followed(file, warnings_);
  }
  std::vector<MeasuredLine> survey(const std::string& text) {
    FileReader file(folder_.write("line_map.csv", text));
    return read_line_map(file, warnings_);
  }

  ReaderFolder folder_;
  std::vector<std::string> warnings_;
};

TEST_F(LineReaderTest, StretchesInTheOrderOfTheirBegins) {
  const auto stretches = followed("line,to_s,from_s,sd_m\nhall,15.5,12.25,0.004\nhall,4,3,\n");
  ASSERT_EQ(stretches.size(), 2u);
  EXPECT_EQ(stretches[0].from_s, 3.0);
  EXPECT_EQ(stretches[0].to_s, 4.0);
  EXPECT_EQ(stretches[0].sd_m, 0.01);
  EXPECT_EQ(stretches[1].from_s, 12.25);
  EXPECT_EQ(stretches[1].line, "hall");
  EXPECT_EQ(stretches[1].sd_m, 0.004);
  EXPECT_EQ(followed("from_s,to_s,line\n1,2,a\n").front().sd_m, 0.01);
}

TEST_F(LineReaderTest, ARowThatWasCutIsDropped) {
  EXPECT_EQ(followed("from_s,to_s,line\n1,2,kitchen\n3,4,kit").size(), 1u);
  EXPECT_EQ(warnings_.size(), 1u);
}

TEST_F(LineReaderTest, TheSurveyMayLackTheLastLineEnd) {
  const auto lines = survey("line,x1_m,y1_m,x2_m,y2_m\na,5300000.25,1,5300004,1\nb,0,0,0,-3");
  ASSERT_EQ(lines.size(), 2u);
  EXPECT_EQ(lines[0].x1_m, 5300000.25);
  EXPECT_EQ(lines[1].line, "b");
  EXPECT_EQ(lines[1].y2_m, -3.0);
}

TEST_F(LineReaderTest, Refusals) {
  EXPECT_THROW(followed("from_s,to_s,line\n2,2,a\n"), InputError);
  EXPECT_THROW(followed("from_s,to_s,line\n1,2,\n"), InputError);
  EXPECT_THROW(followed("from_s,to_s,line,sd_m\n1,2,a,0\n"), InputError);
  EXPECT_THROW(followed("from_s,to_s,line,sd_m\n1,2,a,10\n"), InputError);  // millimetres
  EXPECT_THROW(followed("from_s,to_s,line\n1,1e12,a\n"), InputError);
  EXPECT_THROW(survey("line,x1_m,y1_m,x2_m,y2_m\na,0,0,1,0\na,0,0,1,0\n"), InputError);
  EXPECT_THROW(survey("line,x1_m,y1_m,x2_m,y2_m\na,0,0,0.05,0.05\n"), InputError);
  EXPECT_THROW(survey("line,x1_m,y1_m,x2_m,y2_m\na,0,0,1,\n"), InputError);
}

}  // namespace
}  // namespace wainscot
