#include "io/files/output_files.hpp"

#include <optional>
#include <set>
#include <stdexcept>
#include <system_error>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/files/whole_file.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

void need_names_of_their_own(const std::vector<OutputFile>& files) {
  std::set<fs::path> names;
  for (const OutputFile& output : files) {
    if (!names.insert(fs::weakly_canonical(fs::absolute(output.file))).second) {
      throw InputError(shown(output.file) + ": is asked for twice; give each output its own name");
    }
  }
}

/// A folder that is filled under another name beside its own, and takes that when all is in it; else it is removed.
class WorkingFolder {
 public:
  explicit WorkingFolder(const fs::path& folder) : folder_(without_slash(folder)), working_(working_name(folder_)) {
    remove_what_killed_runs_left(folder_);
    std::error_code error;
    if (!fs::create_directory(working_, error)) fail(error ? error.message() : "something else is there");
  }
  WorkingFolder(const WorkingFolder&) = delete;
  WorkingFolder& operator=(const WorkingFolder&) = delete;
  ~WorkingFolder() {
    std::error_code ignored;
    for (const fs::path& file : files_) fs::remove(file, ignored);
    if (!working_.empty()) fs::remove(working_, ignored);
  }
  bool holds(const fs::path& file) const { return file.lexically_normal().parent_path() == folder_; }
  void write(const OutputFile& output) {
    const fs::path file = working_ / output.file.filename();
    files_.push_back(file);
    try {
      write_new_file(file, output.bytes);
    } catch (const std::runtime_error& error) {
      throw InputError(fmt::format("{}: cannot be written ({}); choose another name or free some space",
                                   shown(output.file), error.what()));
    }
  }
  void take_name() {
    std::error_code error;
    fs::rename(working_, folder_, error);
    if (error) fail(error.message());
    working_.clear();
    files_.clear();
  }

 private:
  static fs::path without_slash(const fs::path& folder) {
    const fs::path plain = folder.lexically_normal();
    return plain.has_filename() ? plain : plain.parent_path();
  }
  [[noreturn]] void fail(const std::string& reason) const {
    throw InputError(fmt::format("{}: cannot be made ({}); make the folder before it first or choose another name",
                                 shown(folder_), reason));
  }

  fs::path folder_;
  fs::path working_;
  std::vector<fs::path> files_;
};

}  // namespace

void write_output_files(const std::vector<OutputFile>& files, const fs::path& folder, bool replace) {
  need_names_of_their_own(files);
  for (const OutputFile& output : files) require_outside_maps(output.file);
  std::optional<WorkingFolder> new_folder;
  if (!folder.empty() && !fs::exists(folder)) new_folder.emplace(folder);
  const auto in_new_folder = [&](const OutputFile& output) { return new_folder && new_folder->holds(output.file); };
  for (const OutputFile& output : files) {
    if (!in_new_folder(output)) check_whole_file_destination(output.file, replace);
  }
  // All the writing first: the names are then taken in no time, and a run that is stopped leaves none of them.
  std::vector<WorkingFile> written;
  for (const OutputFile& output : files) {
    if (in_new_folder(output)) {
      new_folder->write(output);
    } else {
      written.emplace_back(output.file, output.bytes);
    }
  }
  for (WorkingFile& file : written) file.take_name();
  if (new_folder) new_folder->take_name();
}

}  // namespace wainscot
