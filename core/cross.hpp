#pragma once

#include <Eigen/Core>

namespace wainscot {

/// Of two vectors in the plane: twice the area of the triangle between them, positive where `b` lies to the left of
/// `a`.
inline double cross(const Eigen::Vector2d& a, const Eigen::Vector2d& b) { return a.x() * b.y() - a.y() * b.x(); }

}  // namespace wainscot
