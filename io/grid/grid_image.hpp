#pragma once

// The grid as an image for other programs, and the world file that says where the image lies.

#include <string>

#include "core/occupancy_grid.hpp"
#include "io/grid/grid_writer.hpp"

namespace wainscot {

enum class ImageKind { png, tif, pgm };

/// "png", "tif", "pgm": the ending of the file's name.
const char* image_ending(ImageKind kind);

/// The bytes of a grey picture of eight bits, a pixel a cell, the top row the largest y.
std::string grid_image(const OccupancyGrid& grid, const GreyLevels& levels, ImageKind kind);

/// The common six lines: the size of a cell along x, two turns (0: rows run along the map frame's x axis), the size
/// along y (negative: rows go down), then x and y of the middle of the upper left cell, all in metres of the map frame.
/// Source: GDAL, "World file" in the documentation of its raster drivers.
std::string world_file(const GridFrame& frame);

/// The ending by which other programs find it beside an image: "pgw" of a PNG, "tfw" of a TIFF, "wld" of a PGM.
const char* world_file_ending(ImageKind kind);

}  // namespace wainscot
