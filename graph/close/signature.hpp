#pragma once

// A signature of a place that does not change when the robot turns and hardly when it stands a metre beside: how the
// pieces of wall lie to one another. It proposes which places might be the same where odometry cannot say; it proves
// nothing.
//
// Each ordered pair of wall pieces gives their distance and the angles of both normals to the line between them; the
// signature is the histogram of these: the shape distributions of R. Osada, T. Funkhouser, B. Chazelle, D. Dobkin,
// ACM Transactions on Graphics 21(4), 2002, with the point pair features of B. Drost, M. Ulrich, N. Navab, S. Ilic,
// CVPR 2010. The angles have signs, so that a mirrored place has another signature.

#include <array>
#include <cstddef>
#include <vector>

#include <Eigen/Core>

namespace wainscot {

/// A piece of wall in the frame of a place: its middle, and the unit normal to the side that was seen.
struct WallElement {
  Eigen::Vector2d middle_m;
  Eigen::Vector2d normal;
};

class Signature {
 public:
  /// From a few dozen elements, about 0.3 m long each; those further than 10 m from the origin are left out.
  explicit Signature(const std::vector<WallElement>& elements);

  /// How alike two places are, 0 .. 1 (the Bhattacharyya coefficient of the two histograms); 0 where one has none.
  double likeness(const Signature& other) const;

  /// The turns that bring the other place's walls parallel to these, radians, the best first: headings of the other
  /// place's frame in this one's. At most `most`; rooms of right angles have four.
  std::vector<double> turns_to(const Signature& other, std::size_t most) const;

 private:
  /// Adds both orders of a pair; false where they are too near or too far apart to count.
  bool add_pair(const WallElement& a, const WallElement& b);

  // Bins of a metre and of 60 degrees, shared between neighbours, chosen by hand: half as many confuse more rooms,
  // twice as many have too few pairs in each for two views of one room to look alike.
  static constexpr int kDistances = 10;
  static constexpr int kAngles = 6;
  static constexpr int kDirections = 120;  ///< of 3 degrees

  std::array<float, static_cast<std::size_t>(kDistances* kAngles* kAngles)> roots_{};  ///< of the histogram's shares
  std::array<float, static_cast<std::size_t>(kDirections)> directions_{};  ///< how much wall faces each direction
};

}  // namespace wainscot
