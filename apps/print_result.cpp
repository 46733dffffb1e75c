#include "apps/print_result.hpp"

#include <cstdio>

namespace wainscot {

void print_result(std::string_view text) {
  std::fwrite(text.data(), 1, text.size(), stdout);
  std::fflush(stdout);
}

}  // namespace wainscot
