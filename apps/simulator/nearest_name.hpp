#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace wainscot::simulator {

/// The known name that takes the fewest changed, added or left-out letters to reach (V. Levenshtein, 1966). `known`
/// must not be empty.
std::string nearest_name(std::string_view name, const std::vector<std::string_view>& known);

}  // namespace wainscot::simulator
