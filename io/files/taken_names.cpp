#include "io/files/taken_names.hpp"

#include <cerrno>
#include <cstdio>
#include <set>
#include <string>
#include <system_error>
#include <utility>

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

/// Nothing, of a file; of a folder as far as the file system can: some know no fsync of one, and it need not be
/// readable.
void bring_to_disk(const fs::path& folder) {
  const Descriptor open(::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (open.valid()) ::fsync(open.number());
}

bool exchange(const fs::path& one, const fs::path& other) {
  return ::renameat2(AT_FDCWD, one.c_str(), AT_FDCWD, other.c_str(), RENAME_EXCHANGE) == 0;
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

/// A name that can be taken and given back, both without memory of `new`.
class TakenName {
 public:
  /// `kept` is a free name beside what was made.
  TakenName(const NewName& name, fs::path kept)
      : made_(name.made), name_(name.name), kept_(std::move(kept)), replace_(name.replace) {}
  /// Returns 0 or the error.
  int take() {
    struct stat old {};
    ::lstat(made_.c_str(), &status_);
    was_there_ = replace_ && ::lstat(name_.c_str(), &old) == 0;
    if (!was_there_) return rename_to_free_name(made_, name_);
    if (is_folder()) return exchange(made_, name_) ? 0 : errno;
    is_kept_ = ::link(name_.c_str(), kept_.c_str()) == 0;
    return ::rename(made_.c_str(), name_.c_str()) == 0 ? 0 : errno;
  }
  bool is_folder() const { return S_ISDIR(status_.st_mode); }
  const fs::path& name() const { return name_; }
  /// False: it stays taken.
  bool give_back() const {
    struct stat there {};
    if (::lstat(name_.c_str(), &there) != 0 || !is_same(there, status_)) return true;  // another's by now
    if (!was_there_) return ::rename(name_.c_str(), made_.c_str()) == 0;
    if (is_folder()) return exchange(made_, name_);
    return is_kept_ && ::rename(kept_.c_str(), name_.c_str()) == 0;
  }

 private:
  fs::path made_;
  fs::path name_;
  fs::path kept_;
  bool replace_;
  bool is_kept_ = false;
  bool was_there_ = false;
  struct stat status_ {};
};

std::string sentence_of(const TakenName& name, int error) {
  if (error == EEXIST) {
    return fmt::format(
        "{}: has come to be since this began, and stays as it is; choose another name, or try again with --replace",
        shown(name.name()));
  }
  const bool no_exchange = name.is_folder() && (error == EINVAL || error == ENOSYS);
  return fmt::format("{}: cannot be written ({}); choose another name or free some space", shown(name.name()),
                     no_exchange ? kNoExchange : std::generic_category().message(error));
}

}  // namespace

void take_names(const std::vector<NewName>& names) {
  std::vector<TakenName> all;
  std::set<fs::path> folders;
  for (const NewName& name : names) {
    all.emplace_back(name, name.made.parent_path() / fmt::format("kept-{}", all.size()));
    bring_to_disk(name.made);
    folders.insert(name.name.parent_path());
  }
  for (std::size_t i = 0; i < all.size(); ++i) {
    const int error = all[i].take();
    if (error == 0) continue;
    std::vector<bool> stays(i, false);
    for (std::size_t taken = i; taken-- > 0;) stays[taken] = !all[taken].give_back();
    std::string sentence = sentence_of(all[i], error);
    for (std::size_t taken = 0; taken < i; ++taken) {
      if (stays[taken]) sentence += fmt::format("; {} was written already", shown(all[taken].name()));
    }
    throw InputError(sentence);
  }
  for (const fs::path& folder : folders) bring_to_disk(folder);
}

bool exchange_names(const fs::path& one, const fs::path& other) {
  const fs::path folder = one.parent_path();
  const fs::path other_folder = other.parent_path();
  bring_to_disk(one);
  if (!exchange(one, other)) return false;
  bring_to_disk(folder);
  bring_to_disk(other_folder);
  return true;
}

}  // namespace wainscot
