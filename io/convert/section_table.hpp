#pragma once

#include <string>
#include <vector>

#include "io/convert/record_reader.hpp"

namespace wainscot {

/// The drive's tables, as `drive_conversion` fills them from records.
class SectionTable {
 public:
  SectionTable() = default;
  SectionTable(const SectionTable&) = delete;
  SectionTable& operator=(const SectionTable&) = delete;
  virtual ~SectionTable() = default;

  /// Writes what a record holds. Empty where it fits; else what does not, as the end of a sentence that begins with the
  /// line, and nothing is written.
  virtual std::string add(const RecordReader& record) = 0;

  /// After the last record: what was odd in those that fit goes into `warnings`. Throws `InputError` where that is too
  /// much.
  virtual void finish(std::vector<std::string>& /*warnings*/) const {}
};

}  // namespace wainscot
