#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace wainscot {

/// A page's form with values for its words between @ signs, in one pass: a value with an @ is not read again.
std::string filled_form(std::string_view form, const std::vector<std::pair<std::string_view, std::string>>& values);

}  // namespace wainscot
