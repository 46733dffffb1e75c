#pragma once

// Words of a paragraph put into lines, for help and man pages.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace wainscot {

/// How many characters UTF-8 text has.
std::size_t characters(std::string_view text);

/// A paragraph in lines of at most `room` characters, which is more than 0; at least one line. Several blanks count as
/// one. A word that is too long is parted, behind a comma or the like where it can be.
std::vector<std::string> filled_lines(std::string_view paragraph, std::size_t room);

}  // namespace wainscot
