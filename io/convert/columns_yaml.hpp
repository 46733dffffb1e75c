#pragma once

// columns.yaml: where in a robot's own logs what stands (io/FORMATS.md).

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "io/convert/log_columns.hpp"

namespace wainscot {

/// Reads a columns.yaml. Throws `InputError` with the file, the line, the key, and what to write instead.
LogColumns read_columns_yaml(const std::filesystem::path& path);

/// The same from text in memory; `name` is the file as messages name it.
LogColumns parse_columns_yaml(std::string_view text, const std::string& name);

/// Lines that stand as comments above a section ("wheels", "scans" ...; "": at the top), without the `#`.
using ColumnNotes = std::map<std::string, std::vector<std::string>>;

/// A columns.yaml that gives the same when it is read.
std::string columns_yaml_text(const LogColumns& columns, const ColumnNotes& notes = {});

}  // namespace wainscot
