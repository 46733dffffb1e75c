#include "io/convert/line_form_guess.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <string_view>

#include "io/convert/log_number.hpp"
#include "io/convert/table_line.hpp"

namespace wainscot {
namespace {

using Cells = std::vector<std::string_view>;

constexpr std::array kSeparators = {Separator::comma, Separator::semicolon, Separator::tab, Separator::blanks};

bool is_number_cell(std::string_view cell, Separator separator) {
  double value = 0.0;
  return !cell.empty() && read_log_number(cell, separator, value);
}

/// Of the rows, those with several cells, times the share of their cells that are numbers: what a wrong cut spoils.
double separator_fit(const std::vector<std::string>& lines, Separator separator) {
  std::size_t rows = 0, cut = 0, cells_in_all = 0, numbers = 0;
  Cells cells;
  for (const std::string& line : lines) {
    if (is_no_row(line)) continue;
    ++rows;
    cut_line(line, separator, cells);
    if (cells.size() < 2) continue;
    ++cut;
    cells_in_all += cells.size();
    for (const std::string_view cell : cells) numbers += cell.empty() || is_number_cell(cell, separator) ? 1 : 0;
  }
  if (cut == 0) return 0.0;
  return static_cast<double>(cut) / static_cast<double>(rows) * static_cast<double>(numbers) /
         static_cast<double>(cells_in_all);
}

/// Whether most of the words of the first row stand over columns of numbers. One that is shorter than many of the rows
/// behind it names them not: a line that tells of the program's start, before messages of several lengths.
bool names_columns(const Cells& first, const std::vector<Cells>& rows, Separator separator) {
  const auto longer = std::count_if(rows.begin(), rows.end(), [&](const Cells& r) { return r.size() > first.size(); });
  if (10 * longer > std::ssize(rows)) return false;
  std::size_t words = 0, over_numbers = 0;
  for (std::size_t column = 0; column < first.size(); ++column) {
    if (first[column].empty() || is_number_cell(first[column], separator)) continue;
    ++words;
    std::size_t with = 0, numbers = 0;
    for (const Cells& row : rows) {
      if (column >= row.size() || row[column].empty()) continue;
      ++with;
      numbers += is_number_cell(row[column], separator) ? 1 : 0;
    }
    over_numbers += with > 0 && 5 * numbers >= 4 * with ? 1 : 0;
  }
  return over_numbers > 0 && 2 * over_numbers >= words;
}

/// The comment before the first row, where it has as many cells as that row and none of them is a number.
std::vector<std::string> labels_of(const std::string& comment, std::size_t columns, Separator separator) {
  const std::size_t begin = comment.find_first_not_of("# \t");
  if (begin == std::string::npos) return {};
  const std::string text = comment.substr(begin);
  for (const Separator cut : {separator, Separator::blanks, Separator::comma}) {
    Cells cells;
    cut_line(text, cut, cells);
    if (cells.size() != columns || is_number_cell(cells.front(), cut)) continue;
    return {cells.begin(), cells.end()};
  }
  return {};
}

}  // namespace

LineFormGuess guess_line_form(const std::vector<std::string>& lines) {
  LineFormGuess guess;
  const auto is_row = [](const std::string& line) { return !is_no_row(line); };
  const auto first = std::find_if(lines.begin(), lines.end(), is_row);
  if (first == lines.end()) return guess;
  const std::size_t begin = first->find_first_not_of(" \t");
  if ((*first)[begin] == '{') {
    guess.file.form = LineForm::json;
    return guess;
  }
  double best = 0.0;
  for (const Separator separator : kSeparators) {
    const double fit = separator_fit(lines, separator);
    if (fit <= best) continue;
    best = fit;
    guess.file.separator = separator;
  }
  Cells head;
  cut_line(*first, guess.file.separator, head);
  std::vector<Cells> rows;
  for (auto line = first + 1; line != lines.end(); ++line) {
    if (!is_row(*line)) continue;
    rows.emplace_back();
    cut_line(*line, guess.file.separator, rows.back());
  }
  guess.file.header = names_columns(head, rows, guess.file.separator);
  if (!guess.file.header && first != lines.begin()) {
    guess.labels = labels_of(*(first - 1), head.size(), guess.file.separator);
  }
  return guess;
}

}  // namespace wainscot
