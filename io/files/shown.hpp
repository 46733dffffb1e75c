#pragma once

#include <filesystem>
#include <string>
#include <system_error>

#include "io/spelling.hpp"

namespace wainscot {

/// A file's name for a message: whole, but for what no terminal should be sent.
inline std::string shown(const std::filesystem::path& path) { return printable(path.string(), 300); }

/// The last part of its name, for titles: also of "." and of a link.
inline std::string folder_name(const std::filesystem::path& folder) {
  std::error_code error;
  const std::filesystem::path whole = std::filesystem::weakly_canonical(folder, error);
  return printable((error ? folder : whole).filename().string(), 100);
}

}  // namespace wainscot
