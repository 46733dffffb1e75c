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
#include "io/convert/misfits.hpp"
#include "io/convert/motion_tables.hpp"
#include "io/convert/record_reader.hpp"
#include "io/convert/section_table.hpp"
#include "io/convert/table_writer.hpp"
#include "io/files/shown.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostKinds = 100;        // of messages that are told apart; noise makes words without end
constexpr const char* kOtherKinds = "others";  // the rest of them
constexpr double kBackInTimeShare = 0.01;      // as many rows as `Misfits` bears lines
constexpr std::size_t kFewBackInTime = 3;

/// One section of columns.yaml on its way into a table.
struct SectionJob {
  std::string section;
  std::string file;
  RecordChoice records;
  std::unique_ptr<TableWriter> writer;
  std::unique_ptr<SectionTable> table;
  Misfits misfits;
  std::optional<std::size_t> message_place;
  std::string log;
  std::string first_back_in_time;

  SectionJob(std::string name, std::string table_file, RecordChoice choice)
      : section(std::move(name)), file(std::move(table_file)), records(std::move(choice)), misfits(section) {}

  bool takes(const RecordReader& record) const {
    if (!message_place) return true;
    return records.message.empty() ? record.has(*message_place) : record.text(*message_place) == records.message;
  }
};

void add_column(const Quantity& quantity, std::vector<std::string>& columns) {
  if (!quantity.column.empty()) columns.push_back(quantity.column);
}

std::vector<std::string> columns_of(const LogColumns& all, const std::string& section) {
  std::vector<std::string> columns;
  const auto add = [&columns](const Quantity& quantity) { add_column(quantity, columns); };
  if (section == "wheels") {
    for (const Quantity* one : {&all.wheels->time, &all.wheels->left, &all.wheels->right}) add(*one);
  } else if (section == "odometry") {
    const OdometryColumns& odometry = *all.odometry;
    for (const Quantity* one : {&odometry.time, &odometry.x, &odometry.y, &odometry.heading}) add(*one);
  } else if (section == "gyro") {
    for (const Quantity* one : {&all.gyro->time, &all.gyro->yaw_rate}) add(*one);
  } else if (section == "scans") {
    const ScanColumns& scans = *all.scans;
    for (const Quantity* one : {&scans.time, &scans.first_angle, &scans.angle_step}) add(*one);
    if (scans.angles) add(*scans.angles);
    columns.push_back(scans.ranges);
    if (!scans.last_range.empty()) columns.push_back(scans.last_range);
  } else {
    const ReturnColumns& returns = *all.returns;
    for (const Quantity* one : {&returns.time, &returns.angle, &returns.range, &returns.first_angle}) add(*one);
    if (returns.angle_step) add(*returns.angle_step);
  }
  return columns;
}

/// All sections that a conversion has, with the table that each becomes.
std::vector<SectionJob> jobs_of(const LogColumns& columns, const ScanForm& form) {
  std::vector<SectionJob> jobs;
  if (columns.wheels) jobs.emplace_back("wheels", "wheels.csv", columns.wheels->records);
  if (columns.odometry) jobs.emplace_back("odometry", "odometry.csv", columns.odometry->records);
  if (columns.gyro) jobs.emplace_back("gyro", "gyro.csv", columns.gyro->records);
  if (columns.scans) {
    const bool as_returns = form.as_returns || columns.scans->angles.has_value();
    jobs.emplace_back("scans", as_returns ? "returns.csv" : "scans.csv", columns.scans->records);
  }
  if (columns.returns) jobs.emplace_back("returns", "returns.csv", columns.returns->records);
  return jobs;
}

/// Whether a section's records are those of single beams.
bool is_beside_beams(const LogColumns& columns, const RecordChoice& records) {
  if (!columns.returns) return false;
  const RecordChoice& beams = columns.returns->records;
  const bool same_file = columns.files.size() == 1 || records.file == beams.file;
  return same_file && records.message_column == beams.message_column && records.message == beams.message;
}

std::unique_ptr<SectionTable> table_of(const LogColumns& columns, const ScanForm& form, const RecordReader& records,
                                       const SectionJob& job) {
  TableWriter& writer = *job.writer;
  const bool beside_beams = is_beside_beams(columns, job.records);
  if (job.section == "wheels") return std::make_unique<WheelTable>(*columns.wheels, records, writer, beside_beams);
  if (job.section == "odometry") {
    return std::make_unique<OdometryTable>(*columns.odometry, records, writer, beside_beams);
  }
  if (job.section == "gyro") return std::make_unique<GyroTable>(*columns.gyro, records, writer);
  if (job.section == "scans") return std::make_unique<ScanTable>(*columns.scans, form, records, writer);
  return std::make_unique<ReturnTable>(*columns.returns, records, writer);
}

