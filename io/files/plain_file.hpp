#pragma once

// Files of a folder that somebody else may have made: only what is a plain file in that folder itself is read. A link
// may lead anywhere, a pipe makes its reader wait, and a device never ends.

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>

#include "io/files/descriptor.hpp"

namespace wainscot {

/// A file that is open for reading, or why it is not.
struct OpenedFile {
  Descriptor descriptor;    ///< none where it could not be opened
  int error = 0;            ///< errno of that
  bool is_plain = false;    ///< what is open is neither a pipe nor a device nor a folder
  bool is_link = false;     ///< the name is that of a link: what is open, if anything, stands elsewhere
  std::uintmax_t size = 0;  ///< bytes
};

enum class Links { refuse, follow };

/// Opens without waiting for the other end of a pipe.
OpenedFile opened_file(const std::filesystem::path& file, Links links);

/// The path of `name` in `folder`. Throws `InputError` where that is not a plain file which may be read: it is missing,
/// a link, pipe, device or folder, or lacks the permission. `name` is the name of a file, without any folder.
std::filesystem::path plain_file(const std::filesystem::path& folder, const std::string& name);

/// All of its bytes. Throws `InputError` as `plain_file` does, and where it has more than `most_bytes`; what a file
/// holds beyond those is never read.
std::string read_plain_file(const std::filesystem::path& folder, const std::string& name, std::size_t most_bytes);

/// The first bytes of a file, `most_bytes` of them at most; empty where there is none that is plain and may be read.
/// Links are followed.
std::string file_start(const std::filesystem::path& file, std::size_t most_bytes);

}  // namespace wainscot
