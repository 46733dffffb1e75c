#include "apps/batch/job_list.hpp"

#include <algorithm>
#include <cstddef>
#include <map>
#include <set>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/files/csv_reader.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/shown.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLongestName = 200;  // bytes; Linux takes 255, and files that are being written add some

/// Why a name cannot be that of a folder in the batch's; empty: it can.
std::string fault_of_name(const std::string& name) {
  if (!is_plain_text(name)) return "holds bytes that are no UTF-8 text";
  if (name.empty() || name.size() > kLongestName) return fmt::format("must have 1 to {} bytes", kLongestName);
  if (name.front() == '.' || name.front() == '-') return "must not begin with a dot or a dash";
  if (name.find('/') != std::string::npos) return "must not hold a slash: it becomes a folder's name";
  if (name == "results.csv") return "is that of the batch's table";
  return {};
}

fs::path whole(const fs::path& path) {
  std::error_code error;
  const fs::path found = fs::weakly_canonical(path, error);
  return error ? fs::absolute(path).lexically_normal() : found;
}

bool lies_in(const fs::path& path, const fs::path& folder) {
  const auto [in_path, in_folder] = std::mismatch(path.begin(), path.end(), folder.begin(), folder.end());
  return in_folder == folder.end();
}

/// Why it cannot be worked on; empty: it can.
std::string fault_of_drive(const fs::path& drive, const fs::path& folder) {
  std::error_code error;
  if (!is_plain_text(drive.string())) return "holds bytes that are no UTF-8 text; rename it";
  if (!fs::exists(drive, error)) return "is not there";
  if (lies_in(whole(drive), folder)) return fmt::format("lies in {}, where the batch writes", shown(folder));
  return {};
}

/// Whether the batch's command works on maps, not on drives.
bool works_on_maps(const BatchCommand& command) { return command.words.front() == "compare"; }

/// What to work on in a folder of the list's; empty: nothing.
fs::path worked_on(const fs::path& folder, const BatchCommand& command) {
  if (!works_on_maps(command)) return is_drive_folder(folder) ? folder : fs::path();
  if (is_map_folder(folder)) return folder;
  return is_map_folder(folder / "map") ? folder / "map" : fs::path();
}

std::vector<BatchJob> jobs_of_folder(const fs::path& list, const fs::path& folder, const BatchCommand& command,
                                     std::vector<std::string>& warnings) {
  std::vector<BatchJob> jobs;
  std::error_code error;
  std::size_t passed_over = 0;
  std::string first;
  for (fs::directory_iterator it(list, error), end; !error && it != end; it.increment(error)) {
    std::error_code kind_error;
    const std::string name = it->path().filename().string();
    if (!it->is_directory(kind_error) || name.front() == '.' || whole(it->path()) == folder) continue;
    const fs::path drive = worked_on(it->path(), command);
    if (drive.empty()) {
      if (passed_over++ == 0 || name < first) first = name;
      continue;
    }
    const std::string fault = fault_of_name(name);
    if (!fault.empty()) throw InputError(fmt::format("{}: its name {}; rename it", shown(it->path()), fault));
    const std::string drive_fault = fault_of_drive(drive, folder);
    if (!drive_fault.empty()) throw InputError(fmt::format("{}: {}", shown(drive), drive_fault));
    jobs.push_back({name, fs::absolute(drive).lexically_normal(), {}});
  }
  if (error) throw InputError(fmt::format("{}: cannot be listed ({})", shown(list), error.message()));
  const char* kind = works_on_maps(command) ? "map" : "drive";
  if (jobs.empty()) {
    throw InputError(
        fmt::format("{}: none of its folders is a {}'s; give the folder that holds the {}s' folders, or a "
                    "table with the columns name and drive",
                    shown(list), kind, kind));
  }
  if (passed_over > 0) {
    warnings.push_back(fmt::format("{}: {} of its folders passed over, as no {}'s: {}{}", shown(list), passed_over,
                                   kind, printable(first), passed_over > 1 ? " ..." : ""));
  }
  std::sort(jobs.begin(), jobs.end(), [](const BatchJob& a, const BatchJob& b) { return a.name < b.name; });
  return jobs;
}

