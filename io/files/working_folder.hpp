#pragma once

// Whatever the program writes is made in a folder of its own beside the name that it will have, `.NAME.writing-XXXXXX`,
// so that it takes its name in one step of the file system when it is whole. Whoever kills the program leaves such a
// folder, which the next run for the same name removes.

#include <cstddef>
#include <filesystem>
#include <string>

#include "io/files/descriptor.hpp"
#include "io/files/stop_signal.hpp"

namespace wainscot {

/// Holds a file of its own, the mark by which a later run knows it, locked while this process lives (flock, where the
/// file system can), and what is made. Removes itself with all that; signals that stop the program wait until then.
class WorkingFolder {
 public:
  /// Beside `name`, which need not be there; removes what killed runs left there first. Throws `InputError` where it
  /// cannot be made.
  explicit WorkingFolder(const std::filesystem::path& name);
  WorkingFolder(WorkingFolder&&) = default;
  WorkingFolder& operator=(WorkingFolder&&) = delete;
  ~WorkingFolder();

  /// Where to make the file or the folder that shall take the name. What is there in the end is removed: a file, or a
  /// folder with the files in it, but no folder that is in there.
  std::filesystem::path made() const { return std::filesystem::path(path_) / "made"; }

 private:
  void try_to_make(const std::filesystem::path& name);
  const char* name_in_parent() const { return path_.c_str() + path_.size() - name_length_; }

  StopDelay delay_;
  Descriptor parent_;
  Descriptor folder_;
  Descriptor mark_;  ///< none: there is nothing to remove
  std::string path_;
  std::size_t name_length_ = 0;  ///< of the folder's name, with which its path ends
};

/// Whether a process that runs holds such a folder beside `name`.
bool is_being_written(const std::filesystem::path& name);

/// Removes such folders beside `name` whose process runs no longer: real folders of this user, with the mark and
/// without a lock. No link is followed, and nothing else is touched.
void remove_what_killed_runs_left(const std::filesystem::path& name);

}  // namespace wainscot
