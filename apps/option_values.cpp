#include "apps/option_values.hpp"

#include <algorithm>
#include <string_view>

#include <fmt/format.h>

#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::string_view choice_begins = "one of ";
constexpr std::string_view choice_goes_on = ", ";

}  // namespace

CLI::Validator whole_number_from(int least, int most) {
  const std::string range = fmt::format("from {} to {}", least, most);
  const auto check = [least, most, range](const std::string& text) {
    int number = 0;
    const bool fits = CLI::detail::lexical_cast(text, number) && number >= least && number <= most;
    return fits ? "" : fmt::format("{} is not a whole number {}", printable(text), range);
  };
  return CLI::Validator(check, range);
}

CLI::Validator number_from(double least, double most, const std::string& unit) {
  constexpr int decimals = 4;  // of metres: a tenth of a millimetre is the least that an option takes
  const std::string range = fmt::format("from {} to {}", short_text(least, decimals), short_text(most, decimals));
  const auto check = [least, most, range, unit](const std::string& text) {
    double number = 0.0;
    const bool fits = CLI::detail::lexical_cast(text, number) && number >= least && number <= most;
    return fits ? "" : fmt::format("{} is not a number of {} {}", printable(text), unit, range);
  };
  return CLI::Validator(check, range);
}

CLI::Validator one_of(const std::vector<std::string>& words) {
  const std::string all = fmt::format("{}{}", choice_begins, fmt::join(words, choice_goes_on));
  const auto check = [words, all](const std::string& text) {
    const bool known = std::find(words.begin(), words.end(), text) != words.end();
    return known ? "" : fmt::format("{} is not {}", printable(text), all);
  };
  return CLI::Validator(check, all);
}

std::vector<std::string> words_to_choose(const std::string& description) {
  std::vector<std::string> words;
  if (!description.starts_with(choice_begins)) return words;
  for (std::size_t begin = choice_begins.size(); begin < description.size();) {
    const std::size_t end = std::min(description.find(choice_goes_on, begin), description.size());
    words.push_back(description.substr(begin, end - begin));
    begin = end + choice_goes_on.size();
  }
  return words;
}

}  // namespace wainscot
