#pragma once

#include <string>
#include <vector>

#include "io/overview/overview.hpp"

namespace wainscot {

/// For people: how many maps and how good; what failed, each with its sentence; drives that differ from their sisters,
/// and robots that changed; medians and the worst of how sure and how right the maps are. Ten lines of a kind at most.
std::string overview_text(const Overview& overview);

/// What changed from drive to drive, a sentence each without its full stop, robot by robot.
std::vector<std::string> change_sentences(const Overview& overview);

/// "10 maps: 7 good, 2 usable, 1 not to be used; 1 drive failed, 1 damaged", without its full stop.
std::string counts_sentence(const OverviewCounts& counts);

}  // namespace wainscot
