#include "apps/simulator/markers.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

#include "apps/simulator/random.hpp"
#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {

namespace {

/// Places beside the route where a marker may lie, with the way that the route goes there.
std::vector<Marker> places_beside(const Plan& plan) {
  constexpr double kStep_m = 0.25;
  constexpr double kBeside_m = 0.35;
  constexpr double kClear_m = 0.1;
  const Surfaces surfaces = surfaces_of(plan);
  std::vector<Marker> places;
  for (std::size_t i = 1; i < plan.route.size(); ++i) {
    const Point from = plan.route[i - 1].point;
    const Point leg = plan.route[i].point - from;
    const Point along = unit(leg);
    for (double at = 0.0; at < norm(leg); at += kStep_m) {
      const Point on = from + at * along;
      const Point beside = on + kBeside_m * left_of(along);
      const Point place = clearance_m(surfaces, beside) > kClear_m ? beside : on;
      places.push_back({"", rounded(place), std::round(angle_of(along) / kDegree_rad)});
    }
  }
  return places;
}

/// The camera's errors, the same for the whole drive.
struct Camera {
  double heading_rad = 0.0;
  double scale = 1.0;
};

Camera draw_camera(const Defects& defects, std::uint64_t seed) {
  Random heading(seed, "marker_camera_heading_error_deg");
  Random scale(seed, "marker_camera_scale_error_rel");
  return {defects.marker_camera_heading_error_deg.draw(heading) * kDegree_rad,
          1.0 + defects.marker_camera_scale_error_rel.draw(scale)};
}

/// The number of another marker, or one that no marker has.
std::string misread(const std::vector<Marker>& markers, std::size_t which, Random& random) {
  const int others = static_cast<int>(markers.size()) - 1;
  if (others == 0) return "0";
  const auto other = static_cast<std::size_t>(random.below(others));
  return markers[other < which ? other : other + 1].name;
}

bool is_in_view(const Marker& marker, const MotionState& state, const RayCaster& walls) {
  constexpr double kNearest_m = 0.15;
  constexpr double kReach_m = 2.0;
  constexpr double kHalfField_rad = 60.0 * kDegree_rad;
  const Point away = marker.at - state.position;
  const double distance = norm(away);
  if (distance < kNearest_m || distance > kReach_m) return false;
  if (std::abs(nearest_angle(angle_of(away) - state.heading_rad)) > kHalfField_rad) return false;
  return walls.cast(state.position, unit(away), distance, true).face < 0;
}

}  // namespace

std::vector<Marker> lay_out_markers(const Plan& plan, int count) {
  constexpr double kApart_m = 0.5;
  const std::vector<Marker> places = places_beside(plan);
  std::vector<double> distance_m(places.size(), std::numeric_limits<double>::infinity());
  std::vector<Marker> markers;
  // Each next one lies as far from all the others as it can.
  for (std::size_t next = 0; markers.size() < static_cast<std::size_t>(count) && next < places.size();) {
    markers.push_back(places[next]);
    markers.back().name = std::to_string(markers.size());
    for (std::size_t i = 0; i < places.size(); ++i) {
      distance_m[i] = std::min(distance_m[i], norm(places[i].at - markers.back().at));
    }
    next = static_cast<std::size_t>(std::max_element(distance_m.begin(), distance_m.end()) - distance_m.begin());
    if (distance_m[next] < kApart_m) break;
  }
  return markers;
}

std::vector<MarkerSighting> see_markers(const Plan& plan, const HouseInTime& house, const Motion& motion,
                                        std::uint64_t seed) {
  constexpr double kPeriod_s = 0.5;
  const Camera camera = draw_camera(plan.defects, seed);
  Random noise(seed, "marker_noise_m");
  Random heading_noise(seed, "marker_heading_noise_deg");
  Random wrong(seed, "marker_misread_rate");
  const double misread_rate = plan.defects.marker_misread_rate.mean();
  const double sd_m = plan.defects.marker_noise_m.mean();
  const double sd_rad = plan.defects.marker_heading_noise_deg.mean() * kDegree_rad;
  std::vector<MarkerSighting> sightings;
  for (double time_s = kPeriod_s; time_s <= motion.duration_s(); time_s += kPeriod_s) {
    if (motion.is_carried(time_s)) continue;
    const MotionState state = motion.at(time_s);
    for (std::size_t i = 0; i < plan.markers.size(); ++i) {
      const Marker& marker = plan.markers[i];
      if (!is_in_view(marker, state, house.at(time_s))) continue;
      const Point away = marker.at - state.position;
      const Point seen = camera.scale * norm(away) * direction(angle_of(away) - state.heading_rad - camera.heading_rad);
      const double heading =
          marker.heading_deg * kDegree_rad - state.heading_rad - camera.heading_rad + sd_rad * heading_noise.normal();
      MarkerSighting sighting{time_s, marker.name, seen.x_m + sd_m * noise.normal(), seen.y_m + sd_m * noise.normal(),
                              nearest_angle(heading)};
      if (wrong.chance(misread_rate)) sighting.marker = misread(plan.markers, i, wrong);
      sightings.push_back(sighting);
    }
  }
  return sightings;
}

std::vector<SurveyedMarker> survey_markers(const Plan& plan, std::uint64_t seed) {
  std::vector<SurveyedMarker> surveyed;
  if (!plan.markers_surveyed) return surveyed;
  Random noise(seed, "survey_noise_m");
  const double sd_m = plan.defects.survey_noise_m.mean();
  for (const Marker& marker : plan.markers) {
    surveyed.push_back({marker.name, marker.at.x_m + sd_m * noise.normal(), marker.at.y_m + sd_m * noise.normal(),
                        nearest_angle(marker.heading_deg * kDegree_rad)});
  }
  return surveyed;
}

}  // namespace wainscot::simulator
