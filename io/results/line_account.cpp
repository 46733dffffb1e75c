#include "io/results/line_account.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

Json place_json(const Eigen::Vector2d& place) {
  return {{"x_m", rounded(place.x(), 4)}, {"y_m", rounded(place.y(), 4)}};
}

}  // namespace

const char* survey_file(const Map& map) {
  const auto& markers = map.markers.markers;
  const bool by_markers =
      std::any_of(markers.begin(), markers.end(), [](const MappedMarker& marker) { return marker.surveyed; });
  return by_markers || map.lines.lines.empty() ? "marker_map.csv" : "line_map.csv";
}

std::string line_sentences(const Map& map) {
  const MapLines& lines = map.lines;
  if (lines.lines.empty() && lines.left_out.empty()) return "";
  std::size_t stretches = 0;
  std::size_t measured = 0;
  double followed_m = 0.0;
  double square_sum = 0.0;
  double most_off_m = 0.0;
  for (const MappedLine& line : lines.lines) {
    stretches += static_cast<std::size_t>(line.stretches);
    followed_m += line.followed_m;
    square_sum += line.followed_m * line.residual_rms_m * line.residual_rms_m;
    measured += line.measured ? 1 : 0;
    most_off_m = std::max(most_off_m, line.measured ? line.survey_difference_m : 0.0);
  }
  std::string text =
      fmt::format("{} followed {}", count_text(lines.lines.size(), "line"), count_text(stretches, "time"));
  if (followed_m > 0.0) {
    text += fmt::format(", {} in all, {} (root mean square) off them", length_text(followed_m),
                        length_text(std::sqrt(square_sum / followed_m)));
  }
  if (!lines.left_out.empty()) text += fmt::format("; {} left out", count_text(lines.left_out.size(), "row"));
  text += ".";
  if (measured > 0) {
    text += fmt::format(" {} measured, {} at the most off the survey.", count_text(measured, "line"),
                        length_text(most_off_m));
  }
  const std::string file = survey_file(map);
  if (map.markers.frame_by_survey && file == "line_map.csv") text += " The map's frame is that of line_map.csv.";
  return text;
}

nlohmann::ordered_json lines_json(const MapLines& lines) {
  Json list = Json::array();
  for (const MappedLine& line : lines.lines) {
    Json row = {{"name", line.name},
                {"from", place_json(line.from_m)},
                {"to", place_json(line.to_m)},
                {"sd_m", rounded(line.sd_m, 5)},
                {"stretches", line.stretches},
                {"followed_m", rounded(line.followed_m, 3)},
                {"residual_rms_m", rounded(line.residual_rms_m, 5)}};
    if (line.measured) row["survey_difference_m"] = rounded(line.survey_difference_m, 5);
    list.push_back(row);
  }
  Json left_out = Json::array();
  for (const LeftOutStretch& s : lines.left_out) {
    left_out.push_back({{"from_s", s.from_s}, {"to_s", s.to_s}, {"line", s.line}, {"reason", s.reason}});
  }
  return {{"noise_m", rounded(lines.noise_m, 5)},
          {"aside_m", rounded(lines.aside_m, 5)},
          {"aside_sd_m", rounded(lines.aside_sd_m, 5)},
          {"places", list},
          {"left_out", left_out}};
}

}  // namespace wainscot
