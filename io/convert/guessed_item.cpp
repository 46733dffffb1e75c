#include "io/convert/guessed_item.hpp"

namespace wainscot {

std::string how_sure(int percent) {
  constexpr int kLikely = 80;
  return percent >= kSurePercent ? "sure" : percent >= kLikely ? "likely" : "doubtful";
}

}  // namespace wainscot
