#include "io/overview/drive_row.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/plain_file.hpp"
#include "io/files/shown.hpp"
#include "io/overview/small_map.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::json;

/// Bytes of text that a row holds of a sentence, and of a name.
constexpr std::size_t kMostSentence = 600;
constexpr std::size_t kMostName = 120;

/// The value of a key, or nothing: `json` may be anything.
const Json& at(const Json& json, const char* key) {
  static const Json nothing;
  if (!json.is_object()) return nothing;
  const auto found = json.find(key);
  return found == json.end() ? nothing : *found;
}

double number(const Json& json, const char* key) {
  const Json& value = at(json, key);
  if (!value.is_number()) return kUnknown;
  const auto result = value.get<double>();
  return std::isfinite(result) ? result : kUnknown;
}

/// A deviation, a length, a count: unknown where it is none.
double possible(double value) {
  constexpr double kMost = 1e12;
  return value >= 0.0 && value <= kMost ? value : kUnknown;
}

double not_negative(const Json& json, const char* key) { return possible(number(json, key)); }

/// Whether it can be one of a robot's, of which squares can be taken.
bool is_possible(const UncertainValue& found) {
  constexpr double kMost = 1e9;
  constexpr double kLeastSd = 1e-15;
  return std::abs(found.value) <= kMost && found.sd >= kLeastSd && found.sd <= kMost;
}

std::string text(const Json& value, std::size_t longest) {
  return value.is_string() ? printable(value.get_ref<const std::string&>(), longest) : std::string();
}

bool is_true(const Json& json, const char* key) {
  const Json& value = at(json, key);
  return value.is_boolean() && value.get<bool>();
}

/// Throws `InputError`.
Json summary_of(const fs::path& map) {
  constexpr int kForm = 1;
  // A summary of a map with a thousand warnings has half a megabyte.
  constexpr std::size_t kMostBytes = 8'000'000;
  const fs::path file = map / "summary.json";
  Json json = Json::parse(read_plain_file(map, "summary.json", kMostBytes), nullptr, false);
  const double form = number(json, "wainscot_summary");
  if (form > kForm) throw other_form(file, 2, kForm);
  if (form != kForm) throw InputError(shown(file) + ": is damaged: it is no map's summary; make the map again");
  return json;
}

std::vector<RowConstant> constants_of(const Json& list) {
  std::vector<RowConstant> constants;
  if (!list.is_array()) return constants;
  for (const Json& item : list) {
    if (constants.size() == kMostConstants) break;
    RowConstant constant;
    constant.name = text(at(item, "name"), kMostName);
    constant.unit = text(at(item, "unit"), kMostName);
    constant.stated = number(item, "stated");
    constant.found = {number(item, "found"), number(item, "found_sd")};
    constant.observed = is_true(item, "observed");
    const bool is_twice = std::any_of(constants.begin(), constants.end(),
                                      [&constant](const RowConstant& other) { return other.name == constant.name; });
    if (!constant.name.empty() && !is_twice && is_possible(constant.found)) constants.push_back(std::move(constant));
  }
  return constants;
}

TapeErrors tapes_of(const Json& list) {
  constexpr double kFarthestM = 1e6;  // no house is so large
  TapeErrors errors;
  double squares = 0.0;
  if (!list.is_array()) return errors;
  for (const Json& tape : list) {
    const double error_m = number(tape, "without_tapes_m") - number(tape, "tape_m");
    if (!(std::abs(error_m) <= kFarthestM)) continue;
    ++errors.tapes;
    squares += error_m * error_m;
    if (!(std::abs(error_m) <= std::abs(errors.worst_m))) errors.worst_m = error_m;
  }
  if (errors.tapes > 0) errors.rms_m = std::sqrt(squares / static_cast<double>(errors.tapes));
  return errors;
}

