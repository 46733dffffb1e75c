#pragma once

// A sample's files and columns as people find them in their logs.

#include <cstddef>
#include <string>

#include "io/convert/log_sample.hpp"

namespace wainscot {

/// A name as people read it: a table's column without one has its number.
std::string name_text(const std::string& name);

/// A column: its name, what the log calls it beside that, its message, its file where there are several. `kind` is an
/// index into the file's kinds.
std::string column_text(const LogSample& sample, std::size_t file, std::size_t kind, std::size_t column);

/// How a file is cut: "a table, separated by commas, with a header".
std::string form_text(const LogFile& file);

}  // namespace wainscot
