#include "io/results/job_record.hpp"

#include <cstddef>
#include <system_error>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "core/errors.hpp"
#include "io/files/plain_file.hpp"
#include "io/files/shown.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* kFile = "job.json";
constexpr int kForm = 1;
constexpr std::size_t kMostBytes = 1'000'000;  // of paths and options: a hundred times what a command line has

TruthErrors truth_of(const Json& json) {
  return {json.at("path_rmse_m").get<double>(), json.at("path_worst_m").get<double>(),
          json.at("heading_rmse_deg").get<double>()};
}

JobRecord record_of(const Json& json) {
  JobRecord record;
  record.program_version = json.at("program_version").get<std::string>();
  record.name = json.at("name").get<std::string>();
  record.command = json.at("command").get<std::vector<std::string>>();
  record.drive = json.at("drive").get<std::string>();
  record.files = json.at("files").get<std::string>();
  record.checksum = json.at("checksum").get<std::string>();
  record.status = json.at("status").get<int>();
  record.sentence = json.at("sentence").get<std::string>();
  if (json.contains("truth")) record.truth = truth_of(json.at("truth"));
  return record;
}

}  // namespace

std::string job_record_json(const JobRecord& record) {
  Json json = {{"wainscot_job", kForm},       {"program_version", record.program_version},
               {"name", record.name},         {"command", record.command},
               {"drive", record.drive},       {"files", record.files},
               {"checksum", record.checksum}, {"status", record.status},
               {"sentence", record.sentence}};
  if (record.truth) {
    json["truth"] = {{"path_rmse_m", rounded(record.truth->path_rmse_m, 5)},
                     {"path_worst_m", rounded(record.truth->path_worst_m, 5)},
                     {"heading_rmse_deg", rounded(record.truth->heading_rmse_deg, 4)}};
  }
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::optional<JobRecord> read_job_record(const std::filesystem::path& folder) {
  std::error_code error;
  if (!std::filesystem::exists(folder / kFile, error)) return std::nullopt;
  const std::string text = read_plain_file(folder, kFile, kMostBytes);
  try {
    const Json json = Json::parse(text);
    if (json.at("wainscot_job").get<int>() == kForm) return record_of(json);
  } catch (const nlohmann::json::exception&) {  // said below
  }
  throw InputError(fmt::format("{}: is no job.json of this version of wainscot; remove it, and its drive is done again",
                               shown(folder / kFile)));
}

}  // namespace wainscot
