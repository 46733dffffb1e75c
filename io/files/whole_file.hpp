#pragma once

#include <filesystem>
#include <string_view>

#include "io/files/taken_names.hpp"
#include "io/files/working_folder.hpp"

namespace wainscot {

/// Makes a new file and brings it to the disk (fsync). Throws std::runtime_error with the system's reason where it
/// exists already or cannot be written; then it may be there in part.
void write_new_file(const std::filesystem::path& file, std::string_view bytes);

/// A file's bytes, on the disk in a working folder beside it, until it takes its name; removed again where it never
/// does.
class WorkingFile {
 public:
  /// Throws `InputError` where it cannot be written, `Stopped` where a signal came.
  WorkingFile(std::filesystem::path file, std::string_view bytes);
  /// In one step of the file system. Throws `InputError` where that fails: where the name is not free, unless it is
  /// that of a file and `replace` is true.
  void take_name(bool replace = false) { take_names({new_name(replace)}); }
  /// For `take_names`, together with others.
  NewName new_name(bool replace) const { return {folder_.made(), file_, replace}; }

 private:
  std::filesystem::path file_;
  WorkingFolder folder_;
};

/// Removes what killed runs left beside it. Throws `InputError` where the name is not free, unless it is that of a file
/// and `replace` is true, and where it lies in a map's folder.
void require_fitting_name(const std::filesystem::path& file, bool replace);

/// Writes a file whole or not at all: elsewhere first, then it takes its name. Throws `InputError` where it cannot be
/// written, where it would lie in a map's folder, or where it is there already and `replace` is false.
void write_whole_file(const std::filesystem::path& file, std::string_view bytes, bool replace);

/// Throws the `InputError` with which `write_whole_file` would end now; a file that is there stays as it is: for asking
/// before long work.
void check_whole_file_destination(const std::filesystem::path& file, bool replace);

}  // namespace wainscot
