#pragma once

#include <string>

#include "graph/mapping/map_verdict.hpp"

namespace wainscot {

/// "good, to navigate by: ...", "usable, but ..." or "not to be used: ...", one sentence with its full stop.
std::string verdict_sentence(const MapVerdict& verdict);

}  // namespace wainscot
