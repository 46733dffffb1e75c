#include "io/files/text_template.hpp"

#include <algorithm>
#include <vector>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

std::string_view without_spaces_around(std::string_view word) {
  const std::size_t begin = word.find_first_not_of(" \t");
  if (begin == std::string_view::npos) return {};
  return word.substr(begin, word.find_last_not_of(" \t") - begin + 1);
}

const std::string& value_of(std::string_view name, const std::string& place, std::span<const Placeholder> known) {
  const auto found =
      std::find_if(known.begin(), known.end(), [name](const Placeholder& candidate) { return candidate.name == name; });
  if (found != known.end()) return found->value;
  std::vector<std::string> names;
  for (const Placeholder& placeholder : known) names.push_back(placeholder.name);
  throw InputError(fmt::format("{}: there is no placeholder {{{{{}}}}}; the nearest known one is {{{{{}}}}}", place,
                               printable(name), names.at(nearest_name(name, names))));
}

}  // namespace

std::string fill_template(std::string_view text, const std::string& file, std::span<const Placeholder> known) {
  std::string filled;
  std::size_t line = 1;
  for (;;) {
    const std::size_t begin = text.find("{{");
    const std::string_view before = text.substr(0, begin);
    filled += before;
    if (begin == std::string_view::npos) return filled;
    line += static_cast<std::size_t>(std::count(before.begin(), before.end(), '\n'));
    const std::string place = fmt::format("{}:{}", file, line);
    text.remove_prefix(begin + 2);
    const std::size_t end = text.find("}}");
    if (end == std::string_view::npos || text.substr(0, end).find('\n') != std::string_view::npos) {
      throw InputError(place + ": {{ has no }} on its line; close the placeholder or write a single brace");
    }
    filled += value_of(without_spaces_around(text.substr(0, end)), place, known);
    text.remove_prefix(end + 2);
  }
}

}  // namespace wainscot
