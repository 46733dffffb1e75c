#include "io/files/output_files.hpp"

#include <algorithm>
#include <cerrno>
#include <list>
#include <optional>
#include <set>
#include <stdexcept>
#include <system_error>

#include <sys/stat.h>
#include <sys/xattr.h>
#include <unistd.h>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/files/stop_signal.hpp"
#include "io/files/taken_names.hpp"
#include "io/files/whole_file.hpp"
#include "io/files/working_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

bool is_there(const fs::path& path) {
  std::error_code ignored;
  return fs::exists(path, ignored);
}

/// Without links, dots and a trailing slash, as far as it is there.
fs::path plain_name(const fs::path& name) {
  std::error_code error;
  fs::path plain = fs::weakly_canonical(fs::absolute(name), error);
  if (error) plain = fs::absolute(name).lexically_normal();
  return plain.has_filename() ? plain : plain.parent_path();
}

bool lies_in(const fs::path& file, const fs::path& folder) {
  return !folder.empty() && plain_name(file.has_parent_path() ? file.parent_path() : ".") == plain_name(folder);
}

/// A folder that is filled under another name.
class NewFolder {
 public:
  explicit NewFolder(const fs::path& folder) : folder_(plain_name(folder)), working_(require_parent(folder_)) {
    std::error_code error;
    if (!fs::create_directory(made(), error)) fail(folder_, error.message());
  }
  const fs::path& folder() const { return folder_; }
  fs::path made() const { return working_.made(); }
  void write(const OutputFile& output) const {
    try {
      write_new_file(made() / output.file.filename(), output.bytes);
    } catch (const std::runtime_error& error) {
      throw InputError(fmt::format("{}: cannot be written ({}); choose another name or free some space",
                                   shown(output.file), error.what()));
    }
  }

 private:
  [[noreturn]] static void fail(const fs::path& folder, const std::string& reason) {
    throw InputError(fmt::format("{}: cannot be made ({}); make the folder before it first or choose another name",
                                 shown(folder), reason));
  }
  static const fs::path& require_parent(const fs::path& folder) {
    std::error_code error;
    if (!fs::is_directory(folder.parent_path(), error)) fail(folder, std::generic_category().message(ENOENT));
    return folder;
  }

  fs::path folder_;
  WorkingFolder working_;
};

struct stat status_of(const fs::path& path) {
  struct stat status {};
  if (::lstat(path.c_str(), &status) != 0) status = {};
  return status;
}

/// Whether a folder is no one else's, has no rights of its own beside its mode (its list of attributes is as long as
/// that of the new one), and is not where this process stands, which would find itself in a folder without a name.
bool may_be_exchanged(const fs::path& folder, const fs::path& made) {
  const struct stat old = status_of(folder);
  const struct stat fresh = status_of(made);
  std::error_code error;
  const fs::path here = fs::current_path(error);
  const bool holds_here = std::mismatch(folder.begin(), folder.end(), here.begin(), here.end()).first == folder.end();
  return S_ISDIR(old.st_mode) && old.st_uid == fresh.st_uid && old.st_gid == fresh.st_gid && !holds_here && !error &&
         ::listxattr(folder.c_str(), nullptr, 0) == ::listxattr(made.c_str(), nullptr, 0) &&
         ::chmod(made.c_str(), old.st_mode & 07777) == 0;
}

/// Gives the files of `old` that are not the outputs' namesakes a second name in `made`. False: one of them cannot have
/// one, as folders cannot.
bool link_others(const fs::path& old, const fs::path& made, const std::set<fs::path>& outputs) {
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(old, error)) {
    const fs::path name = made / entry.path().filename();
    if (S_ISDIR(status_of(entry.path()).st_mode)) return false;
    if (outputs.count(entry.path().filename()) > 0) continue;
    if (status_of(name).st_nlink == 0 && ::link(entry.path().c_str(), name.c_str()) != 0) return false;
  }
  return !error;
}

/// Whether all that is in `old` is in `folder` too: the outputs' namesakes, and the very same others.
bool keeps_all(const fs::path& old, const fs::path& folder, const std::set<fs::path>& outputs) {
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(old, error)) {
    const fs::path name = entry.path().filename();
    if (outputs.count(name) == 0 && status_of(entry.path()).st_ino != status_of(folder / name).st_ino) return false;
  }
  return !error;
}

/// A folder that is there and the new one in its place, for as long as it is not given back.
class ExchangedFolder {
 public:
  ExchangedFolder(const NewFolder& fresh, const std::set<fs::path>& outputs)
      : folder_(fresh.folder()), other_(fresh.made()) {
    exchanged_ =
        may_be_exchanged(folder_, other_) && link_others(folder_, other_, outputs) && exchange_names(other_, folder_);
    try {
      if (exchanged_ && !keeps_all(other_, folder_, outputs)) give_back();  // something came in between
    } catch (...) {
      give_back();
      throw;
    }
  }
  bool is_in_place() const { return exchanged_; }
  void give_back() { exchanged_ = exchanged_ && !exchange_names(other_, folder_); }

