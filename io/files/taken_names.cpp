#include "io/files/taken_names.hpp"

#include <cerrno>
#include <cstdio>
#include <set>
#include <string>
#include <system_error>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/descriptor.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

bool is_same(const struct stat& one, const struct stat& other) {
  return one.st_dev == other.st_dev && one.st_ino == other.st_ino;
}

/// As far as the file system can: some know no fsync of a folder, and it need not be readable.
void bring_to_disk(const fs::path& folder) {
  const Descriptor open(::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (open.valid()) ::fsync(open.number());
}

/// An empty file takes the name, since that fails where anything has it, and the file that was made replaces it.
/// Returns 0 or the error.
int rename_over_empty_file(const fs::path& from, const fs::path& to) {
  const Descriptor empty(::open(to.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666));
  if (!empty.valid()) return errno;
  if (::rename(from.c_str(), to.c_str()) == 0) return 0;
  const int error = errno;
  struct stat ours {};
  struct stat there {};
  if (::fstat(empty.number(), &ours) == 0 && ::lstat(to.c_str(), &there) == 0 && is_same(ours, there)) {
    ::unlink(to.c_str());
  }
  return error;
}

/// Without the flags of renameat2. Returns 0 or the error.
int rename_to_free_name_by_links(const fs::path& from, const fs::path& to) {
  struct stat status {};
  if (::lstat(from.c_str(), &status) != 0) return errno;
  if (S_ISDIR(status.st_mode)) {
    // A plain rename of a folder replaces an empty folder at most.
    if (::rename(from.c_str(), to.c_str()) == 0) return 0;
    return errno == ENOTEMPTY || errno == ENOTDIR ? EEXIST : errno;
  }
  if (::link(from.c_str(), to.c_str()) == 0) {
    ::unlink(from.c_str());
    return 0;
  }
  const bool knows_no_links = errno == EPERM || errno == EOPNOTSUPP || errno == ENOSYS || errno == EMLINK;
  return knows_no_links ? rename_over_empty_file(from, to) : errno;
}

/// Fails with EEXIST where anything has the name. Returns 0 or the error.
int rename_to_free_name(const fs::path& from, const fs::path& to) {
  if (::renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), RENAME_NOREPLACE) == 0) return 0;
  return errno == EINVAL || errno == ENOSYS ? rename_to_free_name_by_links(from, to) : errno;
}

/// A name that was taken, and how to give it back.
class TakenName {
 public:
  /// `kept` is a free name beside what was made.
  TakenName(const NewName& name, const fs::path& kept) : made_(name.made), name_(name.name) {
    struct stat old {};
    ::lstat(made_.c_str(), &status_);
    was_there_ = name.replace && ::lstat(name_.c_str(), &old) == 0;
    if (S_ISDIR(status_.st_mode)) bring_to_disk(made_);
    error_ = was_there_ ? replace(kept) : rename_to_free_name(made_, name_);
  }
  /// 0: it was taken.
  int error() const { return error_; }
  bool is_folder() const { return S_ISDIR(status_.st_mode); }
  const fs::path& name() const { return name_; }
  /// False: it stays taken.
  bool give_back() const {
    struct stat there {};
    if (::lstat(name_.c_str(), &there) != 0 || !is_same(there, status_)) return true;  // another's by now
    if (!was_there_) return ::rename(name_.c_str(), made_.c_str()) == 0;
    if (is_folder()) return exchange_names(made_, name_);
    return !kept_.empty() && ::rename(kept_.c_str(), name_.c_str()) == 0;
  }

 private:
  int replace(const fs::path& kept) {
    if (is_folder()) return exchange_names(made_, name_) ? 0 : errno;
    if (::link(name_.c_str(), kept.c_str()) == 0) kept_ = kept;
    return ::rename(made_.c_str(), name_.c_str()) == 0 ? 0 : errno;
  }

  fs::path made_;
  fs::path name_;
  fs::path kept_;  ///< empty: what was there is gone
  struct stat status_ {};
  bool was_there_ = false;
  int error_ = 0;
};

std::string sentence_of(const NewName& name, const TakenName& taken) {
  if (taken.error() == EEXIST) {
    return fmt::format(
        "{}: has come to be since this began, and stays as it is; choose another name, or try again with --replace",
        shown(name.name));
  }
  const bool no_exchange = taken.is_folder() && (taken.error() == EINVAL || taken.error() == ENOSYS);
  return fmt::format("{}: cannot be written ({}); choose another name or free some space", shown(name.name),
                     no_exchange ? kNoExchange : std::generic_category().message(taken.error()));
}

}  // namespace

void take_names(const std::vector<NewName>& names) {
  std::vector<TakenName> taken;
  for (const NewName& name : names) {
    const TakenName now(name, name.made.parent_path() / fmt::format("kept-{}", taken.size()));
    if (now.error() == 0) {
      taken.push_back(now);
      continue;
    }
    std::string sentence = sentence_of(name, now);
    for (; !taken.empty(); taken.pop_back()) {
      if (!taken.back().give_back()) sentence += fmt::format("; {} was written already", shown(taken.back().name()));
    }
    throw InputError(sentence);
  }
  std::set<fs::path> folders;
  for (const NewName& name : names) folders.insert(name.name.parent_path());
  for (const fs::path& folder : folders) bring_to_disk(folder);
}

bool exchange_names(const fs::path& one, const fs::path& other) {
  bring_to_disk(one);
  if (::renameat2(AT_FDCWD, one.c_str(), AT_FDCWD, other.c_str(), RENAME_EXCHANGE) != 0) return false;
  bring_to_disk(one.parent_path());
  bring_to_disk(other.parent_path());
  return true;
}

}  // namespace wainscot
