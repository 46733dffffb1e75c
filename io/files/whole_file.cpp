#include "io/files/whole_file.hpp"

#include <cerrno>
#include <stdexcept>
#include <string>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/files/stop_signal.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// Writes, syncs and closes. Throws std::runtime_error.
void write_and_close(int descriptor, std::string_view bytes) {
  int error = 0;
  while (error == 0 && !bytes.empty()) {
    const ssize_t written = ::write(descriptor, bytes.data(), bytes.size());
    if (written >= 0) {
      bytes.remove_prefix(static_cast<std::size_t>(written));
    } else if (errno != EINTR) {
      error = errno;
    }
  }
  if (error == 0 && ::fsync(descriptor) != 0) error = errno;
  if (::close(descriptor) != 0 && error == 0) error = errno;
  if (error != 0) throw std::runtime_error(std::generic_category().message(error));
}

[[noreturn]] void fail(const fs::path& file, const std::string& reason) {
  throw InputError(
      fmt::format("{}: cannot be written ({}); choose another name or free some space", shown(file), reason));
}

}  // namespace

void require_fitting_name(const fs::path& file, bool replace) {
  require_outside_maps(file);
  remove_what_killed_runs_left(file);
  std::error_code ignored;
  if (!replace && fs::exists(fs::symlink_status(file, ignored))) {
    throw InputError(shown(file) + ": exists already; give --replace or choose another name");
  }
  const fs::file_status status = fs::status(file, ignored);
  if (fs::is_directory(status)) fail(file, std::generic_category().message(EISDIR));
  if (fs::exists(status) && !fs::is_regular_file(status)) fail(file, "it is no plain file");
}

void write_new_file(const fs::path& file, std::string_view bytes) {
  stop_if_asked();
  const int descriptor = ::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (descriptor < 0) throw std::runtime_error(std::generic_category().message(errno));
  write_and_close(descriptor, bytes);
  stop_if_asked();
}

WorkingFile::WorkingFile(fs::path file, std::string_view bytes) : file_(std::move(file)), folder_(file_) {
  try {
    write_new_file(folder_.made(), bytes);
  } catch (const std::runtime_error& error) {
    fail(file_, error.what());
  }
}

void write_whole_file(const fs::path& file, std::string_view bytes, bool replace) {
  require_fitting_name(file, replace);
  WorkingFile(file, bytes).take_name(replace);
}

void check_whole_file_destination(const fs::path& file, bool replace) {
  require_fitting_name(file, replace);
  const WorkingFile probe(file, "");
}

}  // namespace wainscot
