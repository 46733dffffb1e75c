#include "apps/laid_tapes.hpp"

#include <fstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class LaidTapes : public testing::Test {
 protected:
  std::vector<LaidTape> read(const std::string& text) {
    const std::filesystem::path file = folder_.path() / "tapes.csv";
    std::ofstream(file) << text;
    return laid_tapes(file, 0.003, warnings_);
  }
  ReaderFolder folder_;
  std::vector<std::string> warnings_;
};

TEST_F(LaidTapes, AreTheRowsThatSayWhatATapeMeasured) {
  const std::vector<LaidTape> tapes =
      read("name,x1_m,y1_m,x2_m,y2_m,tape_m\nhall,0,1,4,1,4.012\nsill,0,0,1,0,\nroom,0,0,0,3,3.001\n");
  ASSERT_EQ(tapes.size(), 2U);
  EXPECT_EQ(tapes[1].name, "room");
  EXPECT_EQ(tapes[1].tape.to_m, Eigen::Vector2d(0.0, 3.0));
  EXPECT_EQ(tapes[1].tape_m, 3.001);
  EXPECT_EQ(tapes[1].tape_sd_m, 0.003);
}

TEST_F(LaidTapes, AListWithoutATapesWordIsRefused) {
  for (const char* text :
       {"name,x1_m,y1_m,x2_m,y2_m\nhall,0,1,4,1\n", "name,x1_m,y1_m,x2_m,y2_m,tape_m\nhall,0,1,4,1,\n"}) {
    try {
      read(text);
      ADD_FAILURE() << text;
    } catch (const InputError& error) {
      EXPECT_NE(std::string(error.what()).find("tapes.csv: no row says in a column tape_m"), std::string::npos);
    }
  }
}

TEST_F(LaidTapes, TheOptionTakesMetresOnly) {
  double sd_m = 0.002;
  CLI::App app;
  add_tape_sd(app, sd_m);
  app.parse("--tape-sd 0.004");
  EXPECT_EQ(sd_m, 0.004);
  EXPECT_THROW(app.parse("--tape-sd 3mm"), CLI::ValidationError);
  EXPECT_THROW(app.parse("--tape-sd 0"), CLI::ValidationError);
}

}  // namespace
}  // namespace wainscot
