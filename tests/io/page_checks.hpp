#pragma once

// What tests ask of every page.

#include <cstddef>
#include <cstdlib>
#include <string>

#include "tests/io/reader_folder.hpp"

namespace wainscot {

/// Read by libxml2, which tells of any tag left open, attribute unquoted or character not escaped.
inline bool is_well_formed(const std::string& page) {
  const ReaderFolder folder;
  const std::string file = folder.write("page.html", page).string();
  return std::system(("xmllint --noout --nonet '" + file + "'").c_str()) == 0;
}

/// How often a part stands in a page.
inline std::size_t count(const std::string& text, const std::string& part) {
  std::size_t times = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++times;
  return times;
}

}  // namespace wainscot
