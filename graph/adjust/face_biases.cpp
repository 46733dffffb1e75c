#include "graph/adjust/face_biases.hpp"

#include <algorithm>
#include <cmath>

namespace wainscot {

double found_face_bias_sd_m(const Eigen::VectorXd& solution, const UnknownLayout& layout, const NormalFactor& factor,
                            double sd_m) {
  constexpr std::int32_t kEnough = 10;  // their scatter is good to a quarter: 1 / sqrt(2 * 10)
  constexpr std::int32_t kMost = 200;   // and to a twentieth, which is good enough
  constexpr double kBound = 2.5;        // as of kBoundedOne, graph/bounded_squares.hpp
  const std::int32_t count = std::min(layout.faces, kMost);
  if (count < kEnough) return sd_m;
  const Eigen::VectorXd variances = factor.covariance(layout.face(0), count).diagonal();
  double sum = 0.0;
  for (std::int32_t f = 0; f < count; ++f) {
    const double bias_m = std::min(std::abs(solution[layout.face(f)]), kBound * sd_m);
    sum += bias_m * bias_m + variances[f];
  }
  return std::sqrt(sum / count);
}

}  // namespace wainscot
