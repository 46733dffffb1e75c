#include "io/grid/grid_reader.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/grid/grid_writer.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

class GridReader : public testing::Test {
 protected:
  GridReader() {
    folder_.write("grid.pgm", grid_pgm(map_.grid));
    folder_.write("grid.yaml", grid_yaml(map_.grid.frame, {}, sample_drive(), sample_origin()));
  }
  const Map map_ = sample_map();
  ReaderFolder folder_;
};

TEST_F(GridReader, GivesBackWhatWasWritten) {
  const OccupancyGrid grid = read_grid(folder_.path());
  EXPECT_EQ(grid.frame.first_column, -37);
  EXPECT_EQ(grid.frame.first_row, 4);
  EXPECT_EQ(grid.frame.columns, 3);
  EXPECT_DOUBLE_EQ(grid.frame.cell_size_m, 0.05);
  ASSERT_EQ(grid.probability.size(), map_.grid.probability.size());
  for (std::size_t i = 0; i < grid.probability.size(); ++i) {
    if (std::isnan(map_.grid.probability[i])) {
      EXPECT_TRUE(std::isnan(grid.probability[i]));
    } else {
      EXPECT_NEAR(grid.probability[i], map_.grid.probability[i], 1.01 / 510.0);
    }
  }
}

TEST_F(GridReader, RefusesFilesThatDoNotFit) {
  folder_.write("grid.pgm", "P5\n1 1\n255\nx");
  EXPECT_THROW(read_grid(folder_.path()), InputError);
  folder_.remove("grid.pgm");
  EXPECT_THROW(read_grid(folder_.path()), InputError);
  for (const char* form : {"wainscot_map: 0\n", "wainscot_map: 2\n"}) {
    folder_.write("grid.yaml", form);
    EXPECT_THROW(read_grid(folder_.path()), InputError);
  }
  folder_.write("grid.yaml", "wainscot_map: [\n");
  EXPECT_THROW(read_grid(folder_.path()), InputError);
  folder_.write("grid.yaml", "");
  EXPECT_THROW(read_grid(folder_.path()), InputError);
  folder_.remove("grid.yaml");
  EXPECT_THROW(read_grid(folder_.path()), InputError);
}

TEST_F(GridReader, RefusesASidecarThatNoMapHas) {
  const auto said_of = [this](const std::string& from, const std::string& to) {
    std::string yaml = grid_yaml(map_.grid.frame, {}, sample_drive(), sample_origin());
    const std::size_t at = yaml.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    folder_.write("grid.yaml", yaml.replace(at, from.size(), to));
    try {
      read_grid(folder_.path());
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  EXPECT_NE(said_of("cell_size_m: 0.05", "cell_size_m: -0.05").find("cell_size_m is not"), std::string::npos);
  EXPECT_NE(said_of("x_m: -1.85", "x_m: .nan").find("x_m of lower_left_corner is no place"), std::string::npos);
  EXPECT_NE(said_of("x_m: -1.85", "x_m: 1e300").find("x_m of lower_left_corner is no place"), std::string::npos);
  EXPECT_NE(said_of("occupied: 0", "occupied: 255").find("levels.occupied is not 0"), std::string::npos);
  EXPECT_NE(said_of("rows: 2", "rows: two").find("a key of it is damaged"), std::string::npos);
  EXPECT_NE(said_of("wainscot_map: 1", "map: 1").find("has no wainscot_map"), std::string::npos);
  EXPECT_EQ(said_of("rows: 2", "rows: 2"), "");
}

TEST_F(GridReader, ReadsTheRasterThatLiesBesideItsSidecar) {
  const std::string yaml = grid_yaml(map_.grid.frame, {}, sample_drive(), sample_origin());
  const auto said_of = [this, &yaml](const std::string& from, const std::string& to) {
    folder_.write("grid.yaml", std::string(yaml).replace(yaml.find(from), from.size(), to));
    try {
      read_grid(folder_.path());
    } catch (const InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  for (const char* raster : {"/dev/zero", "../grid.pgm", "./grid.pgm", ".", "..", "\"\""}) {
    EXPECT_NE(
        said_of("raster: grid.pgm", std::string("raster: ") + raster).find("which is no name of a file beside it"),
        std::string::npos)
        << raster;
  }
  EXPECT_NE(said_of("columns: 3", "columns: 0").find("has 0 columns and 2 rows"), std::string::npos);
  EXPECT_NE(said_of("columns: 3", "columns: 2000000000").find("400 million cells at most"), std::string::npos);
  EXPECT_NE(said_of("columns: 3", "columns: 2").find("is not the picture that grid.yaml describes, of 2 columns"),
            std::string::npos);
  // As an editor of pictures may write it.
  std::string picture = grid_pgm(map_.grid);
  folder_.write("grid.pgm", picture.replace(0, 3, "P5\n# edited\n#\n"));
  EXPECT_EQ(said_of("columns: 3", "columns: 3"), "");
  folder_.write("grid.pgm", picture + std::string(100'000, 'x'));
  EXPECT_NE(said_of("columns: 3", "columns: 3").find("such a file has 10006 at most"), std::string::npos);
}

// OpenCV would say on standard error that the file ends too early, beside the one sentence.
TEST_F(GridReader, SaysNothingItselfOfACutRaster) {
  const std::string whole = grid_pgm(map_.grid);
  folder_.write("grid.pgm", whole.substr(0, whole.size() - 1));
  testing::internal::CaptureStderr();
  EXPECT_THROW(read_grid(folder_.path()), InputError);
  EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
}

TEST_F(GridReader, NamesALineThatIsThere) {
  folder_.write("grid.yaml", "");
  try {
    read_grid(folder_.path());
    FAIL();
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("grid.yaml:1: "), std::string::npos) << error.what();
  }
}

}  // namespace
}  // namespace wainscot
