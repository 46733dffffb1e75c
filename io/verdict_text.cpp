#include "io/verdict_text.hpp"

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {

std::string verdict_sentence(const MapVerdict& verdict) {
  const char* begin = verdict.grade == Grade::good     ? "good, "
                      : verdict.grade == Grade::usable ? "usable, but "
                                                       : "not to be used: ";
  const std::string further = verdict.further > 0
                                  ? fmt::format(" (and {} more, see the warnings)",
                                                count_text(static_cast<std::size_t>(verdict.further), "doubt"))
                                  : "";
  return begin + verdict.reason + further + ".";
}

}  // namespace wainscot
