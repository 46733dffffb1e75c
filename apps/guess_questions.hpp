#pragma once

#include <istream>
#include <ostream>

#include "io/convert/guess_items.hpp"

namespace wainscot {

/// Asks with numbered answers on `out` and reads the number from `in`. An empty line takes the first answer; what is no
/// number of an answer is asked again. At the input's end there is no answer, nor to later questions. Both must outlive
/// what is returned.
AskUser guess_questions(std::istream& in, std::ostream& out);

}  // namespace wainscot
