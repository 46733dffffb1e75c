#pragma once

// What measured runs leave open, as the runs that would show it.

#include <string>
#include <vector>

#include <Eigen/Core>

#include "graph/calibrate/run_equations.hpp"

namespace wainscot {

/// One phrase for each run that is missing, "a straight of 2 m with forward_m"; empty where the runs determine all
/// constants. `start`: where the equations are linearised.
std::vector<std::string> missing_runs(const RunEquations& equations, const Eigen::VectorXd& start);

/// Throws `PoorData` with the runs that are missing.
void refuse_missing_runs(const RunEquations& equations, const Eigen::VectorXd& start);

}  // namespace wainscot
