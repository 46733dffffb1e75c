#include "io/convert/drive_conversion.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <set>
#include <system_error>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/convert/lidar_tables.hpp"
#include "io/convert/log_lines.hpp"
#include "io/convert/log_pass.hpp"
#include "io/convert/table_writer.hpp"
#include "io/files/shown.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr double kBackInTimeShare = 0.01;  // as many rows as `Misfits` bears lines
constexpr std::size_t kFewBackInTime = 3;

void check_order(const SectionJob& job, std::vector<std::string>& warnings) {
  const std::size_t back = job.writer->left_out();
  if (back == 0) return;
  const std::size_t all = back + job.writer->rows();
  if (back > kFewBackInTime && static_cast<double>(back) > kBackInTimeShare * static_cast<double>(all)) {
    throw InputError(fmt::format(
        "{}; so do {} of {} in all: check the unit of {}.time in columns.yaml, or cut the log where its clock was set",
        job.first_back_in_time, whole_text(back), count_text(all, "row"), job.section));
  }
  warnings.push_back(fmt::format("{}; left out, as {} of {} for {}", job.first_back_in_time, whole_text(back),
                                 count_text(all, "row"), job.section));
}

ConvertedTable converted(const SectionJob& job) {
  ConvertedTable table;
  table.section = job.section;
  table.file = job.file;
  table.log = job.log;
  table.rows = job.writer->rows();
  table.first_s = job.writer->first_s();
  table.last_s = job.writer->last_s();
  table.misfits = job.misfits.misfits();
  table.back_in_time = job.writer->left_out();
  return table;
}

std::uintmax_t bytes_of(const std::vector<fs::path>& logs) {
  std::uintmax_t bytes = 0;
  for (const fs::path& log : logs) {
    std::error_code error;
    const std::uintmax_t size = fs::file_size(log, error);
    if (!error) bytes += size;
  }
  return std::max<std::uintmax_t>(bytes, 1);
}

/// The logs, read once. `better` is set where the scans want another form.
Conversion read_logs(const LogColumns& columns, const std::vector<fs::path>& logs, const fs::path& folder,
                     const ScanForm& form, const LogLines::BlockRead& block_read, std::optional<ScanForm>& better) {
  Conversion result;
  std::vector<SectionJob> jobs = jobs_of(columns, form);
  for (SectionJob& job : jobs) {
    const fs::path file = folder / job.file;
    std::error_code ignored;
    fs::remove(file, ignored);  // of a reading before
    job.writer = std::make_unique<TableWriter>(file);
  }
  for (std::size_t i = 0; i < columns.files.size(); ++i) {
    const LogFile& file = columns.files[i];
    std::vector<SectionJob*> here;
    for (SectionJob& job : jobs) {
      if (job.records.file.empty() || job.records.file == file.name) here.push_back(&job);
    }
    if (here.empty()) {
      result.warnings.push_back(fmt::format("{}: no section of columns.yaml is from it", shown(logs[i])));
      continue;
    }
    LogLines lines(logs[i], result.warnings, block_read);
    LogPass pass(columns, form, file, lines, here, result.warnings);
    result.logs.push_back(pass.run());
    for (SectionJob* job : here) {
      if (job->section != "scans") continue;
      const auto& scans = dynamic_cast<const ScanTable&>(*job->table);
      better = scans.better_form();
      result.beams = scans.most_beams();
    }
    for (SectionJob* job : here) job->table.reset();  // they know the pass
  }
  if (better) return result;
  for (SectionJob& job : jobs) {
    check_order(job, result.warnings);
    job.writer->finish();
    result.tables.push_back(converted(job));
  }
  return result;
}

/// Throws where the lidar's times and the motion's are not of one clock, and says what would bring them together.
void require_common_times(const std::vector<ConvertedTable>& tables) {
  const auto is_lidar = [](const ConvertedTable& one) { return one.section == "scans" || one.section == "returns"; };
  const auto lidar = std::find_if(tables.begin(), tables.end(), is_lidar);
  for (const ConvertedTable& other : tables) {
    if (is_lidar(other) || (other.first_s <= lidar->last_s && lidar->first_s <= other.last_s)) continue;
    throw InputError(fmt::format(
        "{}: the times of {}, {:.3f} to {:.3f} s, do not overlap those of {}, {:.3f} to {:.3f} s; correct their units "
        "in "
        "columns.yaml, or where the clocks are two and both began at one moment, write offset: {} s into {}.time there",
        lidar->log, lidar->section, lidar->first_s, lidar->last_s, other.section, other.first_s, other.last_s,
        short_text(other.first_s - lidar->first_s, 6), lidar->section));
  }
}

}  // namespace

std::vector<fs::path> logs_of_files(const LogColumns& columns, const std::vector<fs::path>& logs) {
  const auto named = [&logs](const std::string& name) {
    return std::find_if(logs.begin(), logs.end(), [&name](const fs::path& log) { return log.filename() == name; });
  };
  if (logs.size() != columns.files.size()) {
    std::vector<std::string> names;
    for (const LogFile& file : columns.files) names.push_back(printable(file.name));
    throw InputError(fmt::format("columns.yaml lists {} ({}), but {} given; give each of them once",
                                 count_text(names.size(), "file"), fmt::join(names, ", "),
                                 logs.size() == 1 ? "one is" : fmt::format("{} are", logs.size())));
  }
  std::vector<fs::path> result;
  std::vector<std::string> missing;
  for (const LogFile& file : columns.files) {
    const auto found = named(file.name);
    if (found == logs.end()) {
      missing.push_back(file.name);
    } else {
      result.push_back(*found);
    }
  }
  if (missing.size() == columns.files.size()) return logs;  // another day's, in the same order
  if (missing.empty()) return result;
  throw InputError(
      fmt::format("columns.yaml lists {}, which is not among the logs given; give it, or all of them under "
                  "other names in the order of files",
                  printable(missing.front())));
}

Conversion convert_logs(const LogColumns& columns, const std::vector<fs::path>& logs, const fs::path& folder,
                        const ConversionProgress& progress) {
  const std::vector<fs::path> ordered = logs_of_files(columns, logs);
  const auto all_bytes = static_cast<double>(bytes_of(ordered));
  double done = 0.0;
  const LogLines::BlockRead block_read = [&](std::size_t bytes) {
    done += static_cast<double>(bytes);
    if (progress) progress(std::min(1.0, done / all_bytes));
  };
  std::optional<ScanForm> form;
  Conversion result = read_logs(columns, ordered, folder, {}, block_read, form);
  if (form) {
    std::error_code ignored;
    fs::remove(folder / "scans.csv", ignored);  // perhaps they become returns.csv
    done = 0.0;
    std::optional<ScanForm> none;
    result = read_logs(columns, ordered, folder, *form, block_read, none);
  }
  require_common_times(result.tables);
  return result;
}

}  // namespace wainscot
