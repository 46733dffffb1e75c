#pragma once

// What was made of the markers, for people and for machines.

#include <cstddef>
#include <string>

#include <nlohmann/json_fwd.hpp>

#include "graph/map.hpp"

namespace wainscot {

/// Sums over all markers of a map.
struct MarkerSums {
  std::size_t sightings = 0;    ///< that were used
  double sighting_rms_m = 0.0;  ///< of the distances between sightings and their markers' places
  std::size_t surveyed = 0;     ///< markers whose surveyed places were used
  double survey_rms_m = 0.0;    ///< of the distances between these and the map's places
};
MarkerSums sum_up(const MapMarkers& markers);

/// Whole sentences in one line, without line end; empty where the drive has no markers.
std::string marker_sentences(const MapMarkers& markers);

/// The "markers" of summary.json.
nlohmann::ordered_json markers_json(const MapMarkers& markers);

}  // namespace wainscot
