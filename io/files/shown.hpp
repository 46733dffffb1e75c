#pragma once

#include <filesystem>
#include <string>

#include "io/spelling.hpp"

namespace wainscot {

/// A file's name for a message: whole, but for what no terminal should be sent.
inline std::string shown(const std::filesystem::path& path) { return printable(path.string(), 300); }

}  // namespace wainscot
