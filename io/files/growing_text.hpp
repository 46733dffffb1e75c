#pragma once

// Text that another program is still writing: a file that grows, or the lines of a pipe.

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include <sys/types.h>

#include "io/files/descriptor.hpp"

namespace wainscot {

class GrowingText {
 public:
  /// A file, which need not be there yet.
  explicit GrowingText(std::filesystem::path file) : file_(std::move(file)) {}
  /// What comes through a pipe; `source` is read without waiting.
  explicit GrowingText(Descriptor source);

  enum class News {
    none,
    lines,     ///< whole lines came
    replaced,  ///< the file is another one, or was emptied: its lines come from now on, first to last
  };

  /// Appends the whole lines that came since the last call to `text`, a megabyte of them at most; what stands behind
  /// the last line end waits. Throws `InputError` for what is no plain file, cannot be read, is no text, or has a line
  /// of more than 4 MB.
  News read(std::string& text);

  /// As messages name it.
  std::string name() const;

 private:
  News open();
  bool is_ready() const;
  bool was_replaced() const;

  std::filesystem::path file_;  ///< empty: of a pipe
  Descriptor source_;
  dev_t device_ = 0;
  ino_t number_ = 0;
  off_t given_ = 0;    ///< bytes that were read of the file
  std::string begun_;  ///< a line without its end
  bool is_first_line_ = true;
  std::vector<char> buffer_;
};

}  // namespace wainscot
