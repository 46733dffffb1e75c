#include "graph/known/place_choice.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "graph/known/place_search.hpp"

namespace wainscot {
namespace {

/// The best place fits badly, and every other one by far worse: in another house several fit badly.
bool stands_out(const std::vector<PlaceTrack>& tracks, const LocatorOptions& options) {
  const PlaceTrack& best = tracks.front();
  return best.news >= options.distinct_news &&
         best.fit.explained() - 2.0 * best.fit.contradicted() >= options.least_distinct &&
         (tracks.size() == 1 || tracks[1].fit.misfit() > best.fit.misfit() + options.distinct_margin);
}

}  // namespace

std::vector<PlaceTrack> kept_tracks(std::vector<PlaceTrack> tracks, const LocatorOptions& options) {
  constexpr double kHopeless = 0.45;  // most furniture was moved, and not only that; chosen
  std::stable_sort(tracks.begin(), tracks.end(),
                   [](const PlaceTrack& a, const PlaceTrack& b) { return a.fit.misfit() < b.fit.misfit(); });
  std::vector<PlaceTrack> kept;
  for (PlaceTrack& track : tracks) {
    const bool again = std::any_of(kept.begin(), kept.end(),
                                   [&](const PlaceTrack& better) { return same_place(better.pose, track.pose); });
    const bool worse = !kept.empty() && track.fit.misfit() > kept.front().fit.misfit() + options.keep_margin;
    const bool hopeless = track.fit.contradicted() > kHopeless;
    if (!again && !worse && !hopeless && kept.size() < options.most_places) kept.push_back(std::move(track));
  }
  return kept;
}

bool fits(const PlaceTrack& track, const LocatorOptions& options) {
  const double stricter = options.first_stricter / std::sqrt(std::max(1.0, track.news));
  return track.fit.explained() >= options.least_explained + 4.0 * stricter &&
         track.fit.contradicted() <= options.most_contradicted - stricter;
}

bool is_within(const Eigen::Matrix3d& covariance, double times, const LocatorOptions& options) {
  return std::sqrt(covariance.topLeftCorner<2, 2>().trace()) <= times * options.most_sd_m &&
         std::sqrt(covariance(2, 2)) <= times * options.most_sd_rad;
}

bool is_heading_told(double variance_rad2, const LocatorOptions& options) {
  return variance_rad2 <= options.most_told_sd_rad * options.most_told_sd_rad;
}

bool is_aside(const Pose2& from_other, const LocatorOptions& options) {
  constexpr double kOf95Percent = 1.96;  // standard deviations of a normal distribution
  return from_other.translation().norm() > kOf95Percent * options.most_sd_m ||
         std::abs(from_other.heading_rad) > kOf95Percent * options.most_told_sd_rad;
}

bool is_plausible(const std::vector<PlaceTrack>& tracks, const Tangent2& speed, const LidarDelay& delay,
                  const LocatorOptions& options) {
  if (tracks.empty() || (!fits(tracks.front(), options) && !stands_out(tracks, options))) return false;
  constexpr double kSettling = 4.0;  // following makes it better: four times as sure by sixteen scans of like worth
  return is_within(tracks.front().covariance_at(speed, delay), kSettling, options);
}

bool is_contradicted(const PlaceTrack& other, const PlaceTrack& best, const LocatorOptions& options) {
  constexpr double kMostly = 0.5;  // more than half of what makes it worse is refuted, and not only unknown
  const double margin = options.clear_margin * (1.0 + 1.0 / std::max(1.0, best.news));
  const double worse = other.fit.misfit() - best.fit.misfit();
  const double refuted = other.fit.contradicted() - best.fit.contradicted();
  return worse > margin && refuted > std::min(margin, kMostly * worse);
}

}  // namespace wainscot
