#include "io/log/growing_table.hpp"

#include <utility>

namespace wainscot {
namespace {

/// Whether the line of `text` that begins there is blank or a comment.
bool is_no_row(const std::string& text, std::size_t begin) {
  const std::size_t first = text.find_first_not_of(" \t\r", begin);
  return text[first] == '\n' || text[first] == '#';
}

}  // namespace

GrowingText::News GrowingTable::read() {
  if (is_cut_) forget_all();
  std::string came = std::exchange(later_, std::string());
  if (text_.read(came) == GrowingText::News::replaced) {
    header_.clear();
    forget_all();
    lines_before_ = 0;
    return GrowingText::News::replaced;
  }
  if (came.empty()) return GrowingText::News::none;
  const std::size_t before = rows_.size();
  rows_ += came;
  const bool had_header = !header_.empty();
  if (!had_header) take_header();
  if (header_.empty()) return GrowingText::News::none;
  for (std::size_t at = had_header ? before : 0; at < rows_.size(); at = rows_.find('\n', at) + 1) {
    ++row_count_;
    has_rows_ = has_rows_ || !is_no_row(rows_, at);
  }
  return has_rows_ ? GrowingText::News::lines : GrowingText::News::none;
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

/// Where a line begins in the rows that are kept.
std::size_t GrowingTable::offset_of(std::size_t line) const {
  std::size_t begin = 0;
  for (std::size_t at = lines_before_ + 1; at < line; ++at) begin = rows_.find('\n', begin) + 1;
  return begin;
}

void GrowingTable::look_for_rows() {
  has_rows_ = false;
  for (std::size_t at = 0; at < rows_.size() && !has_rows_; at = rows_.find('\n', at) + 1) {
    has_rows_ = !is_no_row(rows_, at);
  }
}

void GrowingTable::keep_last(std::size_t count) {
  if (row_count_ > 2 * count) keep_from(lines_before_ + row_count_ - count + 1);
}

void GrowingTable::keep_from(std::size_t line) {
  rows_.erase(0, offset_of(line));
  row_count_ -= line - lines_before_ - 1;
  lines_before_ = line - 1;
  look_for_rows();
}

void GrowingTable::cut_at(std::size_t line) {
  const std::size_t begin = offset_of(line);
  later_ = rows_.substr(rows_.find('\n', begin) + 1);
  rows_.erase(begin);
  row_count_ = line - lines_before_ - 1;
  is_cut_ = true;
  look_for_rows();
}

void GrowingTable::forget_all() {
  lines_before_ += row_count_ + (is_cut_ ? 1 : 0);
  rows_.clear();
  row_count_ = 0;
  has_rows_ = is_cut_ = false;
}

}  // namespace wainscot
