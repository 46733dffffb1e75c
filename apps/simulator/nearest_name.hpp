#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace wainscot::simulator {

/// The known name that takes the fewest changed, added, left-out or swapped letters to reach (F. J. Damerau,
/// Communications of the ACM 7(3), 1964). `known` must not be empty.
std::string nearest_name(std::string_view name, const std::vector<std::string_view>& known);

}  // namespace wainscot::simulator
