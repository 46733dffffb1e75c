#pragma once

// A robot's own log, line by line in bounded memory: plain text or gzip, whatever its name. It may grow while it is
// read: what was there when it was opened is taken, to the last whole line.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "io/files/descriptor.hpp"

struct gzFile_s;

namespace wainscot {

/// So many bytes behind every line are readable, whatever stands in them: `JsonLine` looks at them.
inline constexpr std::size_t kBytesBehindLine = 64;

class LogLines {
 public:
  /// Told of the bytes of the file itself, compressed or not, that were read; may be empty.
  using BlockRead = std::function<void(std::size_t bytes)>;

  /// Opens the log; a UTF-8 byte order mark is skipped. What is left out at its end is told in `warnings`, which must
  /// outlive this. Throws `InputError` for a file that is missing, empty, a folder, not readable, or begins like a
  /// binary format.
  LogLines(const std::filesystem::path& path, std::vector<std::string>& warnings, BlockRead block_read = {});

  /// What comes through a pipe, until its other end is closed or a line `end`; lines are given as soon as they have
  /// come. `goes_on`: asked now and then while nothing comes; false ends it. Throws `InputError` as above.
  LogLines(Descriptor pipe, std::vector<std::string>& warnings, std::function<bool()> goes_on);

  /// The next whole line without its line end (LF, CR LF), valid until the next call; false after the last one. Throws
  /// `InputError` for a line longer than 4 MB, for damaged gzip data and for a disk that cannot be read.
  bool next(std::string_view& line);

  /// Number of the line that `next` gave last, from 1.
  std::size_t line_number() const { return line_number_; }

  /// The file as messages name it.
  const std::string& name() const { return name_; }

  /// "FILE:LINE: what", of a line that was read; behind a link without `what`, which may quote the line.
  std::string message(const std::string& what, std::size_t line_number) const;

  /// Throws `InputError` with the message of the line that was read last.
  [[noreturn]] void fail(const std::string& what) const;

 private:
  struct CloseZip {
    void operator()(gzFile_s* file) const;
  };

  void open(const std::filesystem::path& path);
  void begin();
  void read_block();
  std::size_t read_file(std::size_t most);
  std::size_t read_pipe(std::size_t most);
  void note_end();

  std::string name_;
  std::vector<std::string>& warnings_;
  BlockRead block_read_;
  std::unique_ptr<gzFile_s, CloseZip> zip_;  ///< reads plain files too
  Descriptor pipe_;                          ///< or this one
  std::function<bool()> goes_on_;
  bool is_link_ = false;
  bool is_plain_text_ = false;     ///< not compressed
  std::uintmax_t size_ = 0;        ///< of the file when it was opened
  std::uintmax_t text_bytes_ = 0;  ///< that were read
  std::int64_t told_bytes_ = 0;
  std::vector<char> buffer_;
  std::size_t begin_ = 0;  // of what is read but not yet given out
  std::size_t end_ = 0;
  bool at_end_ = false;
  std::size_t line_number_ = 0;
};

}  // namespace wainscot
