#include "io/overview/overview.hpp"

#include <algorithm>
#include <cstring>
#include <mutex>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "graph/parallel.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

InputError unreadable(const fs::path& folder, const std::error_code& error) {
  return InputError(
      fmt::format("{}: cannot be read ({}); check the name and the permissions", shown(folder), error.message()));
}

/// The names of the sub-folders that belong into an overview, in its order.
std::vector<std::string> names_in(const fs::path& folder, std::size_t& passed_over) {
  std::error_code error;
  std::vector<std::string> names;
  for (fs::directory_iterator entry(folder, error), end; !error && entry != end; entry.increment(error)) {
    std::error_code unknown;
    if (entry->symlink_status(unknown).type() != fs::file_type::directory) continue;
    std::string name = entry->path().filename().string();
    if (name.starts_with('.')) continue;  // what programs keep for themselves
    if (holds_drive_row(entry->path())) {
      names.push_back(std::move(name));
    } else {
      ++passed_over;
    }
  }
  if (error) throw unreadable(folder, error);
  std::sort(names.begin(), names.end(), [](const std::string& a, const std::string& b) {
    const int order = ::strverscmp(a.c_str(), b.c_str());
    return order == 0 ? a < b : order < 0;
  });
  return names;
}

void require_some(const fs::path& folder, const std::vector<std::string>& names) {
  if (names.size() > kMostRows) {
    throw InputError(
        fmt::format("{}: has {} maps, and an overview holds {} at most; put some of them into another folder",
                    shown(folder), whole_text(names.size()), whole_text(kMostRows)));
  }
  if (!names.empty()) return;
  if (is_map_folder(folder)) {
    throw InputError(fmt::format("{}: is the folder of one map; give the folder in which the folders of several lie",
                                 shown(folder)));
  }
  throw InputError(
      fmt::format("{}: has no sub-folder with a map in it; give the folder that wainscot batch made, or one in "
                  "which the folders of maps lie, each made by wainscot build DRIVE --out {}/NAME",
                  shown(folder), shown(folder)));
}

std::vector<NamedConstant> constants_in(const std::vector<DriveRow>& rows) {
  std::vector<NamedConstant> all;
  for (const DriveRow& row : rows) {
    for (const RowConstant& constant : row.constants) {
      const bool known = std::any_of(all.begin(), all.end(),
                                     [&constant](const NamedConstant& other) { return other.name == constant.name; });
      if (!known && all.size() < kMostConstants) all.push_back({constant.name, constant.unit});
    }
  }
  return all;
}

}  // namespace

Overview read_overview(const fs::path& folder, const OverviewOptions& options) {
  Overview overview;
  overview.name = folder_name(folder.has_filename() ? folder : folder.parent_path());
  const std::vector<std::string> names = names_in(folder, overview.passed_over);
  require_some(folder, names);
  overview.rows.resize(names.size());
  std::mutex telling;
  std::size_t done = 0;
  for_each_index(names.size(), options.threads, [&](std::size_t i) {
    overview.rows[i] = read_drive_row(folder / names[i], options.pictures);
    if (!options.progress) return;
    const std::lock_guard<std::mutex> lock(telling);
    options.progress(static_cast<double>(++done) / static_cast<double>(names.size()));
  });
  overview.constants = constants_in(overview.rows);
  overview.fleet = fleet_of(overview.rows);
  return overview;
}

OverviewCounts counts_of(const std::vector<DriveRow>& rows) {
  OverviewCounts counts;
  for (const DriveRow& row : rows) {
    std::size_t& count = row.state == RowState::failed    ? counts.failed
                         : row.state == RowState::damaged ? counts.damaged
                         : row.verdict == "good"          ? counts.good
                         : row.verdict == "usable"        ? counts.usable
                         : row.verdict == "unusable"      ? counts.unusable
                                                          : counts.without_verdict;
    ++count;
  }
  return counts;
}

std::string verdict_words(const DriveRow& row) {
  if (row.state == RowState::damaged) return "damaged";
  if (row.state == RowState::failed) return row.status ? fmt::format("failed, status {}", *row.status) : "failed";
  if (row.verdict == "unusable") return "not to be used";
  return row.verdict == "good" || row.verdict == "usable" ? row.verdict : "map without a verdict";
}

}  // namespace wainscot
