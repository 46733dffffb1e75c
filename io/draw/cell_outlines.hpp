#pragma once

// The borders of marked cells of a raster as closed polygons, for pictures made of lines.

#include <cstdint>
#include <vector>

#include <Eigen/Core>

namespace wainscot {

/// Corners of one border, in cells from the raster's lower left corner; the last is joined to the first.
using CellOutline = std::vector<Eigen::Vector2i>;

/// Borders of the marked cells, row by row from the lowest: outer ones counter-clockwise, holes clockwise, so that both
/// fill rules of SVG fill just the marked cells. Cells that touch at a corner only have borders of their own.
/// `marked.size()` must be columns * rows.
std::vector<CellOutline> cell_outlines(const std::vector<bool>& marked, std::int32_t columns, std::int32_t rows);

}  // namespace wainscot