/// Throws `InputError`.
void read_job(const fs::path& folder, DriveRow& row) {
  const std::optional<JobRecord> job = read_job_record(folder);
  if (!job) throw InputError(shown(folder / "job.json") + ": is a link that leads nowhere; remove it");
  row.status = job->status;
  row.sentence = printable(job->sentence, kMostSentence);
  row.drive = printable(job->drive, kMostSentence);
  row.checksum = printable(job->checksum, kMostName);
  row.command = printable(fmt::format("{}", fmt::join(job->command, " ")), kMostSentence);
  if (!job->truth) return;
  row.truth = {possible(job->truth->path_rmse_m), possible(job->truth->path_worst_m),
               possible(job->truth->heading_rmse_deg)};
}

void read_summary(const fs::path& map, DriveRow& row) {
  const Json summary = summary_of(map);
  row.verdict = text(at(summary, "verdict"), kMostName);
  row.reason = text(at(summary, "verdict_reason"), kMostSentence);
  const Json& drive = at(summary, "drive");
  row.simulated = is_true(drive, "simulated");
  if (std::string checksum = text(at(drive, "checksum"), kMostName); !checksum.empty()) row.checksum = checksum;
  row.path_length_m = not_negative(drive, "path_length_m");
  row.duration_s = not_negative(drive, "duration_s");
  row.closures = not_negative(at(summary, "graph"), "closure_edges");
  const Json& quality = at(summary, "quality");
  row.place_sd_m = not_negative(quality, "place_sd_m");
  row.place_sd_worst_m = not_negative(quality, "place_sd_worst_m");
  row.scale_sd = not_negative(quality, "scale_sd");
  row.scale_set_by = text(at(quality, "scale_set_by"), kMostName);
  if (const Json& warnings = at(summary, "warnings"); warnings.is_array()) {
    row.warning_count = warnings.size();
    for (const Json& warning : warnings) {
      if (row.warnings.size() == kMostWarnings) break;
      row.warnings.push_back(text(warning, kMostSentence));
    }
  }
  row.constants = constants_of(at(summary, "constants"));
  row.tapes = tapes_of(at(summary, "tapes"));
}

/// There by that name itself: not behind a link.
bool has(const fs::path& folder, const char* name) {
  std::error_code error;
  const fs::file_type type = fs::symlink_status(folder / name, error).type();
  return type != fs::file_type::none && type != fs::file_type::not_found;
}

bool has_folder(const fs::path& folder, const char* name) {
  std::error_code error;
  return fs::symlink_status(folder / name, error).type() == fs::file_type::directory;
}

/// Where the map lies in a sub-folder: "" where there is none.
const char* map_in(const fs::path& folder) {
  if (has_folder(folder, "map") && has(folder / "map", "summary.json")) return "map";
  return has(folder, "summary.json") ? "." : "";
}

void read_job_or_fault(const fs::path& folder, DriveRow& row) {
  row.has_job = true;
  try {
    read_job(folder, row);
  } catch (const InputError& fault) {
    row.faults.emplace_back(fault.what());
    row.sentence = fault.what();
  }
}

}  // namespace

std::string_view state_name(RowState state) {
  switch (state) {
    case RowState::mapped:
      return "mapped";
    case RowState::failed:
      return "failed";
    default:
      return "damaged";
  }
}

bool holds_drive_row(const fs::path& folder) { return has(folder, "job.json") || *map_in(folder) != '\0'; }

DriveRow read_drive_row(const fs::path& folder, bool picture) {
  DriveRow row;
  row.folder = folder.filename().string();
  row.name = printable(row.folder, kMostName);
  row.map = map_in(folder);
  if (has(folder, "job.json")) read_job_or_fault(folder, row);
  if (row.map.empty()) {
    if (!row.faults.empty()) row.state = RowState::damaged;
    if (row.sentence.empty()) row.sentence = "it has no map, and job.json does not say why";
    return row;
  }
  const fs::path map = folder / row.map;
  try {
    read_summary(map, row);
    row.state = RowState::mapped;
  } catch (const InputError& fault) {
    row.state = RowState::damaged;
    row.sentence = fault.what();
    row.faults.emplace_back(fault.what());
    return row;
  }
  try {
    if (picture) row.picture = small_map_png(map, kPictureSidePx);
  } catch (const InputError& fault) {
    row.faults.emplace_back(fault.what());
  }
  return row;
}

}  // namespace wainscot
