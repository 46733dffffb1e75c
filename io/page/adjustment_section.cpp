#include "io/page/adjustment_section.hpp"

#include <algorithm>
#include <array>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "io/markup.hpp"
#include "io/number_text.hpp"
#include "io/packed_numbers.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

float number_of(Turning turning) {
  switch (turning) {
    case Turning::left:
      return 1.0F;
    case Turning::right:
      return -1.0F;
    case Turning::straight:
      break;
  }
  return 0.0F;
}

Json piece_json(const TracedPiece& piece) {
  std::vector<float> numbers;
  for (const TracedReturn& seen : piece.shown) {
    for (const double value : {seen.robot.x_m, seen.robot.y_m, seen.robot.heading_rad, seen.velocity.x(),
                               seen.velocity.y(), seen.velocity.z(), seen.angle_rad, seen.range_m}) {
      numbers.push_back(static_cast<float>(value));
    }
    numbers.push_back(number_of(seen.turning));
  }
  return {{"anchor", {rounded(piece.anchor_m.x(), 6), rounded(piece.anchor_m.y(), 6)}},
          {"normal", {piece.normal.x(), piece.normal.y()}},
          {"nodes", piece.nodes},
          {"returns", piece.returns},
          {"left_out", piece.left_out},
          {"shown", packed(numbers)}};
}

/// [x, y, heading (rad), range offset, clock's offset], as in robot.yaml.
Json tried_json(const TriedConstants& tried) {
  return {tried.mounting.x_m, tried.mounting.y_m, tried.mounting.heading_rad, tried.range_offset_m,
          tried.time_offset_s};
}

/// The same for the standard uncertainties, heading in degrees as in the table; null where the account has none.
Json found_sd_json(const std::vector<RefinedConstant>& constants) {
  constexpr std::array<const char*, 5> kNames = {"lidar.x_m", "lidar.y_m", "lidar.heading_deg", "lidar.range_offset_m",
                                                 "lidar.time_offset_s"};
  Json json = Json::array();
  for (const char* name : kNames) {
    const auto row =
        std::find_if(constants.begin(), constants.end(), [&](const RefinedConstant& c) { return c.name == name; });
    json.push_back(row == constants.end() ? Json() : Json(row->found_sd));
  }
  return json;
}

std::string verdict_on(const RefinedConstant& constant) {
  constexpr double kALittle = 0.9;  // of the uncertainty before
  const double left = constant.found_sd / constant.stated_sd;
  if (constant.observed)
    return fmt::format("yes, {} times as surely as robot.yaml", short_text(1.0 / left, left < 0.1 ? 0 : 1));
  if (left < kALittle) return "a little: less than twice as surely as robot.yaml";
  return "no: hardly surer than robot.yaml";
}

}  // namespace

nlohmann::ordered_json adjustment_data(const AdjustmentTrace& trace, const std::vector<RefinedConstant>& constants) {
  Json json;
  json["pieces"] = Json::array();
  for (const TracedPiece& piece : trace.pieces) json["pieces"].push_back(piece_json(piece));
  json["fast_turn_rad_s"] = rounded(trace.fast_turn_rad_s, 4);
  json["found"] = tried_json(trace.found);
  json["stated"] = tried_json(trace.stated);
  json["found_sd"] = found_sd_json(constants);
  return json;
}

std::string told_constants(const std::vector<RefinedConstant>& constants) {
  std::string html =
      "<div class=\"table\" tabindex=\"0\" role=\"region\" aria-label=\"What this drive could tell\"><table "
      "class=\"stacked\"><thead><tr><th scope=\"col\">constant</th><th scope=\"col\">robot.yaml said</th>"
      "<th scope=\"col\">found</th><th scope=\"col\">could this drive tell it?</th></tr></thead><tbody>\n";
  for (const RefinedConstant& c : constants) {
    const UncertainText stated = uncertain_text(c.stated, c.stated_sd);
    const UncertainText found = uncertain_text(c.found, c.found_sd);
    const std::string unit = c.unit == "1" ? "" : " " + html_text(c.unit);
    fmt::format_to(std::back_inserter(html),
                   "<tr><th scope=\"row\">{0}</th><td data-label=\"robot.yaml said\">{1} ± {2}{5}</td><td "
                   "data-label=\"found\">{3} ± {4}{5}</td><td data-label=\"told\">{6}</td></tr>\n",
                   html_text(c.name), stated.value, stated.sd, found.value, found.sd, unit, verdict_on(c));
  }
  return html + "</tbody></table></div>\n<p class=\"soft\">After ±: one standard uncertainty.</p>";
}

}  // namespace wainscot
