#include "graph/close/place_signatures.hpp"

#include <vector>

#include <gtest/gtest.h>

#include "tests/graph/scene.hpp"

namespace wainscot {
namespace {

TEST(PlaceSignatures, AreThoseOfThePlacesAndMadeOnce) {
  const std::vector<Pose2> poses{{-1.0, -0.5, 0.3}, {-0.5, -0.4, 0.5}, {0.0, -0.2, 0.9}};
  std::vector<Keyframe> keyframes;
  for (std::size_t i = 0; i < poses.size(); ++i) keyframes.push_back(keyframe_at(crooked_room(), poses[i], i));
  const std::vector<double> ways = ways_of(poses);
  const SeenPath path{keyframes, poses, ways, {0.005, 0.0}};
  PlaceSignatures signatures(path);
  const Signature& last = signatures.of(2);
  EXPECT_NEAR(last.likeness(place_signature(path, 2)), 1.0, 1e-5);
  EXPECT_NEAR(signatures.of(0).likeness(place_signature(path, 0)), 1.0, 1e-5);
  EXPECT_EQ(&signatures.of(2), &last);
  EXPECT_GT(signatures.of(0).likeness(last), 0.5);
}

}  // namespace
}  // namespace wainscot
