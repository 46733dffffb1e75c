#pragma once

#include <filesystem>
#include <string_view>
#include <utility>

namespace wainscot {

/// Makes a new file and brings it to the disk (fsync). Throws std::runtime_error with the system's reason where it
/// exists already or cannot be written; then it may be there in part.
void write_new_file(const std::filesystem::path& file, std::string_view bytes);

/// The name under which this process writes a file, or fills a folder, before that takes its own.
std::filesystem::path working_name(const std::filesystem::path& file);

/// Removes what processes that run no longer left under such names: a file, or a folder with the files in it.
void remove_what_killed_runs_left(const std::filesystem::path& file);

/// A file's bytes, on the disk under another name beside it, until it takes its own; removed again where it never does.
class WorkingFile {
 public:
  /// Throws `InputError` where it cannot be written.
  WorkingFile(std::filesystem::path file, std::string_view bytes);
  WorkingFile(WorkingFile&& other) noexcept : file_(std::move(other.file_)), working_(std::move(other.working_)) {
    other.working_.clear();
  }
  WorkingFile(const WorkingFile&) = delete;
  WorkingFile& operator=(const WorkingFile&) = delete;
  WorkingFile& operator=(WorkingFile&&) = delete;
  ~WorkingFile();
  /// In one step of the file system, over whatever has the name. Throws `InputError` where that fails.
  void take_name();

 private:
  std::filesystem::path file_;
  std::filesystem::path working_;  ///< empty: no longer there
};

/// Writes a file whole or not at all: under another name first, then renamed. Throws `InputError` where it cannot be
/// written, where it would lie in a map's folder, or where it is there already and `replace` is false.
void write_whole_file(const std::filesystem::path& file, std::string_view bytes, bool replace);

/// Throws the `InputError` with which `write_whole_file` would end now; a file that is there stays as it is: for asking
/// before long work.
void check_whole_file_destination(const std::filesystem::path& file, bool replace);

}  // namespace wainscot
