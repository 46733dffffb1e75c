#pragma once

// Many maps at a glance: what lies in a folder of maps, a row a drive, and what the drives of one robot say together.

#include <cstddef>
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "io/overview/drive_row.hpp"
#include "io/overview/fleet.hpp"

namespace wainscot {

struct OverviewOptions {
  int threads = 0;        ///< 0: as many as the machine has; the result does not depend on it
  bool pictures = false;  ///< whether the rows' small maps are wanted, which takes most of the time
  std::function<void(double fraction)>
      progress;  ///< of the reading, 0..1; may be empty; told from one thread at a time
};

/// A constant that at least one row has.
struct NamedConstant {
  std::string name;
  std::string unit;
};

struct Overview {
  std::string name;                      ///< of the folder, printable
  std::vector<DriveRow> rows;            ///< by name, numbers in names by their size (strverscmp)
  std::vector<NamedConstant> constants;  ///< as the rows have them, the first row's first; `kMostConstants` at most
  Fleet fleet;
  std::size_t passed_over = 0;  ///< sub-folders without a map and without job.json
};

/// The rows that one overview holds at most.
inline constexpr std::size_t kMostRows = 200'000;

/// Reads what lies in `folder`: its sub-folders NAME with NAME/job.json and NAME/map (as `wainscot batch` makes them),
/// or that are maps' folders themselves. Links are passed over. Throws `InputError` where the folder cannot be read,
/// where it holds no map and no job, or more than `kMostRows`.
Overview read_overview(const std::filesystem::path& folder, const OverviewOptions& options);

/// How many rows have no map, one that cannot be read, and each verdict.
struct OverviewCounts {
  std::size_t good = 0;
  std::size_t usable = 0;
  std::size_t unusable = 0;
  std::size_t without_verdict = 0;  ///< maps of earlier programs
  std::size_t failed = 0;
  std::size_t damaged = 0;

  std::size_t maps() const { return good + usable + unusable + without_verdict; }
};
OverviewCounts counts_of(const std::vector<DriveRow>& rows);

/// "good", "usable", "not to be used", "map without a verdict", "failed", "failed, status 2" or "damaged".
std::string verdict_words(const DriveRow& row);

}  // namespace wainscot
