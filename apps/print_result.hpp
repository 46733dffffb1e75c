#pragma once

#include <string_view>

namespace wainscot {

/// To standard output, at once and whole, so that what is said on standard error meanwhile stands before or after it,
/// never in the middle of one of its lines. A failure is told at the program's end.
void print_result(std::string_view text);

}  // namespace wainscot
