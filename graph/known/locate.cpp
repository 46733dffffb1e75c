#include "graph/known/locate.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/known/place_choice.hpp"
#include "graph/known/place_evidence.hpp"
#include "graph/known/place_search.hpp"
#include "graph/known/spread_points.hpp"
#include "graph/track/keyframes.hpp"
#include "graph/track/match_surprise.hpp"

namespace wainscot {
namespace {

// How far a face that was seen may lie from the map's: twice the noise of a range, which holds 95 % of returns, but no
// closer than a map's own walls and the way since are off by. That is centimetres, not millimetres, in real buildings:
// chosen, not measured; homes 22001 to 22006, whose lidar has 15 mm, never came to it.
constexpr double kCloselyM = 0.025;
constexpr double kRoughlyM = 0.09;  // KnownMap::fit()'s: places followed by few returns lie some centimetres off
constexpr int kSettledScans = 5;  // a robot that was carried stands again: half a second at ten scans a second; chosen

}  // namespace

const char* answer_text(Answer answer) {
  switch (answer) {
    case Answer::found:
      return "found";
    case Answer::ambiguous:
      return "ambiguous";
    case Answer::lost:
      break;
  }
  return "lost";
}

Locator::Locator(const KnownMap& map, const RangeNoise& noise, const LocatorOptions& options)
    : map_(map),
      noise_(noise),
      options_(options),
      surroundings_(noise, options.search_way_m),
      delay_{0.0, options.delay_sd_s * options.delay_sd_s} {
  restart();
}

void Locator::restart() {
  tracks_.clear();
  sure_ = in_doubt_ = false;
  bad_scans_ = settled_scans_ = 0;
  good_scans_ = kSettledScans;
  surroundings_ = Surroundings(noise_, options_.search_way_m);
  since_search_m_ = next_search_m_ = doubted_way_m_ = 0.0;
  location_ = {};
}

void Locator::begin_at(const PlaceInMap& place, const Tangent2& speed) {
  restart();
  first_ = false;
  speed_ = speed;
  since_view_m_ = options_.view_way_m;  // what the next scan shows is new
  PlaceTrack track;
  track.pose = place.pose;
  track.covariance = place.covariance;
  tracks_.push_back(std::move(track));
  sure_ = true;
  tell();
}

/// Where a robot is that was carried is believed only after it has stood again for some scans.
void Locator::lose() {
  restart();
  good_scans_ = 0;
  settled_scans_ = -kSettledScans;
}

const Location& Locator::add(const std::vector<ScanPoint>& points, const Pose2& moved,
                             const Eigen::Matrix3d& covariance, const Tangent2& speed) {
  constexpr double kUnknownM = 10.0;   // a counter restarted: no stretch of wheels between two scans is so uncertain
  constexpr double kRollsM = 0.002;    // in a scan: more is no jitter of odometry at rest; chosen, some ticks
  constexpr double kRollsRad = 0.005;  // the same at the wheels of a track of 0.4 m: one forwards, one back
  if (!first_ && covariance(0, 0) > kUnknownM * kUnknownM) restart();
  const Eigen::Matrix3d trusted = std::max(1.0, surprise_) * covariance;
  if (options_.delay_sd_s > 0.0) delay_.variance_s2 += options_.delay_walk_s * options_.delay_walk_s;
  const Tangent2 speed_change = speed - adjoint(inverse(moved)) * speed_;
  speed_ = speed;
  for (PlaceTrack& track : tracks_) advance(track, moved, trusted, speed_change, delay_);
  const double way_m = first_ ? 0.0 : moved.translation().norm();
  const double turn_rad = first_ ? 0.0 : std::abs(moved.heading_rad);
  since_view_m_ += way_m;
  since_view_rad_ += turn_rad;
  doubted_way_m_ = std::max(0.0, doubted_way_m_ - way_m);
  since_search_m_ += way_m + 0.3 * turn_rad;  // turning shows little that is new
  const bool view = first_ || since_view_m_ > options_.view_way_m || since_view_rad_ > options_.view_turn_rad;
  const double news = first_ ? 1.0 : view ? news_of(since_view_m_, since_view_rad_) : 0.0;
  if (view) since_view_m_ = since_view_rad_ = 0.0;
  first_ = false;
  if (sure_) {
    follow(points, news, way_m > kRollsM || turn_rad > kRollsRad);
  } else {
    look(points, moved, trusted, news);
  }
  tell();
  return location_;
}

/// Odometry that is worse than it says is trusted less, so that it is not taken for a hand that carries the robot.
void Locator::learn(double chi_squared) {
  constexpr double kQuickly = 0.1;  // a mean of ten scans, a second; chosen
  constexpr double kMost = 30.0;    // one scan makes odometry's variance four times at most (0.1 * 30 + 0.9); chosen
  surprise_ += kQuickly * (std::min(chi_squared / 3.0, kMost) - surprise_);
}

/// How much of a view is new after this motion.
double Locator::news_of(double way_m, double turn_rad) const {
  return std::min(1.0, way_m / options_.view_way_m + options_.turn_view * turn_rad / options_.view_turn_rad);
}

/// What of a view contradicts the map where the robot is elsewhere: clearly more than of the views so far.
double Locator::contradiction_of_another_place() const {
  constexpr double kUsually = 0.25;  // chosen, as kMore: more than people who stand about hide, less than another room
  constexpr double kMore = 0.15;
  return std::max(kUsually, tracks_.front().fit.contradicted() + kMore);
}

/// The robot's place is known: keeps it, or notices that it is lost.
void Locator::follow(const std::vector<ScanPoint>& points, double news, bool rolls) {
  // All chosen, before the homes from 20001 on were used; no command prints what others would do.
  constexpr int kMostBadScans = 4;         // one or two are a person close by
  constexpr std::size_t kLatestViews = 5;  // 1.5 m of way: as long as a door takes
  constexpr double kLittle = 0.4;          // on walls of the map: the robot leaves what was mapped
  constexpr double kVague = 15.0;          // 0.45 m: by which a place is too vague to follow
  PlaceTrack& track = tracks_.front();
  const PlaceTrack before{track.pose, track.covariance, track.with_delay, {}, {}, {}, 0.0};
  const MapMatch match = match_to_map(track, points, map_, noise_);
  const double chi_squared = match.chi_squared;
  if (chi_squared < kPoseGate) delay_ = learned_delay(delay_, before, track);
  learn(chi_squared);
  if (is_aside(match.aside, options_)) doubted_way_m_ = options_.aside_way_m;
  const MapFit fit = map_.fit(evenly(points), track.pose);
  const double bad = contradiction_of_another_place();
  bad_scans_ = fit.contradicted() > bad || chi_squared > kNoNoise ? bad_scans_ + 1 : 0;
  // A robot that was carried stands on its wheels when they roll and the scans agree: in the air a corridor fits as if
  // it stood there.
  if (bad_scans_ > 0) {
    good_scans_ = 0;
  } else if (good_scans_ >= kSettledScans || rolls) {
    ++good_scans_;
  }
  if (news > 0.0) weigh(track, {fit, news}, options_.weighed_views);
  MapFit latest;
  for (std::size_t i = 0; i < std::min(kLatestViews, track.views.size()); ++i) {
    latest += track.views[track.views.size() - 1 - i].fit;
  }
  const Eigen::Matrix3d own = track.covariance_at(speed_, delay_);
  in_doubt_ = !match.agrees || doubted_way_m_ > 0.0 || good_scans_ < kSettledScans || latest.explained() < kLittle ||
              !is_within(own, 1.0, options_);
  if (bad_scans_ >= kMostBadScans || latest.contradicted() > bad || !is_within(own, kVague, options_)) lose();
}

/// The robot's place is not known: looks about, follows the places that fit, searches for more.
void Locator::look(const std::vector<ScanPoint>& points, const Pose2& moved, const Eigen::Matrix3d& covariance,
                   double news) {
  constexpr std::size_t kFewPoints =
      120;  // enough for places that are not the likeliest: all search_places() starts with; chosen
  const bool view = news > 0.0 || surroundings_.empty();
  const double chi_squared = surroundings_.add(points, moved, covariance, view);
  learn(chi_squared);
  if (chi_squared > kNoNoise) {
    lose();
    surroundings_.add(points, {}, Eigen::Matrix3d::Identity(), true);
    return;
  }
  ++settled_scans_;
  if (view) {
    const std::vector<ScanPoint> some = evenly(points);
    const std::vector<ScanPoint> few = thinned(points, kFewPoints);
    for (PlaceTrack& track : tracks_) {
      match_to_map(track, &track == &tracks_.front() ? points : few, map_, noise_);
      weigh(track, {map_.fit(some, track.pose), news}, options_.weighed_views);
    }
    tracks_ = kept_tracks(std::move(tracks_), options_);
  }
  const bool due = settled_scans_ > 0 && since_search_m_ >= next_search_m_;
  if (due) search();
  if (view || due) sure_ = is_plausible(tracks_, speed_, delay_, options_) && is_here();
  in_doubt_ = good_scans_ < kSettledScans ||
              (sure_ && !is_within(tracks_.front().covariance_at(speed_, delay_), 1.0, options_));
}

/// Whether the first of the places beats "elsewhere", and every other place, by what was seen of walls lately. Another
/// place of which the map has only a part explains less without being refuted by it, and no search that goes by what is
/// explained finds it: so one that goes by the odds comes before a place is believed. What it finds is followed, too.
bool Locator::is_here() {
  const LineMap walls = surroundings_.walls_from_here();
  const Pose2 best = tracks_.front().pose;
  PlaceEvidence closely(map_, walls, std::max(kCloselyM, 2.0 * noise_.near_m));
  const double of_views =
      fits(tracks_.front(), options_) ? 0.0 : options_.distinct_ln_odds_a_view * tracks_.front().news;
  const double needed = std::max(options_.least_ln_odds, of_views);
  if (closely.ln_ratio(best) - closely.ln_choices() < needed) return false;
  PlaceEvidence roughly(map_, walls, kRoughlyM);
  const auto is_rival = [&](const PlaceTrack& other) {
    return !is_contradicted(other, tracks_.front(), options_) &&
           roughly.ln_ratio_to(other.pose, best) <= options_.least_ln_odds;
  };
  if (std::any_of(tracks_.begin() + 1, tracks_.end(), is_rival)) return false;
  std::vector<PlaceTrack> rivals;
  const std::vector<MapView> views = surroundings_.views_from_here();
  for (const IcpResult& found : search_partly_mapped_places(map_, noise_, walls, views)) {
    if (is_followed(found.pose)) continue;
    PlaceTrack track = begun(found, views);
    if (is_rival(track)) rivals.push_back(std::move(track));
  }
  if (rivals.empty()) return true;
  std::move(rivals.begin(), rivals.end(), std::back_inserter(tracks_));
  tracks_ = kept_tracks(std::move(tracks_), options_);
  return false;
}

bool Locator::is_followed(const Pose2& pose) const {
  return std::any_of(tracks_.begin(), tracks_.end(),
                     [&](const PlaceTrack& track) { return same_place(track.pose, pose); });
}

void Locator::search() {
  const std::vector<MapView> views = surroundings_.views_from_here();
  for (const IcpResult& found : search_places(map_, noise_, surroundings_.walls_from_here(), views)) {
    if (!is_followed(found.pose)) tracks_.push_back(begun(found, views));
  }
  tracks_ = kept_tracks(std::move(tracks_), options_);
  constexpr double kFirstM = 0.5;    // chosen, as kLongestM: a search takes as long as some tens of scans
  constexpr double kLongestM = 4.0;  // a room further
  since_search_m_ = 0.0;
  next_search_m_ = std::clamp(1.5 * next_search_m_, kFirstM, kLongestM);
}

/// A place that fits, weighed on all views.
PlaceTrack Locator::begun(const IcpResult& found, const std::vector<MapView>& views) const {
  constexpr double kNothingKnown = 1e-2;  // 10 m, 10 rad: so that the inverse is there where a direction is open
  PlaceTrack track;
  track.pose = found.pose;
  track.covariance = (found.information + kNothingKnown * Eigen::Matrix3d::Identity()).inverse();
  for (std::size_t i = 0; i < views.size(); ++i) {
    const Pose2 moved = i == 0 ? Pose2{} : between(views[i - 1].pose, views[i].pose);
    const double news = i == 0 ? 1.0 : news_of(moved.translation().norm(), std::abs(wrap_angle(moved.heading_rad)));
    weigh(track, {map_.fit(evenly(views[i].points), track.pose * views[i].pose), news}, options_.weighed_views);
  }
  return track;
}

void Locator::tell() {
  location_ = {};
  if (sure_) {
    tracks_.resize(1);
    const bool doubt = in_doubt_ || !is_heading_told(tracks_.front().covariance_at(speed_, delay_)(2, 2), options_);
    location_.answer = doubt ? Answer::ambiguous : Answer::found;
  } else if (!tracks_.empty() && fits(tracks_.front(), options_)) {
    location_.answer = Answer::ambiguous;
  } else {
    return;
  }
  for (const PlaceTrack& track : tracks_) {
    PlaceInMap place{track.pose, track.covariance_at(speed_, delay_), track.fit};
    place.covariance.diagonal() += options_.common_sd.cwiseAbs2();
    place.pose.heading_rad = wrap_angle(place.pose.heading_rad);
    location_.places.push_back(place);
  }
}

Eigen::Vector3d PlaceInMap::sd_in_map() const {
  const Eigen::Matrix2d rotation = pose.rotation();
  const Eigen::Matrix2d position = rotation * covariance.topLeftCorner<2, 2>() * rotation.transpose();
  return {std::sqrt(position(0, 0)), std::sqrt(position(1, 1)), std::sqrt(covariance(2, 2))};
}

LocatedScan locate_scan(Locator& locator, const DriveSteps& steps, std::size_t scan, double before_s) {
  const double delay_s = locator.delay_s();
  const double from_s = before_s + delay_s;
  const DriveStep step = steps.at(scan, from_s, std::max(from_s, steps.time_s(scan) + delay_s));
  const Location& here = locator.add(step.points, step.moved, step.covariance, step.speed);
  return {scan, steps.time_s(scan) + locator.delay_s(), here};
}

std::vector<LocatedScan> locate_steps(Locator& locator, const DriveSteps& steps,
                                      const std::function<void(double)>& progress) {
  const std::vector<std::size_t>& scans = steps.scans();
  std::vector<LocatedScan> result;
  double before_s = steps.time_s(scans.front());
  for (const std::size_t i : scans) {
    LocatedScan located = locate_scan(locator, steps, i, before_s);
    if (!result.empty()) located.time_s = std::max(located.time_s, result.back().time_s);
    result.push_back(std::move(located));
    before_s = steps.time_s(i);
    if (progress && result.size() % 64 == 0) {
      progress(static_cast<double>(result.size()) / static_cast<double>(scans.size()));
    }
  }
  return result;
}

std::vector<LocatedScan> locate_drive(const KnownMap& map, const Drive& drive, const LidarModel& lidar,
                                      const LocatorOptions& options, const std::function<void(double)>& progress) {
  const DriveSteps steps(drive, lidar);
  Locator locator(map, steps.noise(), options);
  return locate_steps(locator, steps, progress);
}

}  // namespace wainscot
