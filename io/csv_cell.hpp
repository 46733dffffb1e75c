#pragma once

#include <string>

namespace wainscot {

/// A text as one cell of a table of comma-separated values: quoted where it holds a comma, a quotation mark or the end
/// of a line (RFC 4180, 2.5 to 2.7).
std::string csv_cell(const std::string& text);

}  // namespace wainscot
