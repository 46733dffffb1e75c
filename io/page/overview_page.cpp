#include "io/page/overview_page.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string_view>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/map_origin.hpp"
#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/overview/overview_text.hpp"
#include "io/packed_numbers.hpp"
#include "io/page/files.hpp"
#include "io/page/filled_form.hpp"
#include "io/page/page_frame.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

/// A number to as many decimals as its uncertainty has with three significant digits: a page of 10,000 rows has no room
/// for more.
double to_its_uncertainty(double value, double sd) {
  constexpr int kMostDecimals = 15;
  return rounded(value, std::clamp(2 - static_cast<int>(std::floor(std::log10(sd))), 0, kMostDecimals));
}

/// Of RFC 3986, 2.3, and the slashes between.
std::string percent_encoded(std::string_view path) {
  std::string text;
  for (const char c : path) {
    const auto code = static_cast<unsigned char>(c);
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       std::string_view("-._~/").find(c) != std::string_view::npos;
    text += plain ? std::string(1, c) : fmt::format("%{:02X}", code);
  }
  return text;
}

/// Found and its uncertainty of each of the overview's constants, in their order, and a third number where the drive
/// did not observe it; null where the row has none.
Json constants_json(const DriveRow& row, const std::vector<NamedConstant>& constants) {
  Json list = Json::array();
  for (const NamedConstant& named : constants) {
    const auto found = std::find_if(row.constants.begin(), row.constants.end(),
                                    [&named](const RowConstant& constant) { return constant.name == named.name; });
    if (found == row.constants.end()) {
      list.push_back(nullptr);
      continue;
    }
    const UncertainValue& value = found->found;
    Json entry = {to_its_uncertainty(value.value, value.sd), to_its_uncertainty(value.sd, value.sd)};
    if (!found->observed) entry.push_back(0);
    list.push_back(std::move(entry));
  }
  return list;
}

/// Only what a row has: a page of 10,000 rows has no room for empty keys.
void add_number(Json& json, const char* key, double value, int decimals) {
  if (!std::isnan(value)) json[key] = rounded(value, decimals);
}

void add_text(Json& json, const char* key, const std::string& text) {
  if (!text.empty()) json[key] = text;
}

/// The page of the map, from the page that links to it.
std::string link_of(const DriveRow& row, const std::string& folder) {
  if (folder.empty() || row.state != RowState::mapped) return {};
  const std::string map = row.map == "." ? "" : row.map.string() + "/";
  return percent_encoded(folder + "/" + row.folder + "/" + map + "report.html");
}

Json row_json(const DriveRow& row, const Overview& overview, std::size_t index, const std::string& folder) {
  Json json = {{"name", row.name}, {"verdict", verdict_words(row)}};
  const bool mapped = row.state == RowState::mapped;
  add_text(json, "said", mapped && row.sentence.empty() ? row.reason : row.sentence);
  add_text(json, "link", link_of(row, folder));
  add_number(json, "way", row.path_length_m, 3);
  add_number(json, "time", row.duration_s, 1);
  add_number(json, "loops", row.closures, 0);
  add_number(json, "place", row.place_sd_m, 5);
  add_number(json, "scale", row.scale_sd, 7);
  add_text(json, "by", row.scale_set_by);
  std::vector<std::string> warnings = row.faults;
  if (row.state == RowState::damaged) warnings.clear();  // its sentence says it
  const std::size_t count = warnings.size() + row.warning_count;
  warnings.insert(warnings.end(), row.warnings.begin(), row.warnings.end());
  if (count > 0) json["warnings"] = warnings;
  if (count > warnings.size()) json["more"] = count - warnings.size();
  add_number(json, "tape", row.tapes.rms_m, 5);
  add_number(json, "truth", row.truth.path_rmse_m, 6);
  add_number(json, "worst", row.truth.path_worst_m, 6);
  add_number(json, "turned", row.truth.heading_rmse_deg, 4);
  if (!row.constants.empty()) json["constants"] = constants_json(row, overview.constants);
  if (overview.fleet.robot_of[index] != kNoRobot) json["robot"] = overview.fleet.robot_of[index];
  if (!row.picture.empty()) json["png"] = base64({row.picture.begin(), row.picture.end()});
  return json;
}

