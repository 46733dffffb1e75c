#pragma once

// The jobs of a batch on this machine, by GNU parallel: O. Tange, "GNU Parallel: the command-line power tool",
// ;login: The USENIX Magazine 36(1), 2011.

#include <cstddef>
#include <filesystem>
#include <functional>
#include <vector>

#include "apps/batch/batch_folder.hpp"

namespace wainscot {

/// Throws `InputError` where GNU parallel is not installed, with the package that has it.
void require_gnu_parallel();

/// Runs the jobs to their ends, `at_once` of them at a time; a killed one is begun again up to twice. `progress` gets
/// how many have ended, now and then. Throws `Stopped` where a signal came: then those that run have been asked to end.
/// Throws `InputError` where GNU parallel itself cannot run.
void run_by_gnu_parallel(const std::filesystem::path& folder, const std::vector<BatchJob>& jobs, int at_once,
                         const std::function<void(std::size_t ended)>& progress);

}  // namespace wainscot
