#pragma once

#include <string>
#include <string_view>

#include "graph/mapping/stage_traces.hpp"
#include "io/map_origin.hpp"

namespace wainscot {

/// The text of a page that steps through an explanation: self-contained, loads nothing from anywhere (its
/// Content-Security-Policy forbids it), runs its own script only. `drive_name`: any text. `matcher`: the matcher as
/// WebAssembly, or empty: then the page offers the precomputed matches and says so.
std::string explain_page(const DriveExplanation& explanation, const std::string& drive_name, const MapOrigin& origin,
                         std::string_view matcher);

/// The same with the matcher that this build of the program carries.
std::string explain_page(const DriveExplanation& explanation, const std::string& drive_name, const MapOrigin& origin);

}  // namespace wainscot
