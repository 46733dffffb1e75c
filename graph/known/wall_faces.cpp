#include "graph/known/wall_faces.hpp"

#include <algorithm>
#include <cmath>

namespace wainscot {

std::size_t face_of(const Eigen::Vector2d& normal, const Eigen::Vector2d& on_piece, std::vector<WallFace>& faces) {
  constexpr double kSameDirection = 0.985;  // 10 degrees: the slope of a piece of 0.3 m errs by three
  constexpr double kSameOffsetM = 0.10;     // of one wall whose direction errs by three degrees, 2 m apart
  const auto same = std::find_if(faces.begin(), faces.end(), [&](const WallFace& face) {
    return face.normal.dot(normal) > kSameDirection &&
           std::abs(face.normal.dot(on_piece) - face.offset_m) < kSameOffsetM;
  });
  const auto index = static_cast<std::size_t>(same - faces.begin());
  if (same == faces.end()) faces.push_back({normal, normal.dot(on_piece)});
  return index;
}

}  // namespace wainscot
