#pragma once

#include <string>
#include <vector>

namespace wainscot {

/// One thing that was guessed, for people.
struct GuessedItem {
  std::string what;                 ///< "unit of the ranges"
  std::string value;                ///< "mm"
  std::string why;                  ///< one plain sentence with figures
  int percent = 100;                ///< how sure
  std::vector<std::string> others;  ///< what fits as well, the likeliest first
  std::string section = {};         ///< of columns.yaml; empty: its head
};

/// Below it a guess is a doubt, which the user is to look at.
inline constexpr int kSurePercent = 95;

/// "sure", "likely" or "doubtful".
std::string how_sure(int percent);

}  // namespace wainscot
