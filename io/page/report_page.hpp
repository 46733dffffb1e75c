#pragma once

#include <string>

#include "core/drives.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// The text of report.html: one page for people that loads nothing from anywhere. First the map with both paths as an
/// embedded PNG and SVG, how far to trust it and what to do about each warning; then loop candidates, residuals, what
/// changed, constants, each stage's figures and cautions. Map and figures need no script; with it (io/page/report.js,
/// fed by io/page/report_data) time can be moved, distances be measured and scans be laid over each other. Light and
/// dark. Well-formed as XML too, so that any XML tool can check or read it.
std::string report_page(const Map& map, Drives drives, const MapOrigin& origin);

}  // namespace wainscot