 private:
  fs::path folder_;
  fs::path other_;
  bool exchanged_ = false;
};

[[noreturn]] void fail_to_exchange(const fs::path& folder) {
  throw InputError(fmt::format(
      "{}: cannot be replaced as a whole (a file, another user's, with folders in it, or where you are now); choose "
      "another name",
      shown(folder)));
}

std::optional<NewFolder> new_folder_for(const fs::path& folder, bool replace) {
  if (folder.empty()) return std::nullopt;
  if (!is_there(folder)) return NewFolder(folder);
  if (!replace) return std::nullopt;
  try {
    return NewFolder(folder);
  } catch (const InputError&) {
    return std::nullopt;  // nothing can be made beside it, but perhaps in it
  }
}

std::vector<fs::path> names_of(const std::vector<OutputFile>& files) {
  std::vector<fs::path> names;
  for (const OutputFile& output : files) names.push_back(output.file);
  return names;
}

void require_fitting_names(const std::vector<fs::path>& files, const fs::path& folder, bool replace) {
  std::vector<fs::path> names = files;
  names.push_back(folder);
  require_different_names(names);
  if (!folder.empty()) {
    require_outside_maps(folder);
    remove_what_killed_runs_left(plain_name(folder));
  }
  for (const fs::path& file : files) {
    if (!file.empty()) require_fitting_name(file, replace);
  }
}

}  // namespace

void require_different_names(const std::vector<fs::path>& names) {
  std::set<fs::path> seen;
  for (const fs::path& name : names) {
    if (!name.empty() && !seen.insert(plain_name(name)).second) {
      throw InputError(shown(name) + ": is asked for twice; give each output its own name");
    }
  }
}

void check_output_files(const std::vector<fs::path>& files, const fs::path& folder, bool replace) {
  require_fitting_names(files, folder, replace);
  const bool folder_is_new = !folder.empty() && !is_there(folder);
  if (folder_is_new) {
    const NewFolder probe(folder);
  }
  for (const fs::path& file : files) {
    if (!file.empty() && !(folder_is_new && lies_in(file, folder))) check_whole_file_destination(file, replace);
  }
}

void write_output_files(const std::vector<OutputFile>& files, const fs::path& folder, bool replace) {
  require_fitting_names(names_of(files), folder, replace);
  const bool folder_is_there = !folder.empty() && is_there(folder);
  const std::optional<NewFolder> new_folder = new_folder_for(folder, replace);
  // All the writing first: the names are then taken in no time, and a run that is stopped leaves none of them.
  std::list<WorkingFile> written;
  std::vector<NewName> beside_folder;
  std::vector<NewName> in_folder;
  std::set<fs::path> names_in_folder;
  for (const OutputFile& output : files) {
    if (new_folder && lies_in(output.file, folder)) {
      new_folder->write(output);
      names_in_folder.insert(output.file.filename());
      in_folder.push_back({new_folder->made() / output.file.filename(), output.file, replace});
    } else {
      beside_folder.push_back(written.emplace_back(output.file, output.bytes).new_name(replace));
    }
  }
  stop_if_asked();
  std::vector<NewName> names = beside_folder;
  std::optional<ExchangedFolder> exchanged;
  if (new_folder && folder_is_there) {
    exchanged.emplace(*new_folder, names_in_folder);
    if (!exchanged->is_in_place()) names.insert(names.end(), in_folder.begin(), in_folder.end());
  } else if (new_folder) {
    names.push_back({new_folder->made(), new_folder->folder(), false});
  }
  try {
    take_names(names);
  } catch (...) {
    if (exchanged) exchanged->give_back();
    throw;
  }
}

void check_output_folder(const fs::path& folder, bool replace) {
  if (folder.empty()) throw InputError("the name of the folder is empty; give a name as --out");
  require_fitting_names({}, folder, replace);
  if (is_map_folder(folder)) throw InputError(fmt::format("{}: is a map; choose another name", shown(folder)));
  if (is_there(folder) && !replace) {
    throw InputError(fmt::format(
        "{}: exists already; give --replace, which keeps its other files, or choose another name", shown(folder)));
  }
}

void write_output_folder(const fs::path& folder, bool replace, const std::set<fs::path>& own,
                         const std::function<void(const fs::path& made)>& fill) {
  check_output_folder(folder, replace);
  const bool is_old = is_there(folder);
  const NewFolder fresh(folder);
  if (is_old && !may_be_exchanged(fresh.folder(), fresh.made())) fail_to_exchange(folder);
  try {
    fill(fresh.made());
  } catch (const InputError&) {
    throw;
  } catch (const std::runtime_error& error) {
    throw InputError(
        fmt::format("{}: cannot be written ({}); choose another name or free some space", shown(folder), error.what()));
  }
  stop_if_asked();
  if (!is_old) {
    take_names({{fresh.made(), fresh.folder(), false}});
    return;
  }
  const ExchangedFolder exchanged(fresh, own);
  if (!exchanged.is_in_place()) fail_to_exchange(folder);
}

}  // namespace wainscot
