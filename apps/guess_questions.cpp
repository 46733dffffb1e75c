#include "apps/guess_questions.hpp"

#include <cstdint>
#include <string>
#include <string_view>

#include <fmt/format.h>

#include "io/number_reader.hpp"

namespace wainscot {

AskUser guess_questions(std::istream& in, std::ostream& out) {
  return [&in, &out](const GuessedItem& item, const std::vector<std::string>& answers) -> std::size_t {
    out << fmt::format("\n{}? Likelier is {} ({} %): {}.\n", item.what, item.value, item.percent, item.why);
    for (std::size_t i = 0; i < answers.size(); ++i) out << fmt::format("  {}  {}\n", i + 1, answers[i]);
    out << fmt::format("1 to {}, or only Enter for 1: ", answers.size()) << std::flush;
    std::string line;
    std::int64_t number = 0;
    if (!std::getline(in, line) || read_whole_number(line, number) != NumberFault::none) return 0;
    return number >= 1 && number <= std::ssize(answers) ? static_cast<std::size_t>(number - 1) : 0;
  };
}

}  // namespace wainscot
