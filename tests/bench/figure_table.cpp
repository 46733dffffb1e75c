#include "tests/bench/figure_table.hpp"

#include <algorithm>

namespace wainscot::bench {
namespace {

std::string quoted(const std::string& text) {
  if (text.find_first_of(",\"") == std::string::npos) return text;
  std::string result = "\"";
  for (const char letter : text) result += letter == '"' ? std::string("\"\"") : std::string(1, letter);
  return result + "\"";
}

}  // namespace

void FigureTable::add(const std::string& column, const std::string& figure) {
  if (std::find(columns_.begin(), columns_.end(), column) == columns_.end()) columns_.push_back(column);
  rows_.back()[column] = quoted(figure);
}

std::string FigureTable::csv() const {
  std::string text;
  for (const std::string& column : columns_) text += (text.empty() ? "" : ",") + column;
  text += "\n";
  for (const auto& row : rows_) {
    bool is_first = true;
    for (const std::string& column : columns_) {
      if (!is_first) text += ",";
      is_first = false;
      const auto figure = row.find(column);
      if (figure != row.end()) text += figure->second;
    }
    text += "\n";
  }
  return text;
}

}  // namespace wainscot::bench
