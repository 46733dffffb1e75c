#pragma once

#include <string>
#include <string_view>

#include "core/drive.hpp"
#include "graph/map.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// `text` made safe for an HTML element or a quoted attribute; control characters become U+FFFD.
std::string html_text(std::string_view text);

/// The text of report.html: one page for people that loads nothing from anywhere, with the map as an embedded PNG, both
/// paths over it, figures, constants, closures, warnings and cautions. Needs no script; light and dark.
/// Well-formed as XML too, so that any XML tool can check or read it.
std::string report_page(const Map& map, const Drive& drive, const MapOrigin& origin);

}  // namespace wainscot
