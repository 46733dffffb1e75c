#pragma once

// A user's text with placeholders, for sidecars of any form.

#include <span>
#include <string>
#include <string_view>

namespace wainscot {

struct Placeholder {
  std::string name;
  std::string value;
};

/// `text` with every {{name}} replaced by its value; spaces inside the braces count for nothing, all else stays as it
/// is. Throws `InputError` "FILE:LINE: ..." for a name that is not among `known`, with the nearest one that is, and for
/// {{ without }} on its line. `known` is not empty; `file` is the text's file as messages name it.
std::string fill_template(std::string_view text, const std::string& file, std::span<const Placeholder> known);

}  // namespace wainscot
