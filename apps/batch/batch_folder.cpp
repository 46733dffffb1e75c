#include "apps/batch/batch_folder.hpp"

#include <cstddef>
#include <fstream>
#include <system_error>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "core/errors.hpp"
#include "io/files/plain_file.hpp"
#include "io/files/shown.hpp"
#include "io/files/whole_file.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr const char* kCommandFile = "command.json";
constexpr int kForm = 1;
constexpr std::size_t kMostCommandBytes = 2'000'000;  // what a command line of Linux can have at most

void make_folder(const fs::path& folder) {
  std::error_code error;
  fs::create_directory(folder, error);
  if (!fs::is_directory(folder)) {
    throw InputError(fmt::format("{}: cannot be made ({}); the folder that it is to stand in has to be there",
                                 shown(folder), error ? error.message() : "a file has that name"));
  }
}

}  // namespace

fs::path own_folder(const fs::path& folder) { return folder / ".batch"; }

void make_batch_folder(const fs::path& folder) {
  std::error_code error;
  if (fs::exists(folder, error) && !fs::is_directory(own_folder(folder), error) && !fs::is_empty(folder, error)) {
    throw InputError(fmt::format("{}: holds other things than a batch; choose a new name for --out", shown(folder)));
  }
  make_folder(folder);
  make_folder(own_folder(folder));
}

void write_batch_command(const fs::path& folder, const BatchCommand& command) {
  const Json json = {{"wainscot_batch", kForm},
                     {"command", command.words},
                     {"threads", command.threads},
                     {"memory_mb", command.memory_mb}};
  write_whole_file(own_folder(folder) / kCommandFile, json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n",
                   true);
}

BatchCommand read_batch_command(const fs::path& folder) {
  const std::string text = read_plain_file(own_folder(folder), kCommandFile, kMostCommandBytes);
  try {
    const Json json = Json::parse(text);
    if (json.at("wainscot_batch").get<int>() == kForm) {
      return {json.at("command").get<std::vector<std::string>>(), json.at("threads").get<int>(),
              json.at("memory_mb").get<int>()};
    }
  } catch (const nlohmann::json::exception&) {  // said below
  }
  throw InputError(fmt::format("{}: is no batch of this version of wainscot; run wainscot batch again", shown(folder)));
}

std::string job_line(const BatchJob& job) {
  const Json json = {{"name", job.name}, {"drive", job.drive.string()}, {"options", job.options}};
  // Nothing but ASCII, which no shell, engine or locale on the way takes for something else.
  return json.dump(-1, ' ', true);
}

BatchJob job_of_line(std::string_view line) {
  try {
    const Json json = Json::parse(line);
    return {json.at("name").get<std::string>(), json.at("drive").get<std::string>(),
            json.at("options").get<std::vector<std::string>>()};
  } catch (const nlohmann::json::exception&) {
    throw InputError(fmt::format("'{}' is no job of a batch; run wainscot batch again", printable(line)));
  }
}

void write_job_lines(const fs::path& file, const std::vector<BatchJob>& jobs) {
  std::string text;
  for (const BatchJob& job : jobs) text += job_line(job) + "\n";
  write_whole_file(file, text, true);
}

std::vector<BatchJob> read_job_lines(const fs::path& file) {
  std::ifstream in(file);
  if (!in) throw InputError(fmt::format("{}: cannot be read; run wainscot batch again", shown(file)));
  std::vector<BatchJob> jobs;
  for (std::string line; std::getline(in, line);) jobs.push_back(job_of_line(line));
  return jobs;
}

}  // namespace wainscot
