#include "io/results/location_csv.hpp"

#include <iterator>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

void add_row(double time_s, const PlaceInMap& place, Answer answer, std::string& text) {
  const Eigen::Vector3d sd = place.sd_in_map();
  fmt::format_to(std::back_inserter(text), "{},{},{},{},{},{},{},{}\n", fixed_text(time_s, 6),
                 fixed_text(place.pose.x_m, 4), fixed_text(place.pose.y_m, 4),
                 fixed_text(wrap_angle(place.pose.heading_rad), 5), fixed_text(sd[0], 4), fixed_text(sd[1], 4),
                 fixed_text(sd[2], 5), answer_text(answer));
}

}  // namespace

std::string location_csv(const std::vector<LocatedScan>& located, bool all_places) {
  return kLocationColumns + location_rows(located, all_places);
}

std::string location_rows(const std::vector<LocatedScan>& located, bool all_places) {
  std::string text;
  for (const LocatedScan& scan : located) {
    const Location& here = scan.location;
    if (here.places.empty()) text += fixed_text(scan.time_s, 6) + ",,,,,,," + answer_text(here.answer) + "\n";
    for (const PlaceInMap& place : here.places) {
      add_row(scan.time_s, place, here.answer, text);
      if (!all_places) break;
    }
  }
  return text;
}

}  // namespace wainscot
