#pragma once

// Polygons of the plane: corners in their order, the last joined to the first.

#include <cstddef>
#include <optional>
#include <span>
#include <utility>

#include <Eigen/Core>

namespace wainscot {

/// Positive where the corners run counter-clockwise. A polygon that crosses itself has no area that means anything.
double signed_area(std::span<const Eigen::Vector2d> corners);

/// Whether the point lies inside; points on an edge may go either way.
bool contains(std::span<const Eigen::Vector2d> corners, const Eigen::Vector2d& point);

/// Two edges that are not neighbours and meet, or two neighbours that lie on one another: the numbers of their first
/// corners, the lower first. nullopt: the polygon does not cross itself. A corner that stands twice in a row counts as
/// crossing. Takes the square of the number of corners.
std::optional<std::pair<std::size_t, std::size_t>> crossing_edges(std::span<const Eigen::Vector2d> corners);

}  // namespace wainscot