/// The columns of options: their place in the row, and their names with the dashes.
std::vector<std::pair<std::size_t, std::string>> option_columns(const CsvReader& table, const JobWords& words) {
  std::vector<std::pair<std::size_t, std::string>> options;
  for (std::size_t i = 0; i < table.columns().size(); ++i) {
    const std::string& column = table.columns()[i];
    if (column == "name" || column == "drive") continue;
    const std::string name = column.starts_with("--") ? column.substr(2) : column;
    if (words.option(name) == nullptr || name == "out" || name == "help") {
      table.file().fail(fmt::format("the column '{}' is no option of wainscot {}; see wainscot {} --help",
                                    printable(column), words.command().words.front(), words.command().words.front()));
    }
    options.emplace_back(i, "--" + name);
  }
  return options;
}

/// A cell of a switch, which takes no value.
bool is_on(const CsvReader& table, std::size_t column) {
  const std::string_view cell = table.cells()[column];
  if (cell == "yes" || cell == "no") return cell == "yes";
  table.fail(column, "is a switch: write yes or no");
}

/// Paths in a table are relative to its folder.
std::string value_of_cell(std::string_view cell, const std::string& option, const fs::path& base) {
  if (option != "--tapes" && option != "--truth") return std::string(cell);
  return fs::absolute(base / cell).lexically_normal().string();
}

std::vector<BatchJob> jobs_of_table(const fs::path& list, const fs::path& folder, JobWords& words,
                                    std::vector<std::string>& warnings) {
  FileReader file(list);
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto column_of = [&](const char* name) {
    const auto found = std::find(table.columns().begin(), table.columns().end(), name);
    if (found == table.columns().end()) file.fail(fmt::format("has no column '{}'; it needs name and drive", name));
    return static_cast<std::size_t>(found - table.columns().begin());
  };
  const std::size_t name_column = column_of("name");
  const std::size_t drive_column = column_of("drive");
  const auto options = option_columns(table, words);
  const fs::path base = list.parent_path();
  std::map<std::string, std::size_t> lines;
  std::vector<BatchJob> jobs;
  while (table.next_row()) {
    BatchJob job{table.name(name_column), fs::absolute(base / table.name(drive_column)).lexically_normal(), {}};
    const std::string name_fault = fault_of_name(job.name);
    if (!name_fault.empty()) table.fail(name_column, name_fault);
    const auto [first, is_new] = lines.emplace(job.name, file.line_number());
    if (!is_new) {
      table.fail(name_column, fmt::format("'{}' is that of line {} too; give each drive a name of its own",
                                          printable(job.name), first->second));
    }
    const std::string drive_fault = fault_of_drive(job.drive, folder);
    if (!drive_fault.empty()) table.fail(drive_column, fmt::format("{} {}", shown(job.drive), drive_fault));
    for (const auto& [column, option] : options) {
      const std::string_view cell = table.cells()[column];
      if (cell.empty()) continue;
      if (words.option(option.substr(2))->get_items_expected_max() == 0) {
        if (is_on(table, column)) job.options.push_back(option);
      } else {
        job.options.push_back(fmt::format("{}={}", option, value_of_cell(cell, option, base)));
      }
    }
    const std::string fault = job.options.empty() ? std::string() : words.fault_of(job);
    if (!fault.empty()) file.fail(fault);
    jobs.push_back(std::move(job));
  }
  return jobs;
}

}  // namespace

std::vector<BatchJob> read_job_list(const fs::path& list, const fs::path& folder, JobWords& words,
                                    std::vector<std::string>& warnings) {
  std::error_code error;
  const fs::path out = whole(folder);
  return fs::is_directory(list, error) ? jobs_of_folder(list, out, words.command(), warnings)
                                       : jobs_of_table(list, out, words, warnings);
}

}  // namespace wainscot
