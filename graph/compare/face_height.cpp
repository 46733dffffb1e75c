#include "graph/compare/face_height.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace wainscot {

std::optional<FaceHeight> height_of_face(std::span<const WallPiece> pieces, const Eigen::Vector2d& point,
                                         const Eigen::Vector2d& normal, const FaceHeightOptions& options) {
  struct Height {
    double value_m;
    double weight;
    double sd_m;
  };
  std::vector<Height> heights;
  double all = 0.0;
  for (const WallPiece& piece : pieces) {
    const Eigen::Vector2d n(std::cos(piece.normal_rad), std::sin(piece.normal_rad));
    const Eigen::Vector2d away = piece.middle_m - point;
    const double along = std::abs(normal.x() * away.y() - normal.y() * away.x());
    const double height = normal.dot(away);
    if (piece.nodes >= options.least_nodes && n.dot(normal) > 0.99 && std::abs(height) < options.across_m &&
        along < options.beside_m) {
      heights.push_back({height, 1.0 / (piece.sd_m * piece.sd_m), piece.sd_m});
      all += heights.back().weight;
    }
  }
  // The weighted median tells this face from a step or a skirting beside it.
  std::sort(heights.begin(), heights.end(), [](const Height& a, const Height& b) { return a.value_m < b.value_m; });
  double below = 0.0;
  const auto median = std::find_if(heights.begin(), heights.end(), [&](const Height& height) {
    below += height.weight;
    return below >= 0.5 * all;
  });
  if (median == heights.end()) {
    return std::nullopt;
  }
  double sum = 0.0;
  double weights = 0.0;
  for (const Height& height : heights) {
    if (std::abs(height.value_m - median->value_m) <= options.same_face_m) {
      sum += height.weight * height.value_m;
      weights += height.weight;
    }
  }
  return FaceHeight{sum / weights, median->sd_m, weights / all};
}

}  // namespace wainscot
