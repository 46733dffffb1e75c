#pragma once

// What the value of an option may be. Each check says in one sentence what is wrong with a value, and describes itself
// in the words that help, man pages and completion show.

#include <string>
#include <vector>

#include <CLI/CLI.hpp>

namespace wainscot {

/// A whole number; described as "from 1 to 1024".
CLI::Validator whole_number_from(int least, int most);

/// So many of a unit, as metres; described as "from 0.01 to 0.5".
CLI::Validator number_from(double least, double most, const std::string& unit);

/// One of these words; described as "one of png, tif, pgm".
CLI::Validator one_of(const std::vector<std::string>& words);

/// The words in a description that `one_of` made; of any other, none.
std::vector<std::string> words_to_choose(const std::string& description);

}  // namespace wainscot
