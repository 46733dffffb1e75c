#include "io/warnings.hpp"

#include <algorithm>

namespace wainscot {

std::vector<std::string> all_warnings(Drives drives, const Map& map) {
  std::vector<std::string> warnings;
  for (const Drive& drive : drives) warnings.insert(warnings.end(), drive.warnings.begin(), drive.warnings.end());
  for (const std::string& warning : map.warnings) {
    if (std::find(warnings.begin(), warnings.end(), warning) == warnings.end()) warnings.push_back(warning);
  }
  return warnings;
}

}  // namespace wainscot
