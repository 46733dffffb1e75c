#include "io/files/whole_file.hpp"

#include <cerrno>
#include <charconv>
#include <csignal>
#include <cstdio>
#include <stdexcept>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"

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

std::string working_prefix(const fs::path& file) { return fmt::format(".{}.writing-", file.filename().string()); }

fs::path parent_of(const fs::path& file) { return file.has_parent_path() ? file.parent_path() : fs::path("."); }

/// Whether a working name ends in the number of a process that runs no longer.
bool is_left_behind(const std::string& number) {
  pid_t process = 0;
  const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), process);
  if (error != std::errc() || end != number.data() + number.size() || process <= 0) return false;
  return ::kill(process, 0) != 0 && errno == ESRCH;
}

[[noreturn]] void fail(const fs::path& file, const std::string& reason) {
  throw InputError(
      fmt::format("{}: cannot be written ({}); choose another name or free some space", shown(file), reason));
}

void need_free_name(const fs::path& file, bool replace) {
  require_outside_maps(file);
  if (!replace && fs::exists(file)) {
    throw InputError(shown(file) + ": exists already; give --replace or choose another name");
  }
}

}  // namespace

fs::path working_name(const fs::path& file) {
  return parent_of(file) / fmt::format("{}{}", working_prefix(file), ::getpid());
}

void remove_what_killed_runs_left(const fs::path& file) {
  const std::string prefix = working_prefix(file);
  std::error_code error;
  std::vector<fs::path> left;
  for (const auto& entry : fs::directory_iterator(parent_of(file), error)) {
    const std::string name = entry.path().filename().string();
    if (name.rfind(prefix, 0) == 0 && is_left_behind(name.substr(prefix.size()))) left.push_back(entry.path());
  }
  for (const fs::path& path : left) {
    for (const auto& entry : fs::directory_iterator(path, error)) fs::remove(entry.path(), error);
    fs::remove(path, error);
  }
}

void write_new_file(const fs::path& file, std::string_view bytes) {
  const int descriptor = ::open(file.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
  if (descriptor < 0) throw std::runtime_error(std::generic_category().message(errno));
  write_and_close(descriptor, bytes);
}

WorkingFile::WorkingFile(fs::path file, std::string_view bytes)
    : file_(std::move(file)), working_(working_name(file_)) {
  try {
    write_new_file(working_, bytes);
  } catch (const std::runtime_error& error) {
    std::error_code ignored;
    fs::remove(working_, ignored);
    fail(file_, error.what());
  }
}

WorkingFile::~WorkingFile() {
  std::error_code ignored;
  if (!working_.empty()) fs::remove(working_, ignored);
}

void WorkingFile::take_name() {
  if (::rename(working_.c_str(), file_.c_str()) != 0) fail(file_, std::generic_category().message(errno));
  working_.clear();
}

void write_whole_file(const fs::path& file, std::string_view bytes, bool replace) {
  need_free_name(file, replace);
  WorkingFile(file, bytes).take_name();
}

void check_whole_file_destination(const fs::path& file, bool replace) {
  need_free_name(file, replace);
  std::error_code ignored;
  remove_what_killed_runs_left(file);
  if (fs::is_directory(file, ignored)) fail(file, std::generic_category().message(EISDIR));
  const fs::path working = working_name(file);
  try {
    write_new_file(working, "");
  } catch (const std::runtime_error& error) {
    fail(file, error.what());
  }
  fs::remove(working, ignored);
}

}  // namespace wainscot
