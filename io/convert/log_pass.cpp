#include "io/convert/log_pass.hpp"

#include <algorithm>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/convert/motion_tables.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kMostKinds = 100;        // of messages that are told apart; noise makes words without end
constexpr const char* kOtherKinds = "others";  // the rest of them

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

}  // namespace

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

LogPass::LogPass(const LogColumns& columns, const ScanForm& form, const LogFile& file, LogLines& lines,
                 std::vector<SectionJob*> jobs, std::vector<std::string>& warnings)
    : jobs_(std::move(jobs)), warnings_(warnings), lines_(lines) {
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

ConvertedLog LogPass::run(const std::function<void()>& after_record) {
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
    if (after_record) after_record();
  }
  damaged.finish(warnings_);
  for (const SectionJob* job : jobs_) {
    if (job->misfits.fitting() + job->misfits.misfits() == 0) fail_without_rows(*job, log_);
    job->misfits.finish(warnings_);
    job->table->finish(warnings_);
  }
  return log_;
}

bool LogPass::take_record() {
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

}  // namespace wainscot
