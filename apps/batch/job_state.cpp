#include "apps/batch/job_state.hpp"

#include <algorithm>
#include <cstddef>
#include <fstream>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "apps/batch/job_inputs.hpp"
#include "core/errors.hpp"
#include "io/files/shown.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kMostShown = 10;

std::vector<std::string> all_words(const BatchCommand& command, const BatchJob& job) {
  std::vector<std::string> words = command.words;
  words.insert(words.end(), job.options.begin(), job.options.end());
  return words;
}

/// A cell of a table (RFC 4180).
std::string cell_of(const std::string& text) {
  if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
  std::string cell = "\"";
  for (const char c : text) cell += c == '"' ? std::string("\"\"") : std::string(1, c == '\n' || c == '\r' ? ' ' : c);
  return cell + "\"";
}

/// So many of the results that `is_one`, each on a line.
template <typename Is>
std::string listed(const std::vector<JobResult>& results, const std::string& title, const Is& is_one) {
  std::string text;
  std::size_t count = 0;
  for (const JobResult& result : results) {
    if (!is_one(result) || ++count > kMostShown) continue;
    text += fmt::format("  {}: {}\n", printable(result.name), result.sentence);
  }
  if (count == 0) return {};
  if (count > kMostShown) text += fmt::format("  and {} more, see results.csv\n", count - kMostShown);
  return fmt::format("{} {}\n{}", count, title, text);
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
    text += fmt::format("{},{},{},{}\n", cell_of(result.name), cell_of(result.drive),
                        result.status ? std::to_string(*result.status) : std::string(), cell_of(result.sentence));
  }
  return text;
}

std::string results_text(const std::filesystem::path& folder, const std::vector<JobResult>& results) {
  const auto good = std::count_if(results.begin(), results.end(), [](const JobResult& r) { return r.status == 0; });
  std::string text =
      listed(results, "failed:", [](const JobResult& r) { return r.status.has_value() && r.status != 0; });
  text += listed(results, "not done:", [](const JobResult& r) { return !r.status; });
  return text +
         fmt::format("{} of {} done well; the table is {}.\n", good, results.size(), shown(folder / "results.csv"));
}

}  // namespace wainscot
