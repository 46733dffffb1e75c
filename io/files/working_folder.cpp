#include "io/files/working_folder.hpp"

#include <algorithm>
#include <cctype>
#include <cerrno>
#include <memory>
#include <string_view>
#include <system_error>
#include <utility>

#include <dirent.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr const char* kMark = "wainscot-writes-here";
constexpr std::size_t kRandomCharacters = 6;  // as mkdtemp wants them

fs::path parent_of(const fs::path& name) { return name.has_parent_path() ? name.parent_path() : fs::path("."); }

std::string working_prefix(const fs::path& name) { return fmt::format(".{}.writing-", name.filename().string()); }

bool is_working_name(std::string_view name, std::string_view prefix) {
  if (!name.starts_with(prefix) || name.size() != prefix.size() + kRandomCharacters) return false;
  return std::all_of(name.begin() + static_cast<std::ptrdiff_t>(prefix.size()), name.end(),
                     [](unsigned char c) { return std::isalnum(c) != 0; });
}

Descriptor open_folder_in(const Descriptor& parent, const char* name) {
  return Descriptor(::openat(parent.number(), name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC));
}

/// Whether an open file or folder is of this kind and belongs to this user.
bool is_our(mode_t kind, const Descriptor& opened) {
  struct stat status {};
  return opened.valid() && ::fstat(opened.number(), &status) == 0 && (status.st_mode & S_IFMT) == kind &&
         status.st_uid == ::geteuid();
}

bool is_there_still(const Descriptor& file) {
  struct stat status {};
  return ::fstat(file.number(), &status) == 0 && status.st_nlink > 0;
}

/// Calls `visit` with each name in a folder. It may remove what has the name. Needs no memory of `new`, so that a
/// folder is removed in a shortage too.
template <typename Visit>
void visit_names_in(const Descriptor& folder, const Visit& visit) {
  const int again = ::openat(folder.number(), ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);  // closedir closes this one
  if (again < 0) return;
  struct Close {
    void operator()(DIR* open) const { ::closedir(open); }
  };
  const std::unique_ptr<DIR, Close> open(::fdopendir(again));
  if (!open) {
    ::close(again);
    return;
  }
  while (const dirent* const entry = ::readdir(open.get())) {
    const char* const name = static_cast<const char*>(entry->d_name);
    if (name != std::string_view(".") && name != std::string_view("..")) visit(name);
  }
}

/// Removes the files in it, then the folder: unlinkat takes links themselves, and folders only where they are empty.
void remove_with_files(const Descriptor& parent, const char* name) {
  const Descriptor folder = open_folder_in(parent, name);
  if (!folder.valid()) return;
  visit_names_in(folder, [&folder](const char* file) { ::unlinkat(folder.number(), file, 0); });
  ::unlinkat(parent.number(), name, AT_REMOVEDIR);
}

/// The mark goes last, so that what cannot be removed now is known later; and closed, since where a file is on another
/// machine (NFS), one that is open stays under a name of its own.
void remove_working_folder(const Descriptor& parent, const char* name, const Descriptor& folder, Descriptor mark) {
  bool empty = true;
  visit_names_in(folder, [&folder, &empty](const char* entry) {
    if (entry == std::string_view(kMark) || ::unlinkat(folder.number(), entry, 0) == 0) return;
    remove_with_files(folder, entry);
    empty = empty && ::faccessat(folder.number(), entry, F_OK, AT_SYMLINK_NOFOLLOW) != 0;
  });
  if (!empty) return;
  mark = Descriptor();
  ::unlinkat(folder.number(), kMark, 0);
  ::unlinkat(parent.number(), name, AT_REMOVEDIR);
}

[[noreturn]] void fail(const fs::path& name, int error) {
  throw InputError(fmt::format("{}: cannot be written ({}); choose another name or free some space", shown(name),
                               std::generic_category().message(error)));
}

}  // namespace

WorkingFolder::WorkingFolder(const fs::path& name) {
  remove_what_killed_runs_left(name);
  parent_ = Descriptor(::open(parent_of(name).c_str(), O_PATH | O_DIRECTORY | O_CLOEXEC));
  if (!parent_.valid()) fail(name, errno);
  // Between making the folder and locking its mark another run may take it for one that is left, and remove it.
  constexpr int most_tries = 100;
  for (int i = 0; i < most_tries && !mark_.valid(); ++i) try_to_make(name);
  if (!mark_.valid()) fail(name, EBUSY);
}

void WorkingFolder::try_to_make(const fs::path& name) {
  const std::string form = working_prefix(name) + std::string(kRandomCharacters, 'X');
  path_ = (parent_of(name) / form).string();
  name_length_ = form.size();
  // From here on without memory of `new`, so that a shortage leaves nothing.
  if (::mkdtemp(path_.data()) == nullptr) fail(name, errno);
  folder_ = open_folder_in(parent_, name_in_parent());
  constexpr int new_file = O_RDWR | O_CREAT | O_EXCL | O_CLOEXEC;
  Descriptor mark(folder_.valid() ? ::openat(folder_.number(), kMark, new_file, 0600) : -1);
  if (!mark.valid()) {
    const int error = errno;
    ::unlinkat(parent_.number(), name_in_parent(), AT_REMOVEDIR);
    if (error != ENOENT) fail(name, error);
    return;
  }
  // Where locks are not known, no other run can lock it either, so that none removes it.
  if (::flock(mark.number(), LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK) return;
  if (is_there_still(mark)) mark_ = std::move(mark);
}

WorkingFolder::~WorkingFolder() {
  if (mark_.valid()) remove_working_folder(parent_, name_in_parent(), folder_, std::move(mark_));
}

bool is_being_written(const fs::path& name) {
  const Descriptor parent(::open(parent_of(name).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (!parent.valid()) return false;
  const std::string prefix = working_prefix(name);
  bool found = false;
  visit_names_in(parent, [&](const char* entry) {
    if (found || !is_working_name(entry, prefix)) return;
    const Descriptor folder = open_folder_in(parent, entry);
    if (!folder.valid()) return;
    const Descriptor mark(::openat(folder.number(), kMark, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
    found = mark.valid() && ::flock(mark.number(), LOCK_SH | LOCK_NB) != 0 && errno == EWOULDBLOCK;
  });
  return found;
}

void remove_what_killed_runs_left(const fs::path& name) {
  const Descriptor parent(::open(parent_of(name).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (!parent.valid()) return;
  const std::string prefix = working_prefix(name);
  visit_names_in(parent, [&](const char* entry) {
    if (!is_working_name(entry, prefix)) return;
    const Descriptor folder = open_folder_in(parent, entry);
    if (!is_our(S_IFDIR, folder)) return;
    Descriptor mark(::openat(folder.number(), kMark, O_RDWR | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC));
    if (!mark.valid()) {
      // A run was killed before it could make the mark, or after it had removed it: nothing is in there, or it stays.
      ::unlinkat(parent.number(), entry, AT_REMOVEDIR);
    } else if (is_our(S_IFREG, mark) && ::flock(mark.number(), LOCK_EX | LOCK_NB) == 0) {
      remove_working_folder(parent, entry, folder, std::move(mark));
    }
  });
}

}  // namespace wainscot
