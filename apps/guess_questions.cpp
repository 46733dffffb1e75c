#include "apps/guess_questions.hpp"

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include <fmt/format.h>

#include "io/number_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {

AskUser guess_questions(std::istream& in, std::ostream& out) {
  return [&in, &out](const GuessedItem& item, const std::vector<std::string>& answers) -> std::optional<std::size_t> {
    if (!in) return std::nullopt;
    out << fmt::format("\n{}? Likelier is {} ({} %): {}.\n", item.what, item.value, item.percent, item.why);
    for (std::size_t i = 0; i < answers.size(); ++i) out << fmt::format("  {}  {}\n", i + 1, answers[i]);
    std::string line;
    while (true) {
      out << fmt::format("1 to {}, or only Enter for 1: ", answers.size()) << std::flush;
      if (!std::getline(in, line)) {
        out << '\n';
        return std::nullopt;
      }
      std::int64_t number = 0;
      const std::size_t begin = line.find_first_not_of(" \t\r");
      if (begin == std::string::npos) return 0;
      const std::string_view typed = std::string_view(line).substr(begin, line.find_last_not_of(" \t\r") + 1 - begin);
      const bool is_number = read_whole_number(typed, number) == NumberFault::none;
      if (is_number && number >= 1 && number <= std::ssize(answers)) return static_cast<std::size_t>(number - 1);
      out << fmt::format("'{}' is none of the answers.\n", printable(typed));
    }
  };
}

}  // namespace wainscot
