#pragma once

// What `wainscot batch` keeps in its folder for itself, in FOLDER/.batch: the command that all drives get, and the
// drives, a line each. Engines hand these lines to workers (apps/batch/worker).

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace wainscot {

/// What is done with each drive.
struct BatchCommand {
  std::vector<std::string> words;  ///< the command and the options that all drives have
  int threads = 0;                 ///< of each job, where its options do not say; 0: as the command itself
  int memory_mb = 0;               ///< that has to be free before a job begins; 0: whoever runs it sees to that
};

/// One drive of the list.
struct BatchJob {
  std::string name;                  ///< of its folder in the batch's
  std::filesystem::path drive;       ///< absolute
  std::vector<std::string> options;  ///< its own
};

std::filesystem::path own_folder(const std::filesystem::path& folder);

/// Makes the folder where it is not there, and its own in it. Throws `InputError` where something else stands there:
/// nobody's files get between a batch's.
void make_batch_folder(const std::filesystem::path& folder);

void write_batch_command(const std::filesystem::path& folder, const BatchCommand& command);

/// Throws `InputError` where there is none.
BatchCommand read_batch_command(const std::filesystem::path& folder);

/// A line of JSON without its end, and the job that it tells. Throws `InputError` where it tells none.
std::string job_line(const BatchJob& job);
BatchJob job_of_line(std::string_view line);

/// Files of such lines in the batch's own folder, each job on its line.
void write_job_lines(const std::filesystem::path& file, const std::vector<BatchJob>& jobs);
std::vector<BatchJob> read_job_lines(const std::filesystem::path& file);

}  // namespace wainscot
