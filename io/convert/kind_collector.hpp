#pragma once

// The records of a sampled log, gathered by what they hold.

#include <cstddef>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "io/convert/log_columns.hpp"
#include "io/convert/log_sample.hpp"

namespace wainscot {

/// Kinds that grow record by record; a value that begins late, or fails to come, is NaN.
class KindCollector {
 public:
  explicit KindCollector(const LogFile& file) : file_(file) {}

  /// Begins a record of the kind `key`; `message_column` and `message` are what tells it from others, if anything does.
  void begin(const std::string& key, const std::string& message_column, const std::string& message);

  /// A number of the record by its path, which people read too.
  void number(const std::string& path, double value);

  /// A text of the record by its path, which counts where it is a time of day.
  void text(const std::string& path, std::string_view text);

  /// A cell of a table's row, which stands at one place in each row.
  void cell(std::size_t column, std::string_view text);

  void list(const std::string& path, const std::vector<double>& values);

  /// The most frequent kinds first. Of a table, `names` and `labels` are those of its columns. Times of day go on at
  /// midnight. Rows of few values from which one is missing that nearly all others have were damaged: they are left
  /// out.
  std::vector<RecordKind> finish(const std::vector<std::string>& names, const std::vector<std::string>& labels);

 private:
  struct Growing {
    RecordKind kind;
    std::map<std::string, std::size_t> columns, arrays;
    std::vector<SampleColumn> cells;
  };
  void path_value(const std::string& path, double value, bool is_clock);
  static RecordKind finished(Growing& growing, const std::vector<std::string>& names,
                             const std::vector<std::string>& labels);

  LogFile file_;
  std::map<std::string, std::size_t> places_;
  std::vector<Growing> kinds_;
  Growing* current_ = nullptr;
};

}  // namespace wainscot
