#pragma once

// A robot's own messages as they come through a pipe, made into a drive's tables row by row, as columns.yaml says.

#include <atomic>
#include <exception>
#include <functional>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include "io/convert/log_columns.hpp"
#include "io/convert/table_writer.hpp"
#include "io/files/descriptor.hpp"

namespace wainscot {

class StreamConversion {
 public:
  /// Where a table of this name ("wheels.csv") goes.
  using MakeTable = std::function<std::unique_ptr<TableWriter>(const std::string& file)>;

  /// Begins at once, in a thread of its own, and writes each row out as soon as it has come. The first scan's beams are
  /// those of all: later ones may have fewer, and others are left out. Throws `InputError` where `columns` has more
  /// than one file.
  StreamConversion(LogColumns columns, Descriptor pipe, const MakeTable& make_table);
  StreamConversion(const StreamConversion&) = delete;
  StreamConversion& operator=(const StreamConversion&) = delete;
  ~StreamConversion();

  /// Asks it to end with what has come. Whoever reads its tables through pipes goes on until it has ended.
  void end() { ends_ = true; }
  /// Whether all rows that will come are written.
  bool has_ended() const { return has_ended_; }

  /// After has_ended(): what was odd, a sentence each. Throws what ended it early: `InputError` for a stream that does
  /// not fit, std::runtime_error for a table that cannot be written.
  std::vector<std::string> result() const;

 private:
  void convert();

  LogColumns columns_;
  Descriptor pipe_;
  std::vector<std::pair<std::string, std::unique_ptr<TableWriter>>> tables_;
  std::vector<std::string> warnings_;
  std::exception_ptr failure_;
  std::atomic<bool> ends_ = false;
  std::atomic<bool> has_ended_ = false;
  std::thread thread_;  ///< the last member: it uses the others
};

}  // namespace wainscot
