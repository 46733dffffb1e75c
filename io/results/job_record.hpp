#pragma once

// What became of one drive of a batch: job.json in its folder (io/FORMATS.md), written last, so that a folder without
// one tells of a job that was killed.

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace wainscot {

/// How far a map's path lies from the true one.
struct TruthErrors {
  double path_rmse_m = 0.0;
  double path_worst_m = 0.0;
  double heading_rmse_deg = 0.0;
};

struct JobRecord {
  std::string program_version;
  std::string name;                  ///< the drive's name in the batch
  std::vector<std::string> command;  ///< the command and its options, without the drive and without what batch adds
  std::string drive;                 ///< its path
  std::string files;                 ///< a digest of names, sizes and times of change of what was read
  std::string checksum;              ///< a digest of names and bytes of what was read
  int status = 0;                    ///< with which the command ended
  std::string sentence;              ///< where that is not 0: what it said last
  std::optional<TruthErrors> truth;  ///< where the drive has its true path
};

std::string job_record_json(const JobRecord& record);

/// The record in `folder`; none where there is no job.json. Throws `InputError` where it is not one.
std::optional<JobRecord> read_job_record(const std::filesystem::path& folder);

}  // namespace wainscot
