#include "graph/sentence.hpp"

#include <array>
#include <cstdarg>
#include <cstdio>

namespace wainscot {

std::string sentence(const char* format, ...) {
  std::array<char, 1000> buffer{};
  va_list arguments;
  va_start(arguments, format);
  std::vsnprintf(buffer.data(), buffer.size(), format, arguments);
  va_end(arguments);
  return buffer.data();
}

}  // namespace wainscot
