#include "apps/batch/job_words.hpp"

#include <algorithm>
#include <filesystem>
#include <set>
#include <stdexcept>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "apps/command_line.hpp"
#include "apps/usage.hpp"
#include "core/errors.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

bool gives(const std::vector<std::string>& words, std::string_view option) {
  return std::any_of(words.begin(), words.end(), [option](const std::string& word) {
    return word == option || (word.starts_with(option) && word.size() > option.size() && word[option.size()] == '=');
  });
}

/// A path that is there, from the root on.
std::string from_root(const std::string& word) {
  std::error_code error;
  return std::filesystem::exists(word, error) ? std::filesystem::absolute(word).lexically_normal().string() : word;
}

/// Thrown where the command would begin: its words are all right.
struct WellParsed {};

void require_batch_command(const std::vector<std::string>& words) {
  if (words.empty() || std::find(kBatchCommands.begin(), kBatchCommands.end(), words.front()) == kBatchCommands.end()) {
    throw InputError(fmt::format("{} is nothing that a batch can do; write -- and one of {} with its options",
                                 words.empty() ? "nothing" : printable(words.front()),
                                 fmt::join(kBatchCommands, ", ")));
  }
  for (const char* option : {"--out", "--help", "-h"}) {
    if (!gives(words, option)) continue;
    throw InputError(
        fmt::format("{} cannot stand behind --: each drive has a folder of its own in that of the batch", option));
  }
}

}  // namespace

bool makes_map(const BatchCommand& command) {
  return command.words.front() == "build" || command.words.front() == "extend";
}

std::vector<std::string> job_words(const BatchCommand& command, const BatchJob& job, bool again) {
  std::vector<std::string> words = command.words;
  // A drive joins the map that is named before it; all other commands begin with what they work on.
  const bool drive_is_last = words.front() == "extend";
  if (!drive_is_last) words.insert(words.begin() + 1, job.drive.string());
  words.insert(words.end(), job.options.begin(), job.options.end());
  if (drive_is_last) words.push_back(job.drive.string());
  if (makes_map(command)) words.insert(words.end(), {"--out", "map"});
  const bool has_threads = words.front() != "compare";
  if (has_threads && command.threads > 0 && !gives(words, "--threads")) {
    words.insert(words.end(), {"--threads", std::to_string(command.threads)});
  }
  if (again && !gives(words, "--replace")) words.emplace_back("--replace");
  return words;
}

JobWords::JobWords(BatchCommand command) : program_(command_line()), command_(std::move(command)) {
  require_batch_command(command_.words);
  app_ = program_->get_subcommand(command_.words.front());
  app_->parse_complete_callback([app = app_] {
    // Words that it does not know are told of at the end of parsing, which comes before the command begins.
    if (app->remaining_size() == 0) throw WellParsed{};
  });
  const std::string fault = fault_of({"job", "drive", {}});
  if (!fault.empty()) throw InputError(fault);
  // What is read: the things that the command works on, and files of these options.
  std::set<std::string> read;
  for (const CLI::Option* option : app_->get_options()) {
    const bool is_read = option->get_positional() || option->check_name("--tapes") || option->check_name("--truth");
    if (is_read) read.insert(option->results().begin(), option->results().end());
  }
  for (auto word = command_.words.begin() + 1; word != command_.words.end(); ++word) {
    const std::size_t equal = word->starts_with("--") ? word->find('=') : std::string::npos;
    const std::string option = equal == std::string::npos ? std::string() : word->substr(0, equal + 1);
    const std::string value = word->substr(option.size());
    if (read.contains(value)) *word = option + from_root(value);
  }
}

std::string JobWords::fault_of(const BatchJob& job) {
  std::vector<std::string> words = job_words(command_, job, false);
  std::reverse(words.begin(), words.end());  // as the library takes them
  try {
    program_->parse(words);
  } catch (const WellParsed&) {
    return {};
  } catch (const CLI::ParseError& error) {
    return usage_sentence(*program_, error);
  }
  throw std::logic_error("a command that a batch asked about has been run");
}

const CLI::Option* JobWords::option(const std::string& name) const { return app_->get_option_no_throw("--" + name); }

}  // namespace wainscot
