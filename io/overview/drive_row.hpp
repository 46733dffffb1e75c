#pragma once

// What an overview knows of one drive of many: the figures of its map's summary.json, and what job.json says of how the
// map was made. Both may be damaged, hostile or missing; a row tells what they hold and what is wrong with them.

#include <cstddef>
#include <filesystem>
#include <limits>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/odd_values.hpp"
#include "io/results/job_record.hpp"

namespace wainscot {

inline constexpr double kUnknown = std::numeric_limits<double>::quiet_NaN();

/// A constant of the robot as summary.json has it.
struct RowConstant {
  std::string name;
  std::string unit;
  double stated = kUnknown;
  UncertainValue found;  ///< finite; the standard uncertainty above 0
  bool observed = false;
};

/// What the map without tapes says, less the tape.
struct TapeErrors {
  std::size_t tapes = 0;  ///< of which both are known
  double rms_m = kUnknown;
  double worst_m = kUnknown;  ///< with its sign
};

enum class RowState {
  mapped,   ///< there is a map, and its summary.json was read
  failed,   ///< there is none
  damaged,  ///< its summary.json cannot be read
};

/// "mapped", "failed" or "damaged".
std::string_view state_name(RowState state);

/// Texts are printable, in UTF-8 and of limited length; a figure that is not known is `kUnknown`.
struct DriveRow {
  std::string folder;         ///< the name of the sub-folder, any bytes
  std::string name;           ///< the same for people
  std::filesystem::path map;  ///< from the sub-folder: "map", or "." where that is a map's folder itself
  RowState state = RowState::failed;
  std::vector<std::string> faults;  ///< sentences: what of the files cannot be used

  // job.json
  bool has_job = false;
  std::optional<int> status;                        ///< with which the job ended
  std::string sentence;                             ///< why, or, of a row that is damaged, what is wrong
  std::string drive;                                ///< the folder that was mapped
  std::string command;                              ///< with its options, words joined by a space
  TruthErrors truth{kUnknown, kUnknown, kUnknown};  ///< as the job that made the map measured them

  // summary.json
  std::string verdict;  ///< "good", "usable", "unusable"; "" in maps of earlier programs
  std::string reason;
  bool simulated = false;
  std::string checksum;  ///< of the drive; by job.json where there is no map
  double path_length_m = kUnknown;
  double duration_s = kUnknown;
  double closures = kUnknown;
  double place_sd_m = kUnknown;
  double place_sd_worst_m = kUnknown;
  double scale_sd = kUnknown;
  std::string scale_set_by;
  std::vector<std::string> warnings;  ///< the first `kMostWarnings`
  std::size_t warning_count = 0;      ///< all of them
  std::vector<RowConstant> constants;
  TapeErrors tapes;

  std::string picture;  ///< a small PNG of the map; empty where none was wanted or can be made
};

/// More warnings than these of one map are counted only: a page of thousands of rows stays of a size that opens.
inline constexpr std::size_t kMostWarnings = 20;

/// More constants than a robot has; what summary.json holds beyond them is passed over.
inline constexpr std::size_t kMostConstants = 64;

/// The longest side of a row's picture, in pixels.
inline constexpr int kPictureSidePx = 72;

/// Whether `folder` belongs into an overview: it holds job.json, map/summary.json or summary.json. No link is followed.
bool holds_drive_row(const std::filesystem::path& folder);

/// The row of a folder that holds one. `picture`: whether its small map is wanted. Throws only where memory is short:
/// what is wrong with the files stands in the row.
DriveRow read_drive_row(const std::filesystem::path& folder, bool picture);

}  // namespace wainscot
