#pragma once

// A text file, line by line, in constant memory: blocks are read, cut into lines and forgotten. A block read is as fast
// as a mapped page here, and a file that another program shortens meanwhile ends early rather than killing the process.

#include <cstddef>
#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "io/checksum.hpp"
#include "io/files/descriptor.hpp"

namespace wainscot {

/// What is said of a line behind a link instead of what is wrong in it. A link in a folder from elsewhere may lead to
/// any file that its reader may read, and messages are handed on: into reports, to the folder's sender.
inline constexpr const char* kFaultBehindLink =
    "this is wrong, and is not quoted since the file is a link; put the file itself in its place to see why";

/// Bytes of the longest line that is read; what is longer is no text of this trade.
inline constexpr std::size_t kLongestLine = 4'000'000;

class FileReader {
 public:
  /// Told of each block's size in bytes; may be empty.
  using BlockRead = std::function<void(std::size_t bytes)>;

  /// Opens the file. A UTF-8 byte order mark is skipped. Throws `InputError` for a file that is missing, empty, a
  /// folder, not readable, UTF-16, or that begins like a known binary format.
  explicit FileReader(const std::filesystem::path& path, BlockRead block_read = {});

  /// Of a table that has been read already: `header`, its lines up to the one that names the columns, and behind them
  /// some of its rows, whose first stands on line `first_row`. `name`: the file as messages name it.
  FileReader(std::string name, std::string_view header, std::string_view rows, std::size_t first_row);

  /// The next line without its line end (LF or CR LF), valid until the next call; false at the end of the file. Throws
  /// `InputError` for a line longer than 4 MB.
  bool next_line(std::string_view& line);

  /// Number of the line that `next_line` gave last, from 1.
  std::size_t line_number() const { return line_number_; }

  /// Whether that line had a line end. Only the last line of a file may lack it.
  bool line_is_finished() const { return line_is_finished_; }

  /// Whether the name is that of a link.
  bool is_link() const { return is_link_; }

  /// The file as messages name it.
  const std::string& name() const { return name_; }

  /// Throws `InputError` with "FILE:LINE: what"; behind a link with `kFaultBehindLink`.
  [[noreturn]] void fail(const std::string& what) const;
  /// The same for a line that was read before.
  [[noreturn]] void fail_at(std::size_t line, const std::string& what) const;

  /// SHA-256 of the file's bytes. Call once, after `next_line` returned false.
  std::string checksum() { return hash_.finish(); }

 private:
  void read_block();

  std::string name_;
  BlockRead block_read_;
  Descriptor descriptor_;
  bool is_link_ = false;
  std::vector<char> buffer_;
  std::size_t begin_ = 0;  // of what is read but not yet given out
  std::size_t end_ = 0;
  bool at_end_of_file_ = false;
  std::size_t line_number_ = 0;
  std::size_t header_lines_ = 0;  // behind which `first_row_` comes; 0: the lines follow on one another
  std::size_t first_row_ = 0;
  bool line_is_finished_ = true;
  Sha256 hash_;
};

/// The whole file as text, for small files. Throws `InputError` as `FileReader` does, and where it is larger than
/// `most_bytes`. `checksum`, where not null, receives the SHA-256 of the file's bytes; `is_link`, whether that is a
/// link.
std::string read_small_file(const std::filesystem::path& path, std::size_t most_bytes, std::string* checksum,
                            bool* is_link = nullptr);

}  // namespace wainscot
