#include "io/log/growing_table.hpp"

namespace wainscot {
namespace {

/// Whether the line of `text` that begins there is blank or a comment.
bool is_no_row(const std::string& text, std::size_t begin) {
  const std::size_t first = text.find_first_not_of(" \t\r", begin);
  return text[first] == '\n' || text[first] == '#';
}

}  // namespace

GrowingText::News GrowingTable::read() {
  const std::size_t before = rows_.size();
  const GrowingText::News news = text_.read(rows_);
  if (news == GrowingText::News::replaced) {
    header_.clear();
    rows_.clear();
    row_count_ = lines_before_ = 0;
    has_rows_ = false;
  }
  if (news != GrowingText::News::lines) return news;
  const bool had_header = !header_.empty();
  if (!had_header) take_header();
  if (header_.empty()) return GrowingText::News::none;
  for (std::size_t at = had_header ? before : 0; at < rows_.size(); at = rows_.find('\n', at) + 1) {
    ++row_count_;
    has_rows_ = has_rows_ || !is_no_row(rows_, at);
  }
  return has_rows_ ? news : GrowingText::News::none;
}

/// The lines up to the one that names the columns, if that has come.
void GrowingTable::take_header() {
  std::size_t lines = 0;
  for (std::size_t begin = 0; begin < rows_.size();) {
    const std::size_t end = rows_.find('\n', begin) + 1;
    ++lines;
    if (!is_no_row(rows_, begin)) {
      header_ = rows_.substr(0, end);
      rows_.erase(0, end);
      lines_before_ = lines;
      return;
    }
    begin = end;
  }
}

void GrowingTable::keep_last(std::size_t count) {
  if (row_count_ <= 2 * count) return;
  std::size_t begin = 0;
  for (; row_count_ > count; --row_count_, ++lines_before_) begin = rows_.find('\n', begin) + 1;
  rows_.erase(0, begin);
  has_rows_ = !rows_.empty();
}

}  // namespace wainscot
