#pragma once

// How the lines of a log are cut, by the lines themselves: JSON or a table, what separates, whether a header is there.

#include <string>
#include <vector>

#include "io/convert/log_columns.hpp"

namespace wainscot {

struct LineFormGuess {
  LogFile file;  ///< `name` is left empty
  /// What may name the columns where the table has no header: a comment just before the first row with as many cells.
  std::vector<std::string> labels;
};

/// `lines`: the first lines of the log, comments and blank lines included; some hundred tell it.
LineFormGuess guess_line_form(const std::vector<std::string>& lines);

}  // namespace wainscot
