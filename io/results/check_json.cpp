#include "io/results/check_json.hpp"

#include <nlohmann/json.hpp>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

Json pace_json(const Pace& pace) {
  return {{"rows", pace.rows},
          {"interval_s", rounded(pace.interval_s, 5)},
          {"lost", pace.lost},
          {"longest_gap_s", rounded(pace.longest_s, 4)},
          {"longest_gap_at_s", rounded(pace.longest_at_s, 3)}};
}

Json contents_json(const LogContents& contents, const Drive& drive, bool simulated) {
  return {{"name", drive.name},
          {"checksum", drive.checksum},
          {"simulated", simulated},
          {"duration_s", rounded(contents.duration_s, 3)},
          {"way_m", rounded(contents.way_m, 3)},
          {"turned_rad", rounded(contents.turned_rad, 3)},
          {"fastest_m_s", rounded(contents.most_m_s, 3)},
          {"fastest_rad_s", rounded(contents.most_rad_s, 3)},
          {"standing_share", rounded(contents.standing_share, 3)},
          {"breaks", contents.breaks},
          {drive.wheels.empty() ? "odometry" : "wheels", pace_json(contents.motion)},
          {"scans", pace_json(contents.scans)},
          {"returns_per_scan", contents.returns_per_scan},
          {"gyro_rows", contents.gyro_rows}};
}

Json pose_json(const Pose2& pose, int decimals) {
  return {{"x_m", rounded(pose.x_m, decimals)},
          {"y_m", rounded(pose.y_m, decimals)},
          {"heading_rad", rounded(pose.heading_rad, decimals)}};
}

Json finding_json(const Finding& finding) {
  Json json = {{"fault", fault_name(finding.fault)}, {"what", finding.what},
               {"figure", finding.figure},           {"confidence", rounded(finding.confidence, 4)},
               {"robot_yaml", finding.lines},        {"act", finding.act}};
  if (finding.or_else) json["or_else"] = fault_name(*finding.or_else);
  if (finding.time_s) json["time_s"] = rounded(*finding.time_s, 3);
  if (finding.place) json["place"] = pose_json(*finding.place, 3);
  return json;
}

std::string cause_name(ClosingCause cause) {
  if (cause == ClosingCause::constants) return "constants";
  return cause == ClosingCause::slip ? "slip" : "within_expectation";
}

Json closing_json(const ClosingError& closing) {
  return {{"true_end", pose_json(closing.true_end, 4)},
          {"error", pose_json(closing.error, 4)},
          {"error_with_found_constants", pose_json(closing.error_as_found, 4)},
          {"sd_of_constants", pose_json(closing.sd_of_constants, 4)},
          {"sd_of_noise", pose_json(closing.sd_of_noise, 4)},
          {"cause", cause_name(closing.cause)}};
}

}  // namespace

std::string check_json(const LogCheck& check, const Drive& drive, bool simulated) {
  Json json = {{"wainscot_check", 1}, {"drive", contents_json(check.contents, drive, simulated)}};
  json["findings"] = Json::array();
  for (const Finding& finding : check.findings) json["findings"].push_back(finding_json(finding));
  json["constants"] = Json::array();
  for (const MeasuredConstant& c : check.constants) {
    const UncertainText found = uncertain_text(c.found, c.found_sd);
    json["constants"].push_back({{"name", c.name},
                                 {"unit", c.unit},
                                 {"stated", c.stated},
                                 {"found", std::stod(found.value)},
                                 {"standard_uncertainty", std::stod(found.sd)}});
  }
  json["closing"] = check.closing ? closing_json(*check.closing) : Json();
  json["notes"] = check.notes;
  json["warnings"] = drive.warnings;
  // A folder's name may be any bytes: what is not UTF-8 becomes U+FFFD rather than an error.
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace wainscot
