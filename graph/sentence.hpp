#pragma once

#include <string>

namespace wainscot {

/// Text of a printf format; what is longer than 999 bytes is cut.
[[gnu::format(printf, 1, 2)]] std::string sentence(const char* format, ...);

}  // namespace wainscot
