#pragma once

// What was guessed, and why, for people.

#include <string>
#include <vector>

#include "io/convert/columns_yaml.hpp"
#include "io/convert/guessed_item.hpp"

namespace wainscot {

/// A table: what, how sure, the guess; below each that is no sure thing its reason and what fits as well. Lines with
/// line ends.
std::string guess_table(const std::vector<GuessedItem>& items);

/// The reasons as comments above the sections of columns.yaml.
ColumnNotes guess_notes(const std::vector<GuessedItem>& items);

}  // namespace wainscot
