#pragma once

#include <string>

namespace wainscot {

/// Whether a text that people read says something.
inline bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace wainscot
