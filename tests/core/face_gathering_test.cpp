#include "core/face_gathering.hpp"

#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include <gtest/gtest.h>

#include "core/log_odds.hpp"

namespace wainscot {
namespace {

/// A frame of 9 by 5 cells in which every column was hit alike: `hits` and the beams' direction along y, row by row.
class Wall {
 public:
  Wall(std::vector<std::uint32_t> hits, std::vector<float> along_y) {
    for (int row = 0; row < frame_.rows; ++row) {
      const auto r = static_cast<std::size_t>(row);
      for (int column = 0; column < frame_.columns; ++column) {
        hits_.push_back(hits[r]);
        direction_.emplace_back(0.0F, along_y[r] * static_cast<float>(hits[r]));
        crossed_.push_back(row < 2 ? 1 : 0);
        log_odds_.push_back(hits[r] > 0 ? 2.0F : -2.0F);
      }
    }
  }

  /// Of the middle column, row by row.
  std::vector<float> gathered() const {
    std::vector<float> probability;
    for (const float l : log_odds_) probability.push_back(probability_of(static_cast<double>(l)));
    gather_faces({frame_, hits_, direction_, crossed_, log_odds_}, options_, probability);
    std::vector<float> column;
    for (std::size_t row = 0; row < 5; ++row) column.push_back(probability[row * 9 + 4]);
    return column;
  }

  const RasteriserOptions& options() const { return options_; }

 private:
  RasteriserOptions options_;
  GridFrame frame_ = {0.05, 0, 0, 9, 5};
  std::vector<std::uint32_t> hits_;
  std::vector<Eigen::Vector2f> direction_;
  std::vector<std::uint8_t> crossed_;
  std::vector<float> log_odds_;
};

// Seen from below: rows 0 and 1 were crossed, nothing was seen behind the face.
TEST(FaceGathering, TheRowWithTheMostHitsTakesThoseBesideIt) {
  const Wall wall({0, 3, 20, 4, 0}, {1, 1, 1, 1, 1});
  const std::vector<float> column = wall.gathered();
  EXPECT_EQ(column[2], probability_of(2.0 + wall.options().hit_log_odds));
  EXPECT_EQ(column[1], probability_of(wall.options().prior_log_odds));  // was seen through as well
  EXPECT_TRUE(std::isnan(column[3]));
  EXPECT_EQ(column[0], probability_of(-2.0));  // has no hits of its own
}

TEST(FaceGathering, AFaceSeenFromTheOtherSideIsNoNoise) {
  const std::vector<float> column = Wall({0, 0, 20, 15, 0}, {1, 1, 1, -1, 1}).gathered();
  EXPECT_EQ(column[2], probability_of(2.0));
  EXPECT_EQ(column[3], probability_of(2.0));
}

TEST(FaceGathering, NothingOccupiedIsLeftAsItIs) {
  const std::vector<float> column = Wall({0, 0, 0, 0, 0}, {1, 1, 1, 1, 1}).gathered();
  EXPECT_EQ(column, std::vector<float>(5, probability_of(-2.0)));
}

}  // namespace
}  // namespace wainscot
