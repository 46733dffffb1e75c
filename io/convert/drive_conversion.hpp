#pragma once

// A drive's tables out of a robot's own logs, as columns.yaml says. The logs are streamed, once as a rule; twice where
// the lidar's scans are found to differ in their beams. Memory: some megabytes and the longest line.

#include <cstddef>
#include <filesystem>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "io/convert/log_columns.hpp"

namespace wainscot {

/// Told now and then of the fraction of the logs' bytes that has been read, 0..1; may be empty.
using ConversionProgress = std::function<void(double fraction)>;

/// What became of one table of the drive.
struct ConvertedTable {
  std::string section;   ///< of columns.yaml: wheels, odometry, gyro, scans, returns
  std::string file;      ///< wheels.csv ...
  std::string log;       ///< the log that it is from, as messages name it
  std::size_t rows = 0;  ///< of scans written as returns, the scans
  double first_s = 0.0;
  double last_s = 0.0;
  std::size_t misfits = 0;       ///< lines that did not fit
  std::size_t back_in_time = 0;  ///< left out since their times went back
};

struct ConvertedLog {
  std::string log;
  std::size_t records = 0;                    ///< lines that are no comment
  std::map<std::string, std::size_t> others;  ///< lines that no section asked for, by what tells messages apart
};

struct Conversion {
  std::vector<ConvertedTable> tables;
  std::vector<ConvertedLog> logs;
  std::size_t beams = 0;  ///< of a scan, at most; 0: the log has single returns
  std::vector<std::string> warnings;
};

/// The log of each file of `columns`, in their order: the one of its name; where none has such a name, as with another
/// day's logs, they are taken in the order given. Throws `InputError` where they do not go together.
std::vector<std::filesystem::path> logs_of_files(const LogColumns& columns,
                                                 const std::vector<std::filesystem::path>& logs);

/// Makes the tables in `folder`, which is there and empty. Throws `InputError` for a log that does not fit, naming its
/// line, what was expected and what to change, and std::runtime_error where a table cannot be written.
Conversion convert_logs(const LogColumns& columns, const std::vector<std::filesystem::path>& logs,
                        const std::filesystem::path& folder, const ConversionProgress& progress = {});

}  // namespace wainscot
