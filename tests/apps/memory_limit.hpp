#pragma once

#include <string>

namespace wainscot {

/// Shell words that limit the memory of the command behind them; none under sanitizers, which take the whole address
/// space for themselves.
inline std::string memory_limit([[maybe_unused]] int megabytes) {
#ifdef WAINSCOT_UNDER_ASAN
  return "";
#else
  return "ulimit -v " + std::to_string(1024 * megabytes) + ";";
#endif
}

}  // namespace wainscot
