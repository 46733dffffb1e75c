#pragma once

// One log, read once for all the tables that are from it.

#include <cstddef>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "io/convert/drive_conversion.hpp"
#include "io/convert/lidar_tables.hpp"
#include "io/convert/log_columns.hpp"
#include "io/convert/log_lines.hpp"
#include "io/convert/misfits.hpp"
#include "io/convert/record_reader.hpp"
#include "io/convert/section_table.hpp"
#include "io/convert/table_writer.hpp"

namespace wainscot {

/// One section of columns.yaml on its way into a table.
struct SectionJob {
  std::string section;
  std::string file;
  RecordChoice records;
  std::unique_ptr<TableWriter> writer;
  std::unique_ptr<SectionTable> table;
  Misfits misfits;
  std::optional<std::size_t> message_place;
  std::string log;
  std::string first_back_in_time;

  SectionJob(std::string name, std::string table_file, RecordChoice choice)
      : section(std::move(name)), file(std::move(table_file)), records(std::move(choice)), misfits(section) {}

  bool takes(const RecordReader& record) const {
    if (!message_place) return true;
    return records.message.empty() ? record.has(*message_place) : record.text(*message_place) == records.message;
  }
};

/// All sections that a conversion has, with the table that each becomes; without the writers.
std::vector<SectionJob> jobs_of(const LogColumns& columns, const ScanForm& form);

class LogPass {
 public:
  /// `jobs`: with their writers. All that is given must outlive this. Throws `InputError` as RecordReader does.
  LogPass(const LogColumns& columns, const ScanForm& form, const LogFile& file, LogLines& lines,
          std::vector<SectionJob*> jobs, std::vector<std::string>& warnings);

  /// Reads to the end. `after_record` is called after each line that is no comment; may be empty. Throws `InputError`
  /// where a section gets nothing, or too many lines do not fit.
  ConvertedLog run(const std::function<void()>& after_record = {});

 private:
  bool take_record();

  std::vector<SectionJob*> jobs_;
  std::vector<std::string>& warnings_;
  LogLines& lines_;
  std::optional<RecordReader> records_;
  ConvertedLog log_;
};

}  // namespace wainscot
