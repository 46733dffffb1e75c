#pragma once

// The known name that a misspelt word was probably meant to be, for the messages of readers and command lines.

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace wainscot {

/// The least number of characters to insert, delete, replace or swap with their neighbour that makes one word the other
/// where no character is changed twice: the four slips of F. J. Damerau, "A technique for computer detection and
/// correction of spelling errors", Communications of the ACM 7(3), 1964. The letters A to Z count the same as a to z;
/// other characters are bytes. Time grows with the product of the lengths.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The index in `known`, not empty, of the name at the least edit distance; the first of several. Of a word longer than
/// 64 bytes the first 64 are looked at.
std::size_t nearest_name(std::string_view word, std::span<const std::string> known);

}  // namespace wainscot
