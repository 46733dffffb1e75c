#pragma once

// What the tests of `convert` begin with: a log's records as its lines give them.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "io/convert/log_columns.hpp"
#include "io/convert/log_lines.hpp"
#include "io/convert/record_reader.hpp"
#include "io/convert/section_table.hpp"
#include "io/convert/table_writer.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {

inline LogFile table_file(Separator separator, bool header) {
  LogFile file;
  file.name = "a.log";
  file.separator = separator;
  file.header = header;
  return file;
}

inline LogFile json_file() {
  LogFile file;
  file.name = "a.log";
  file.form = LineForm::json;
  return file;
}

inline Quantity column(const std::string& name, const std::string& unit = "", int sign = 1, double offset = 0.0) {
  Quantity quantity;
  quantity.column = name;
  quantity.unit = unit;
  quantity.sign = sign;
  quantity.offset = offset;
  return quantity;
}

inline Quantity constant(double value, const std::string& unit) {
  Quantity quantity;
  quantity.constant = value;
  quantity.unit = unit;
  return quantity;
}

/// A log in a folder of its own, and a table beside it.
class SampleLog {
 public:
  SampleLog(const std::string& text, const LogFile& file, std::vector<std::string> columns)
      : lines_(folder_.write("a.log", text), warnings_), records_(file, std::move(columns), lines_) {}

  RecordReader& records() { return records_; }
  std::size_t line() const { return lines_.line_number(); }

  /// The table that `make(records, writer)` gives a section, filled from all records; what did not fit is in `faults`.
  template <typename Make>
  std::string filled(const Make& make) {
    TableWriter writer(folder_.path() / "table.csv");
    const std::unique_ptr<SectionTable> table = make(records_, writer);
    while (records_.next() != RecordReader::Step::end) {
      const std::string fault = table->add(records_);
      if (!fault.empty()) faults.push_back(std::to_string(lines_.line_number()) + ": " + fault);
    }
    writer.finish();
    std::ifstream in(folder_.path() / "table.csv");
    return {std::istreambuf_iterator<char>(in), {}};
  }

  std::vector<std::string> faults;

 private:
  ReaderFolder folder_;
  std::vector<std::string> warnings_;
  LogLines lines_;
  RecordReader records_;
};

}  // namespace wainscot
