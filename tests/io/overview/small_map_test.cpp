#include "io/overview/small_map.hpp"

#include <vector>

#include <gtest/gtest.h>
#include <opencv2/imgcodecs.hpp>

#include "core/errors.hpp"
#include "tests/io/overview/sample_jobs.hpp"

namespace wainscot {
namespace {

TEST(SmallMap, FitsItsSideAndKeepsItsWalls) {
  const ReaderFolder folder;
  write_sample_grid(folder.path());
  const std::string png = small_map_png(folder.path(), 96);
  const cv::Mat picture = cv::imdecode(std::vector<char>(png.begin(), png.end()), cv::IMREAD_UNCHANGED);
  ASSERT_EQ(picture.cols, 67);  // 200 cells, three a pixel
  ASSERT_EQ(picture.rows, 34);
  ASSERT_EQ(picture.type(), CV_8UC1);
  EXPECT_EQ(picture.at<unsigned char>(33, 30), 0) << "a wall of one cell";
  EXPECT_EQ(picture.at<unsigned char>(10, 30), 255);
  EXPECT_LT(png.size(), 400U);
}

TEST(SmallMap, RefusesWhatIsNoGrid) {
  const ReaderFolder folder;
  EXPECT_THROW(small_map_png(folder.path(), 96), InputError);
}

TEST(SmallMap, RefusesWhatIsTooLargeWithoutReadingIt) {
  const ReaderFolder folder;
  write_sample_grid(folder.path());
  std::filesystem::resize_file(folder.path() / "grid.pgm", 200'000'000);  // a hole, no bytes on the disk
  EXPECT_THROW(small_map_png(folder.path(), 96), InputError);
}

}  // namespace
}  // namespace wainscot
