#pragma once

// The wall pieces taken out of the normal equations and, once the rest is solved, put where they then lie: Schur
// complement and back substitution, as in bundle adjustment (Triggs et al. 2000, section 6.1; see
// joint_adjustment.hpp).

#include <vector>

#include <Eigen/Core>

#include "graph/adjust/unknown_layout.hpp"
#include "graph/adjust/wall_equations.hpp"
#include "graph/normal_system.hpp"

namespace wainscot {

/// Adds all returns and the biases' priors to the system of the other unknowns, the pieces eliminated.
void add_walls(const WallEquations& equations, const WallFaces& faces, const UnknownLayout& layout,
               const WallModel& model, NormalSystem& system);

/// Sets offset, slope and range bias of each piece of `walls` by the solution of that system.
void move_pieces(const WallEquations& equations, const UnknownLayout& layout, const WallModel& model,
                 const Eigen::VectorXd& step, PairedWalls& walls);

/// Variance of each piece's offset, the other unknowns held: by its returns, and by what its own range bias may still
/// be. Large for pieces that one node alone has seen.
std::vector<double> piece_variances_m2(const WallEquations& equations, const WallFaces& faces, const WallModel& model);

}  // namespace wainscot
