#pragma once

#include <string>
#include <vector>

namespace wainscot {

/// A heading and below it the lines, indented: ten at most, then how many more there are, and `where`, as ": in the
/// CSV" behind "and 3 more". Empty where there are no lines.
std::string short_list(const std::string& heading, const std::vector<std::string>& lines, const std::string& where);

}  // namespace wainscot
