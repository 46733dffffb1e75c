#pragma once

// The jobs of a batch on a cluster, by Slurm: an array of tasks, each of which does a block of drives, and a task that
// gathers when they have ended. A. B. Yoo, M. A. Jette, M. Grondona, "SLURM: Simple Linux Utility for Resource
// Management", JSSPP 2003.

#include <cstddef>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "apps/batch/batch_folder.hpp"

namespace wainscot {

struct SlurmOptions {
  std::string partition;  ///< empty: the cluster's usual one
  std::string time;       ///< of a block, as Slurm writes it; empty: the partition's
  int memory_mb = 0;      ///< of a job
};

struct SlurmJobs {
  std::string array;  ///< Slurm's numbers
  std::string gather;
  std::size_t tasks = 0;
};

/// Throws `InputError` where Slurm's commands are not installed, with the package that has them.
void require_slurm();

/// How many tasks of this batch Slurm still has; 0: none was given, or all have ended.
std::size_t tasks_in_slurm(const std::filesystem::path& folder);

/// Gives Slurm the jobs. Throws `InputError` with Slurm's reason where it does not take them.
SlurmJobs give_to_slurm(const std::filesystem::path& folder, const std::vector<BatchJob>& jobs,
                        const SlurmOptions& options);

/// Waits for the gathering; `progress` gets how many tasks have not ended, now and then. Throws `Stopped` where a
/// signal came; Slurm's jobs go on then.
void wait_for_slurm(const std::filesystem::path& folder, const std::function<void(std::size_t left)>& progress);

}  // namespace wainscot
