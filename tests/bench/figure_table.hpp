#pragma once

// Figures of different kinds of rows in one table for machines.

#include <map>
#include <string>
#include <vector>

namespace wainscot::bench {

/// Columns stand in the order in which they came first; a row that has no figure of one leaves its cell empty.
class FigureTable {
 public:
  void begin_row() { rows_.emplace_back(); }

  /// A figure of the row begun last. Quoted where it holds a comma or a quotation mark (RFC 4180).
  void add(const std::string& column, const std::string& figure);

  /// With a header.
  std::string csv() const;

 private:
  std::vector<std::string> columns_;
  std::vector<std::map<std::string, std::string>> rows_;
};

}  // namespace wainscot::bench
