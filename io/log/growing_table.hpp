#pragma once

// The last rows of a table that another program is still writing. They are read anew, by the same reader as a whole
// table, each time that rows have come: what unwraps counters or cuts revolutions looks at the rows before as well.

#include <cstddef>
#include <string>

#include "io/files/file_reader.hpp"
#include "io/files/growing_text.hpp"

namespace wainscot {

class GrowingTable {
 public:
  explicit GrowingTable(GrowingText text) : text_(std::move(text)) {}

  /// Whether rows came since the last call: where the file was replaced, those of before are forgotten. Throws
  /// `InputError` as GrowingText::read() does.
  GrowingText::News read();

  /// Its last rows, behind its header; has_rows() has to be true.
  FileReader rows() const { return {text_.name(), header_, rows_, lines_before_ + 1}; }
  bool has_rows() const { return has_rows_; }
  std::size_t row_count() const { return row_count_; }  ///< comments among them counted, too

  /// Forgets all but the last `count` rows where there are more than twice as many.
  void keep_last(std::size_t count);
  /// Forgets the rows before a line, by its number in the file.
  void keep_from(std::size_t line);
  /// Leaves out the row on a line, which cannot be read. Those before it are kept until the next read(), which gives
  /// those behind it.
  void cut_at(std::size_t line);
  /// Whether a line is one of the rows that are kept.
  bool has_row_on(std::size_t line) const { return line > lines_before_ && line <= lines_before_ + row_count_; }

  std::string name() const { return text_.name(); }

 private:
  void take_header();
  std::size_t offset_of(std::size_t line) const;
  void look_for_rows();
  void forget_all();

  GrowingText text_;
  std::string header_;
  std::string rows_;
  std::string later_;  ///< that are behind a cut
  bool is_cut_ = false;
  std::size_t row_count_ = 0;
  bool has_rows_ = false;
  std::size_t lines_before_ = 0;  ///< of the file, before the first row that is kept
};

}  // namespace wainscot