/// Which of its constants the robot's drives show, with what is said of each.
Json robot_json(const FleetRobot& robot, const Overview& overview) {
  Json series = Json::array();
  for (const ConstantSeries& constant : robot.series) {
    const auto named = std::find_if(overview.constants.begin(), overview.constants.end(),
                                    [&constant](const NamedConstant& other) { return other.name == constant.name; });
    if (named == overview.constants.end()) continue;
    Json json = {{"constant", named - overview.constants.begin()}};
    add_text(json, "said", change_sentence(constant, overview.rows));
    series.push_back(std::move(json));
  }
  return {{"first", overview.rows[robot.rows.front()].name}, {"drives", robot.rows.size()}, {"series", series}};
}

std::string data_of(const Overview& overview, const std::string& folder) {
  Json data = {
      {"constants", Json::array()}, {"robots", Json::array()}, {"odd", Json::array()}, {"rows", Json::array()}};
  for (const NamedConstant& constant : overview.constants) {
    data["constants"].push_back({{"name", constant.name}, {"unit", constant.unit}});
  }
  for (const FleetRobot& robot : overview.fleet.robots) data["robots"].push_back(robot_json(robot, overview));
  for (const OddConstant& odd : overview.fleet.odd) {
    const auto named = std::find_if(overview.constants.begin(), overview.constants.end(),
                                    [&odd](const NamedConstant& other) { return other.name == odd.name; });
    data["odd"].push_back(
        {{"row", odd.row}, {"constant", named - overview.constants.begin()}, {"said", odd_sentence(odd)}});
  }
  for (std::size_t i = 0; i < overview.rows.size(); ++i) {
    data["rows"].push_back(row_json(overview.rows[i], overview, i, folder));
  }
  return data.dump(-1, ' ', false, Json::error_handler_t::replace);
}

/// What the robots' drives say together, as a list; without any, a sentence.
std::string changes_html(const Overview& overview) {
  constexpr std::size_t kMostItems = 50;  // the plots show the rest
  const std::vector<std::string> sentences = change_sentences(overview);
  const bool has_sisters = std::any_of(overview.fleet.robots.begin(), overview.fleet.robots.end(),
                                       [](const FleetRobot& robot) { return robot.rows.size() > 1; });
  if (sentences.empty()) {
    return fmt::format("<p>No constant changed from drive to drive by more than chance{}.</p>",
                       has_sisters ? "" : ": no two of these drives have a robot.yaml that states the same");
  }
  std::string html = "<ul>\n";
  for (std::size_t i = 0; i < std::min(kMostItems, sentences.size()); ++i) {
    html += "<li>" + html_text(sentences[i]) + ".</li>\n";
  }
  if (sentences.size() > kMostItems) {
    html += fmt::format("<li>And {} more: choose a robot and a constant below.</li>\n",
                        whole_text(sentences.size() - kMostItems));
  }
  return html + "</ul>";
}

}  // namespace

std::string overview_page(const Overview& overview, const OverviewPage& page) {
  const bool simulated =
      std::any_of(overview.rows.begin(), overview.rows.end(), [](const DriveRow& row) { return row.simulated; });
  PageParts parts;
  parts.title = "Maps in " + overview.name;
  parts.body = filled_form(
      overview_html(),
      {{"@NAME@", html_text(overview.name)},
       {"@COUNTS@", html_text(counts_sentence(counts_of(overview.rows)))},
       {"@MARK@", simulated
                      ? "<p><span class=\"mark\">simulated drives among them</span> Their figures say nothing of a "
                        "real robot.</p>"
                      : ""},
       {"@CHANGES@", changes_html(overview)},
       {"@CAUTION@", html_text(map_caution)},
       {"@VERSION@", html_text(page.program_version)}});
  parts.style = overview_css();
  parts.script = overview_js();
  parts.data = data_of(overview, page.folder);
  return framed_page(parts);
}

}  // namespace wainscot
