#pragma once

#include <istream>
#include <ostream>

#include "io/convert/column_guess.hpp"

namespace wainscot {

/// Asks with numbered answers on `out` and reads the number from `in`; an empty line, the input's end and anything that
/// is no number of an answer take the first answer. Both must outlive what is returned.
AskUser guess_questions(std::istream& in, std::ostream& out);

}  // namespace wainscot
