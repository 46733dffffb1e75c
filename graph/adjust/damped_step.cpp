#include "graph/adjust/damped_step.hpp"

#include <utility>

namespace wainscot {

DampedStep damped_step(NormalFactor& factor, double cost_before,
                       const std::function<double(const Eigen::VectorXd& step)>& cost_at,
                       const DampingOptions& options) {
  DampedStep result;
  result.cost_before = cost_before;
  double damping = 0.0;
  for (int tried = 0; tried <= options.most_dampings; ++tried) {
    if (factor.factorise(damping)) {
      Eigen::VectorXd step = factor.solution();
      if (step.allFinite()) {
        const double cost = cost_at(step);
        // Written so that a cost that is not a number fails.
        if (cost <= cost_before * (damping == 0.0 ? 1.0 + options.most_rise : 1.0)) {
          result.end = StepEnd::taken;
          result.step = std::move(step);
          result.damping = damping;
          result.cost_after = cost;
          return result;
        }
        result.end = StepEnd::cost_rose;
      }
    }
    damping = damping == 0.0 ? options.first_damping : damping * options.growth;
  }
  return result;
}

}  // namespace wainscot
