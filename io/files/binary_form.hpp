#pragma once

// Files that people hand over by mistake, by how they begin.

#include <string_view>

namespace wainscot {

inline constexpr std::string_view kByteOrderMark = "\xef\xbb\xbf";  ///< of UTF-8; skipped wherever text is read

/// What is wrong with a file that begins like another form than UTF-8 text, and what to do: "is UTF-16 text; save it as
/// UTF-8". Empty where nothing is known to be wrong.
std::string_view foreign_form(std::string_view start);

/// Whether more of a text is what no text has than noise on a serial line is.
bool is_mostly_binary(std::string_view text);

/// The same as `foreign_form`, also where the first line holds what no text has.
std::string_view binary_form(std::string_view start);

}  // namespace wainscot
