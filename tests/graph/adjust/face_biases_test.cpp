#include "graph/adjust/face_biases.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

/// Steps of the rule, each with the equations of the last one's result, for faces whose biases scatter by `truly_m` and
/// are measured to `measured_m`.
double after_steps(double first_m, double truly_m, double measured_m, int steps, std::int32_t faces) {
  std::mt19937 random(1);
  std::normal_distribution<double> normal(0.0, 1.0);
  const UnknownLayout layout{2, faces};
  Eigen::VectorXd measured(faces);
  for (double& m : measured) m = truly_m * normal(random) + measured_m * normal(random);
  double sd_m = first_m;
  for (int i = 0; i < steps; ++i) {
    NormalSystem system(layout.size());
    for (Eigen::Index k = 0; k < layout.face(0); ++k) system.entry(k, k) = 1.0;
    for (std::int32_t f = 0; f < faces; ++f) {
      system.entry(layout.face(f), layout.face(f)) = 1.0 / (measured_m * measured_m) + 1.0 / (sd_m * sd_m);
      system.right_side<1>(layout.face(f))[0] = measured[f] / (measured_m * measured_m);
    }
    NormalFactor factor(system);
    EXPECT_TRUE(factor.factorise());
    sd_m = found_face_bias_sd_m(factor.solution(), layout, factor, sd_m);
  }
  return sd_m;
}

TEST(FaceBiases, ScatterIsFoundWhereTheyAreMeasured) {
  // Four standard deviations of a standard deviation by 150 faces.
  EXPECT_NEAR(after_steps(0.005, 0.002, 0.001, 10, 150), 0.002, 4.0 * 0.002 / std::sqrt(2.0 * 150.0) * 1.25);
  EXPECT_NEAR(after_steps(0.005, 0.010, 0.001, 10, 150), 0.010, 4.0 * 0.010 / std::sqrt(2.0 * 150.0));
}

TEST(FaceBiases, ScatterStaysAsSupposedWhereTheyAreNotMeasured) {
  EXPECT_NEAR(after_steps(0.005, 0.002, 1.0, 5, 150), 0.005, 1e-5);
  EXPECT_EQ(after_steps(0.005, 0.002, 0.001, 1, 9), 0.005) << "too few to tell";
}

}  // namespace
}  // namespace wainscot
