#pragma once

// Words from a user's files in messages: shown safely, and the known name that a misspelt one was probably meant to be.

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace wainscot {

/// Text that came from a file, fit for one line of a message: control characters and bytes that are not UTF-8 become
/// \xNN, and what is longer than `longest` bytes is cut and ends in "...".
std::string printable(std::string_view text, std::size_t longest = 40);

/// Whether the bytes are well-formed UTF-8 (RFC 3629) without control characters.
bool is_plain_text(std::string_view text);

/// The least number of characters to insert, delete or replace that makes one word the other (V. I. Levenshtein,
/// "Binary codes capable of correcting deletions, insertions, and reversals", 1966), upper and lower case counted the
/// same.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The index in `known`, not empty, of the name at the least edit distance; the first of several.
std::size_t nearest_name(std::string_view word, std::span<const std::string> known);

}  // namespace wainscot
