#include "io/files/plain_file.hpp"

#include <cerrno>
#include <cstdint>
#include <system_error>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// Closes itself.
class OpenFile {
 public:
  /// Without waiting for the other end of a pipe. `flags`: O_NOFOLLOW, or 0.
  OpenFile(const fs::path& file, int flags)
      : number_(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | flags)),
        error_(number_ < 0 ? errno : 0),
        plain_(number_ >= 0 && ::fstat(number_, &status_) == 0 && S_ISREG(status_.st_mode)) {}
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;
  ~OpenFile() {
    if (number_ >= 0) ::close(number_);
  }

  int error() const { return error_; }
  bool is_plain() const { return plain_; }
  std::uintmax_t size() const { return static_cast<std::uintmax_t>(status_.st_size); }

  /// What it has, `most_bytes` at most. Sets `error`.
  std::string read(std::size_t most_bytes) {
    std::string bytes(most_bytes, '\0');
    std::size_t filled = 0;
    while (filled < most_bytes) {
      const ssize_t got = ::read(number_, bytes.data() + filled, most_bytes - filled);
      if (got < 0 && errno == EINTR) continue;
      if (got < 0) error_ = errno;
      if (got <= 0) break;
      filled += static_cast<std::size_t>(got);
    }
    bytes.resize(filled);
    return bytes;
  }

 private:
  struct stat status_ {};
  int number_;
  int error_;
  bool plain_;
};

void require_plain(const OpenFile& open, const fs::path& file) {
  if (open.is_plain()) return;
  // A link was not followed (ELOOP); a socket, or a pipe that only its owner reads, cannot be opened so (ENXIO).
  if (open.error() == 0 || open.error() == ELOOP || open.error() == ENXIO) {
    throw InputError(
        fmt::format("{}: is a link, a pipe, a device or a folder, and only plain files are read here; put the file "
                    "itself in its place",
                    shown(file)));
  }
  throw InputError(fmt::format("{}: cannot be opened ({}); check {}", shown(file),
                               std::generic_category().message(open.error()),
                               open.error() == ENOENT ? "the name" : "the permissions"));
}

}  // namespace

fs::path plain_file(const fs::path& folder, const std::string& name) {
  fs::path file = folder / name;
  require_plain(OpenFile(file, O_NOFOLLOW), file);
  return file;
}

std::string read_plain_file(const fs::path& folder, const std::string& name, std::size_t most_bytes) {
  const fs::path file = folder / name;
  OpenFile open(file, O_NOFOLLOW);
  require_plain(open, file);
  if (open.size() > most_bytes) {
    throw InputError(fmt::format("{}: has {} bytes, and such a file has {} at most; check that it is the right one",
                                 shown(file), open.size(), most_bytes));
  }
  std::string bytes = open.read(static_cast<std::size_t>(open.size()));
  if (open.error() != 0) {
    throw InputError(fmt::format("{}: cannot be read ({}); check the disk", shown(file),
                                 std::generic_category().message(open.error())));
  }
  return bytes;
}

std::string file_start(const fs::path& file, std::size_t most_bytes) {
  OpenFile open(file, 0);
  return open.is_plain() ? open.read(most_bytes) : std::string();
}

}  // namespace wainscot
