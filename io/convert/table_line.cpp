#include "io/convert/table_line.hpp"

namespace wainscot {
namespace {

bool is_space(char c) { return c == ' ' || c == '\t'; }

std::string_view without_spaces(const char* begin, const char* end) {
  while (begin != end && is_space(*begin)) ++begin;
  while (begin != end && is_space(end[-1])) --end;
  return {begin, static_cast<std::size_t>(end - begin)};
}

/// The end of a quoted cell's content, from behind its first mark on; nullptr: it never ends.
const char* end_of_quoted(const char* p, const char* end) {
  for (; p != end; ++p) {
    if (*p != '"') continue;
    if (p + 1 != end && p[1] == '"') {
      ++p;
    } else {
      return p;
    }
  }
  return nullptr;
}

char separating_character(Separator separator) {
  if (separator == Separator::semicolon) return ';';
  return separator == Separator::tab ? '\t' : ',';
}

void cut_at_blanks(std::string_view line, std::vector<std::string_view>& cells) {
  const char* p = line.data();
  const char* const end = p + line.size();
  while (true) {
    while (p != end && is_space(*p)) ++p;
    if (p == end) return;
    const char* const quoted = *p == '"' ? end_of_quoted(p + 1, end) : nullptr;
    if (quoted != nullptr) {
      cells.emplace_back(p + 1, static_cast<std::size_t>(quoted - p - 1));
      p = quoted + 1;
      continue;
    }
    const char* const start = p;
    while (p != end && !is_space(*p)) ++p;
    cells.emplace_back(start, static_cast<std::size_t>(p - start));
  }
}

}  // namespace

bool is_no_row(std::string_view line) {
  const std::string_view text = without_spaces(line.data(), line.data() + line.size());
  return text.empty() || text.front() == '#';
}

void cut_line(std::string_view line, Separator separator, std::vector<std::string_view>& cells) {
  cells.clear();
  if (separator == Separator::blanks) return cut_at_blanks(line, cells);
  const char between = separating_character(separator);
  const char* p = line.data();
  const char* const end = p + line.size();
  while (true) {
    const char* start = p;
    while (start != end && *start == ' ') ++start;
    const char* const quoted = start != end && *start == '"' ? end_of_quoted(start + 1, end) : nullptr;
    if (quoted != nullptr) p = quoted;
    while (p != end && *p != between) ++p;
    if (quoted != nullptr) {
      cells.emplace_back(start + 1, static_cast<std::size_t>(quoted - start - 1));
    } else {
      cells.push_back(without_spaces(start, p));
    }
    if (p == end) return;
    ++p;
  }
}

}  // namespace wainscot
