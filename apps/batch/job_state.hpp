#pragma once

// How far a job of a batch is, by what stands in its folder.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "apps/batch/batch_folder.hpp"
#include "io/results/job_record.hpp"

namespace wainscot {

/// The record that the job would leave now, but for its end.
JobRecord expected_record(const BatchCommand& command, const BatchJob& job);

/// The record of the job where it was done: with these options, by this version, of these bytes; else none. Where the
/// files were not touched since, their bytes are not read.
std::optional<JobRecord> done_record(const std::filesystem::path& folder, const BatchCommand& command,
                                     const BatchJob& job);

/// What a job says goes here, in its folder.
inline constexpr const char* kSaidFile = "said.txt";

/// The last sentence of an error that a job said; empty: none.
std::string last_said(const std::filesystem::path& job_folder);

/// One row of results.csv.
struct JobResult {
  std::string name;
  std::string drive;
  std::optional<int> status;  ///< none: not done
  std::string sentence;       ///< where it is not 0: why
};

/// What stands in the folders of all jobs.
std::vector<JobResult> job_results(const std::filesystem::path& folder, const std::vector<BatchJob>& jobs);

/// The table name,drive,status,sentence.
std::string results_csv(const std::vector<JobResult>& results);

/// What became of all, for people: failures first.
std::string results_text(const std::filesystem::path& folder, const std::vector<JobResult>& results);

}  // namespace wainscot