/// What tells messages apart in a file: the first section's column that does.
std::optional<std::size_t> kind_place(const std::vector<SectionJob*>& jobs) {
  for (const SectionJob* job : jobs) {
    if (job->message_place && !job->records.message.empty()) return job->message_place;
  }
  return std::nullopt;
}

void count_other(const RecordReader& record, const std::optional<std::size_t>& place, ConvertedLog& log) {
  const std::string kind = place ? printable(record.text(*place)) : std::string();
  const bool is_new = log.others.count(kind) == 0;
  ++log.others[is_new && log.others.size() >= kMostKinds ? kOtherKinds : kind];
}

/// "W (120), S (30)", the most frequent first.
std::string kinds_text(const std::map<std::string, std::size_t>& kinds) {
  constexpr std::size_t most_shown = 8;
  std::vector<std::pair<std::size_t, std::string>> sorted;
  for (const auto& [kind, count] : kinds) sorted.emplace_back(count, kind);
  std::sort(sorted.rbegin(), sorted.rend());
  std::string text;
  for (std::size_t i = 0; i < sorted.size() && i < most_shown; ++i) {
    text += fmt::format("{}{} ({})", i > 0 ? ", " : "", sorted[i].second.empty() ? "''" : sorted[i].second,
                        whole_text(sorted[i].first));
  }
  return text + (sorted.size() > most_shown ? ", ..." : "");
}

[[noreturn]] void fail_without_rows(const SectionJob& job, const ConvertedLog& log) {
  const std::string where =
      job.records.message.empty()
          ? fmt::format("a value {}", printable(job.records.message_column))
          : fmt::format("{}: {}", printable(job.records.message_column), printable(job.records.message));
  const std::string there = log.others.empty() ? "" : fmt::format("; other lines there: {}", kinds_text(log.others));
  throw InputError(fmt::format("{}: none of its {} has {}{}; correct {}.where in columns.yaml", log.log,
                               count_text(log.records, "line"), where, there, job.section));
}

/// One log, read once for all sections that are from it.
class LogPass {
 public:
  LogPass(const LogColumns& columns, const ScanForm& form, const LogFile& file, const fs::path& path,
          std::vector<SectionJob*> jobs, const LogLines::BlockRead& block_read, std::vector<std::string>& warnings)
      : jobs_(std::move(jobs)), warnings_(warnings), lines_(path, warnings, block_read) {
    std::set<std::string> wanted;
    for (const SectionJob* job : jobs_) {
      for (const std::string& column : columns_of(columns, job->section)) wanted.insert(column);
      if (!job->records.message_column.empty()) wanted.insert(job->records.message_column);
    }
    records_.emplace(file, std::vector<std::string>(wanted.begin(), wanted.end()), lines_);
    for (SectionJob* job : jobs_) {
      job->log = lines_.name();
      if (!job->records.message_column.empty()) job->message_place = records_->place(job->records.message_column);
      job->table = table_of(columns, form, *records_, *job);
    }
    log_.log = lines_.name();
  }

  ConvertedLog run() {
    Misfits damaged("");
    const std::optional<std::size_t> kind = kind_place(jobs_);
    for (auto step = records_->next(); step != RecordReader::Step::end; step = records_->next()) {
      ++log_.records;
      if (step == RecordReader::Step::damaged) {
        damaged.count(lines_, "this is no whole JSON object");
        continue;
      }
      damaged.count_fitting();
      if (!take_record()) count_other(*records_, kind, log_);
    }
    damaged.finish(warnings_);
    for (const SectionJob* job : jobs_) {
      if (job->misfits.fitting() + job->misfits.misfits() == 0) fail_without_rows(*job, log_);
      job->misfits.finish(warnings_);
      job->table->finish(warnings_);
    }
    return log_;
  }

 private:
  bool take_record() {
    bool taken = false;
    for (SectionJob* job : jobs_) {
      if (!job->takes(*records_)) continue;
      taken = true;
      const std::size_t back_before = job->writer->left_out();
      const std::string fault = job->table->add(*records_);
      if (fault.empty()) {
        job->misfits.count_fitting();
      } else {
        job->misfits.count(lines_, fault);
      }
      if (back_before == 0 && job->writer->left_out() > 0) {
        job->first_back_in_time = lines_.message(
            fmt::format("{}.time goes back here or in the line before", job->section), lines_.line_number());
      }
    }
    return taken;
  }

  std::vector<SectionJob*> jobs_;
  std::vector<std::string>& warnings_;
  LogLines lines_;
  std::optional<RecordReader> records_;
  ConvertedLog log_;
};

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
    LogPass pass(columns, form, file, logs[i], here, block_read, result.warnings);
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
