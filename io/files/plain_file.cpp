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

/// What it has, `most_bytes` at most. Sets `error`.
std::string bytes_of(OpenedFile& open, std::size_t most_bytes) {
  std::string bytes(most_bytes, '\0');
  std::size_t filled = 0;
  while (filled < most_bytes) {
    const ssize_t got = ::read(open.descriptor.number(), bytes.data() + filled, most_bytes - filled);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) open.error = errno;
    if (got <= 0) break;
    filled += static_cast<std::size_t>(got);
  }
  bytes.resize(filled);
  return bytes;
}

void require_plain(const OpenedFile& open, const fs::path& file) {
  if (open.is_plain) return;
  // A link was not followed; a socket, or a pipe that only its owner reads, cannot be opened so (ENXIO).
  if (open.is_link || open.error == 0 || open.error == ENXIO) {
    throw InputError(
        fmt::format("{}: is a link, a pipe, a device or a folder, and only plain files are read here; put the file "
                    "itself in its place",
                    shown(file)));
  }
  throw InputError(fmt::format("{}: cannot be opened ({}); check {}", shown(file),
                               std::generic_category().message(open.error),
                               open.error == ENOENT ? "the name" : "the permissions"));
}

}  // namespace

OpenedFile opened_file(const fs::path& file, Links links) {
  OpenedFile open;
  const auto descriptor = [&](int flags) {
    Descriptor result(::open(file.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK | flags));
    open.error = result.valid() ? 0 : errno;
    return result;
  };
  open.descriptor = descriptor(O_NOFOLLOW);
  open.is_link = open.error == ELOOP;
  if (open.is_link && links == Links::follow) open.descriptor = descriptor(0);
  struct stat status {};
  if (open.descriptor.valid() && ::fstat(open.descriptor.number(), &status) == 0) {
    open.is_plain = S_ISREG(status.st_mode);
    open.size = static_cast<std::uintmax_t>(status.st_size);
  }
  return open;
}

fs::path plain_file(const fs::path& folder, const std::string& name) {
  fs::path file = folder / name;
  require_plain(opened_file(file, Links::refuse), file);
  return file;
}

std::string read_plain_file(const fs::path& folder, const std::string& name, std::size_t most_bytes) {
  const fs::path file = folder / name;
  OpenedFile open = opened_file(file, Links::refuse);
  require_plain(open, file);
  if (open.size > most_bytes) {
    throw InputError(fmt::format("{}: has {} bytes, and such a file has {} at most; check that it is the right one",
                                 shown(file), open.size, most_bytes));
  }
  std::string bytes = bytes_of(open, static_cast<std::size_t>(open.size));
  if (open.error != 0) {
    throw InputError(fmt::format("{}: cannot be read ({}); check the disk", shown(file),
                                 std::generic_category().message(open.error)));
  }
  return bytes;
}

std::string file_start(const fs::path& file, std::size_t most_bytes) {
  OpenedFile open = opened_file(file, Links::follow);
  return open.is_plain ? bytes_of(open, most_bytes) : std::string();
}

}  // namespace wainscot
