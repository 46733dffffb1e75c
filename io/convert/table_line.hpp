#pragma once

// One line of a table, cut into its cells.

#include <string_view>
#include <vector>

#include "io/convert/log_columns.hpp"

namespace wainscot {

/// Whether a line is no row: blank, or a comment (`#`).
bool is_no_row(std::string_view line);

/// Cuts `line` into `cells`, views of it without the spaces and tabs around them. A cell in quotation marks is given
/// without them and may hold separators; a mark that is doubled inside stays so. A quotation mark that never ends
/// belongs to its cell. A blank line has one empty cell, but none where blanks separate.
void cut_line(std::string_view line, Separator separator, std::vector<std::string_view>& cells);

}  // namespace wainscot
