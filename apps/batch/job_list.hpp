#pragma once

// Which drives a batch is about: a folder of drives' folders, or a table.

#include <filesystem>
#include <string>
#include <vector>

#include "apps/batch/batch_folder.hpp"
#include "apps/batch/job_words.hpp"

namespace wainscot {

/// The drives in `list`: of a folder its sub-folders, by name; of a table (name,drive and options of the command as
/// further columns; io/FORMATS.md) its rows. `folder` is the batch's. Everything is looked at before anything is done:
/// throws `InputError` for a name that is there twice or is no folder's, a drive that is missing or lies in `folder`,
/// an option that the command does not have or a value that it does not take. What is passed over is told in
/// `warnings`.
std::vector<BatchJob> read_job_list(const std::filesystem::path& list, const std::filesystem::path& folder,
                                    JobWords& words, std::vector<std::string>& warnings);

}  // namespace wainscot
