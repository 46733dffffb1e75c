#include "io/warnings.hpp"

#include <algorithm>

namespace wainscot {

std::vector<std::string> all_warnings(const Drive& drive, const Map& map) {
  std::vector<std::string> warnings = drive.warnings;
  for (const std::string& warning : map.warnings) {
    if (std::find(warnings.begin(), warnings.end(), warning) == warnings.end()) warnings.push_back(warning);
  }
  return warnings;
}

}  // namespace wainscot
