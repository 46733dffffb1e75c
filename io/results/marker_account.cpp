#include "io/results/marker_account.hpp"

#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

}  // namespace

MarkerSums sum_up(const MapMarkers& markers) {
  MarkerSums sums;
  for (const MappedMarker& m : markers.markers) {
    sums.sightings += static_cast<std::size_t>(m.sightings);
    sums.sighting_rms_m += m.sightings * m.residual_rms_m * m.residual_rms_m;
    if (!m.surveyed) continue;
    ++sums.surveyed;
    sums.survey_rms_m += m.survey_difference_m * m.survey_difference_m;
  }
  if (sums.sightings > 0) sums.sighting_rms_m = std::sqrt(sums.sighting_rms_m / static_cast<double>(sums.sightings));
  if (sums.surveyed > 0) sums.survey_rms_m = std::sqrt(sums.survey_rms_m / static_cast<double>(sums.surveyed));
  return sums;
}

std::string marker_sentences(const MapMarkers& markers) {
  if (markers.markers.empty() && markers.left_out.empty()) return "";
  const MarkerSums sums = sum_up(markers);
  std::string text =
      fmt::format("{} from {}", count_text(markers.markers.size(), "marker"), count_text(sums.sightings, "sighting"));
  if (sums.sightings > 0)
    text += fmt::format(", {} (root mean square) off their places", length_text(sums.sighting_rms_m));
  if (!markers.left_out.empty()) text += fmt::format("; {} left out", count_text(markers.left_out.size(), "row"));
  text += ".";
  if (markers.frame_by_survey) {
    text +=
        fmt::format(" The map's frame is that of marker_map.csv: {} surveyed, {} (root mean square) off the survey.",
                    count_text(sums.surveyed, "marker"), length_text(sums.survey_rms_m));
  }
  return text;
}

nlohmann::ordered_json markers_json(const MapMarkers& markers) {
  const MarkerSums sums = sum_up(markers);
  Json list = Json::array();
  for (const MappedMarker& m : markers.markers) {
    Json row = {{"name", m.name}, {"x_m", rounded(m.place.x_m, 4)}, {"y_m", rounded(m.place.y_m, 4)}};
    if (m.has_heading) row["heading_rad"] = rounded(m.place.heading_rad, 4);
    row["sd_m"] = rounded(m.sd_m, 5);
    row["sightings"] = m.sightings;
    row["residual_rms_m"] = rounded(m.residual_rms_m, 5);
    if (m.surveyed) row["survey_difference_m"] = rounded(m.survey_difference_m, 5);
    list.push_back(row);
  }
  Json left_out = Json::array();
  for (const LeftOutSighting& s : markers.left_out) {
    left_out.push_back({{"time_s", s.time_s}, {"marker", s.marker}, {"reason", s.reason}});
  }
  return {{"frame_by_survey", markers.frame_by_survey},
          {"sightings", sums.sightings},
          {"sighting_rms_m", rounded(sums.sighting_rms_m, 5)},
          {"surveyed", sums.surveyed},
          {"survey_rms_m", rounded(sums.survey_rms_m, 5)},
          {"places", list},
          {"left_out", left_out}};
}

}  // namespace wainscot
