#include "apps/batch/job_state.hpp"

#include <algorithm>
#include <fstream>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "apps/batch/job_inputs.hpp"
#include "core/errors.hpp"
#include "io/csv_cell.hpp"
#include "io/files/shown.hpp"
#include "io/number_text.hpp"
#include "io/short_list.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

std::vector<std::string> all_words(const BatchCommand& command, const BatchJob& job) {
  std::vector<std::string> words = command.words;
  words.insert(words.end(), job.options.begin(), job.options.end());
  return words;
}

/// "NAME: WHY" of each result that `is_one`, below a heading that says how many.
template <typename Is>
std::string counted_list(const std::vector<JobResult>& results, const char* what, const Is& is_one) {
  std::vector<std::string> lines;
  for (const JobResult& result : results) {
    if (is_one(result)) lines.push_back(fmt::format("{}: {}", printable(result.name), result.sentence));
  }
  return short_list(fmt::format("{} {}", whole_text(lines.size()), what), lines, ", see results.csv");
}

}  // namespace

JobRecord expected_record(const BatchCommand& command, const BatchJob& job) {
  const std::vector<std::filesystem::path> files = job_inputs(command, job);
  JobRecord record;
  record.program_version = WAINSCOT_VERSION;
  record.name = job.name;
  record.command = all_words(command, job);
  record.drive = job.drive.string();
  record.files = digest_of_stamps(files);
  record.checksum = digest_of_bytes(files);
  return record;
}

std::optional<JobRecord> done_record(const std::filesystem::path& folder, const BatchCommand& command,
                                     const BatchJob& job) {
  std::optional<JobRecord> record;
  try {
    record = read_job_record(folder / job.name);
    if (!record || record->program_version != WAINSCOT_VERSION || record->command != all_words(command, job) ||
        record->drive != job.drive.string()) {
      return std::nullopt;
    }
    const std::vector<std::filesystem::path> files = job_inputs(command, job);
    if (record->files == digest_of_stamps(files) || record->checksum == digest_of_bytes(files)) return record;
  } catch (const InputError&) {  // a damaged record is none, and the worker tells what cannot be read
  }
  return std::nullopt;
}

std::string last_said(const std::filesystem::path& job_folder) {
  constexpr std::string_view kBegin = "wainscot: ";
  constexpr std::size_t kLongest = 2000;  // bytes: several times the longest sentence of the program
  std::ifstream said(job_folder / kSaidFile);
  std::string sentence;
  for (std::string line; std::getline(said, line);) {
    if (line.starts_with(kBegin)) sentence = printable(line.substr(kBegin.size()), kLongest);
  }
  return sentence;
}

std::vector<JobResult> job_results(const std::filesystem::path& folder, const std::vector<BatchJob>& jobs) {
  std::vector<JobResult> results;
  for (const BatchJob& job : jobs) {
    JobResult result{job.name, job.drive.string(), std::nullopt, {}};
    try {
      if (const auto record = read_job_record(folder / job.name)) {
        result.status = record->status;
        result.sentence = record->sentence;
      } else {
        const std::string said = last_said(folder / job.name);
        result.sentence = said.empty() ? "killed, or not begun" : said;
      }
    } catch (const InputError& error) {
      result.sentence = error.what();
    }
    results.push_back(std::move(result));
  }
  return results;
}

std::string results_csv(const std::vector<JobResult>& results) {
  std::string text = "name,drive,status,sentence\n";
  for (const JobResult& result : results) {
    text += fmt::format("{},{},{},{}\n", csv_cell(result.name), csv_cell(result.drive),
                        result.status ? std::to_string(*result.status) : std::string(), csv_cell(result.sentence));
  }
  return text;
}

std::string results_text(const std::filesystem::path& folder, const std::vector<JobResult>& results) {
  const auto good = std::count_if(results.begin(), results.end(), [](const JobResult& r) { return r.status == 0; });
  std::string text =
      counted_list(results, "failed:", [](const JobResult& r) { return r.status.has_value() && r.status != 0; });
  text += counted_list(results, "not done:", [](const JobResult& r) { return !r.status; });
  return text +
         fmt::format("{} of {} done well; the table is {}.\n", good, results.size(), shown(folder / "results.csv"));
}

}  // namespace wainscot
