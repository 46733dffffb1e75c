#pragma once

#include <filesystem>

#include "apps/batch/batch_folder.hpp"

namespace wainscot {

enum class JobEnd {
  recorded,   ///< job.json says how it ended, perhaps since before
  killed,     ///< by a signal from outside, or it was short of memory or disk, which says nothing about the drive
  elsewhere,  ///< another process is at it
};

/// Does one drive of the batch in `folder`, in FOLDER/NAME: standard error goes to said.txt there, standard output to
/// result.txt, a map to map, and at last how it ended to job.json. The command runs in a process of its own, whose end
/// of whatever kind is survived. Throws `InputError` where the batch's folder cannot be written.
JobEnd run_job(const std::filesystem::path& folder, const BatchCommand& command, const BatchJob& job);

}  // namespace wainscot
