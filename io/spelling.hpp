#pragma once

// Words from a user's files, shown safely.

#include <cstddef>
#include <string>
#include <string_view>

namespace wainscot {

/// The length in bytes of the well-formed UTF-8 sequence (RFC 3629) that `text`, which is not empty, begins with; 0
/// where it begins with none.
std::size_t utf8_length(std::string_view text);

/// Text that came from a file, fit for one line of a message: control characters and bytes that are not UTF-8 become
/// \xNN, and what is longer than `longest` bytes is cut and ends in "...".
std::string printable(std::string_view text, std::size_t longest = 40);

/// Whether the bytes are well-formed UTF-8 (RFC 3629) without control characters.
bool is_plain_text(std::string_view text);

/// A word of a command line for the shell, quoted where it must be.
std::string shell_word(const std::string& word);

}  // namespace wainscot
