#include "graph/known/locate.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "core/errors.hpp"
#include "core/odometry.hpp"
#include "graph/constants.hpp"
#include "graph/known/map_views.hpp"
#include "graph/track/keyframes.hpp"
#include "graph/track/match_surprise.hpp"
#include "graph/usable_scans.hpp"

namespace wainscot {
namespace {

constexpr double kClearOverlap = 0.65;
constexpr double kSureOverlap = 0.8;
constexpr int kSettledScans = 5;  // a robot that was carried stands again

/// Returns evenly along the walls rather than by angle: what is near has no more say than what is far.
std::vector<ScanPoint> evenly(const std::vector<ScanPoint>& points) {
  constexpr float kApartM = 0.08F;
  std::vector<ScanPoint> result;
  for (const ScanPoint& p : points) {
    if (result.empty() || std::hypot(p.x_m - result.back().x_m, p.y_m - result.back().y_m) >= kApartM) {
      result.push_back(p);
    }
  }
  return result;
}

bool same_place(const Pose2& a, const Pose2& b) {
  constexpr double kApartM = 0.2;
  constexpr double kApartRad = 0.1;
  return (a.translation() - b.translation()).norm() < kApartM &&
         std::abs(wrap_angle(a.heading_rad - b.heading_rad)) < kApartRad;
}

Tangent2 speed_at(const OdometryPath& path, double time_s) {
  constexpr double kHalfS = 0.025;  // wheels are read some fifty times a second
  return log(between(path.pose_at(time_s - kHalfS), path.pose_at(time_s + kHalfS))) / (2.0 * kHalfS);
}

/// Every so many of the points that have a normal, `most` at most.
std::vector<ScanPoint> thinned(const std::vector<ScanPoint>& points, std::size_t most) {
  std::vector<ScanPoint> some;
  std::copy_if(points.begin(), points.end(), std::back_inserter(some),
               [](const ScanPoint& p) { return p.has_normal(); });
  const std::size_t stride = std::max<std::size_t>(1, (some.size() + most - 1) / most);
  for (std::size_t i = 0; i * stride < some.size(); ++i) some[i] = some[i * stride];
  some.resize((some.size() + stride - 1) / stride);
  return some;
}

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
      delay_variance_s2_(options.delay_sd_s * options.delay_sd_s) {
  restart();
}

void Locator::restart() {
  tracks_.clear();
  sure_ = in_doubt_ = false;
  bad_scans_ = settled_scans_ = 0;
  good_scans_ = kSettledScans;
  surroundings_ = Surroundings(noise_, options_.search_way_m);
  since_search_m_ = next_search_m_ = 0.0;
  location_ = {};
}

/// Where a robot is that was carried is believed only after it has stood again for some scans.
void Locator::lose() {
  restart();
  good_scans_ = 0;
  settled_scans_ = -kSettledScans;
}

const Location& Locator::add(const std::vector<ScanPoint>& points, const Pose2& moved,
                             const Eigen::Matrix3d& covariance, const Tangent2& speed) {
  constexpr double kUnknownM = 10.0;  // a counter restarted
  constexpr double kRollsM = 0.002;   // in a scan: more is no jitter of odometry at rest
  constexpr double kRollsRad = 0.005;
  if (!first_ && covariance(0, 0) > kUnknownM * kUnknownM) restart();
  const Eigen::Matrix3d trusted = std::max(1.0, surprise_) * covariance;
  if (options_.delay_sd_s > 0.0) delay_variance_s2_ += options_.delay_walk_s * options_.delay_walk_s;
  const Tangent2 speed_change = speed - adjoint(inverse(moved)) * speed_;
  speed_ = speed;
  for (Track& track : tracks_) advance(track, moved, trusted, speed_change);
  const double way_m = first_ ? 0.0 : moved.translation().norm();
  const double turn_rad = first_ ? 0.0 : std::abs(moved.heading_rad);
  since_view_m_ += way_m;
  since_view_rad_ += turn_rad;
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

/// A delay shifts both ends of the motion along the robot's way, so that what it does to the pose is what the speed
/// changed in between.
void Locator::advance(Track& track, const Pose2& moved, const Eigen::Matrix3d& covariance,
                      const Tangent2& speed_change) const {
  const Eigen::Matrix3d carry = adjoint(inverse(moved));
  const Eigen::Vector3d shared = carry * track.with_delay;
  track.pose = track.pose * moved;
  track.covariance = carry * track.covariance * carry.transpose() + covariance + shared * speed_change.transpose() +
                     speed_change * shared.transpose() + delay_variance_s2_ * speed_change * speed_change.transpose();
  track.with_delay = shared + delay_variance_s2_ * speed_change;
}

/// What a match shows of the delay: the regression of the delay on the pose.
void Locator::learn_delay(const Track& before, const Track& after) {
  const Eigen::Vector3d gain = before.covariance.ldlt().solve(before.with_delay);
  Pose2 shift = between(before.pose, after.pose);
  shift.heading_rad = wrap_angle(shift.heading_rad);
  delay_s_ += gain.dot(log(shift));
  delay_variance_s2_ -= gain.dot((before.covariance - after.covariance) * gain);
}

/// Odometry that is worse than it says is trusted less, so that it is not taken for a hand that carries the robot.
void Locator::learn(double chi_squared) {
  constexpr double kQuickly = 0.1;
  constexpr double kMost = 30.0;
  surprise_ += kQuickly * (std::min(chi_squared / 3.0, kMost) - surprise_);
}

/// Matches the scan to the map around the track and moves the track there. Returns chi squared of the match against
/// odometry; 0 where the map says too little.
double Locator::match(Track& track, const std::vector<ScanPoint>& points) const {
  constexpr double kDoubt = 100.0;  // odometry may have slipped: its standard deviation is ten times as large
  const Pose2 predicted = track.pose;
  const Eigen::Matrix3d covariance = track.covariance;
  Eigen::Matrix3d prior = covariance.inverse();
  IcpResult found = match_icp(points, map_.lines(), noise_, predicted, prior);
  if (found.overlap < kSureOverlap || chi_squared_of(found, predicted, covariance) > kPoseGate) {
    const IcpResult free = match_icp(points, map_.lines(), noise_, predicted, prior / kDoubt);
    if (free.overlap > found.overlap + 0.02) {
      found = free;
      prior /= kDoubt;
    }
  }
  constexpr double kLeastOverlap = 0.35;
  if (found.overlap < kLeastOverlap) return 0.0;  // odometry goes on
  const double worth = std::pow(std::min(1.0, found.overlap / kClearOverlap), 4);
  track.pose = found.pose;
  track.covariance = (prior + worth * found.information).inverse();
  track.with_delay = track.covariance * covariance.ldlt().solve(track.with_delay);
  return chi_squared_of(found, predicted, covariance);
}

/// How much of a view is new after this motion.
double Locator::news_of(double way_m, double turn_rad) const {
  return std::min(1.0, way_m / options_.view_way_m + options_.turn_view * turn_rad / options_.view_turn_rad);
}

void Locator::weigh(Track& track, const View& view) const {
  track.views.push_back(view);
  track.fit += view.fit;
  track.news += view.news;
  if (track.views.size() > options_.weighed_views) {
    track.fit -= track.views.front().fit;
    track.news -= track.views.front().news;
    track.views.pop_front();
  }
}

/// What of a view contradicts the map where the robot is elsewhere: clearly more than of the views so far.
double Locator::contradiction_of_another_place() const {
  constexpr double kUsually = 0.25;
  constexpr double kMore = 0.15;
  return std::max(kUsually, tracks_.front().fit.contradicted() + kMore);
}

/// The robot's place is known: keeps it, or notices that it is lost.
void Locator::follow(const std::vector<ScanPoint>& points, double news, bool rolls) {
  constexpr int kMostBadScans = 4;
  constexpr std::size_t kLatestViews = 5;
  constexpr double kLittle = 0.4;
  constexpr double kVague = 15.0;  // by which a place is too vague to follow
  Track& track = tracks_.front();
  const Track before{track.pose, track.covariance, track.with_delay, {}, {}};
  const double chi_squared = match(track, points);
  if (chi_squared < kPoseGate) learn_delay(before, track);
  learn(chi_squared);
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
  if (news > 0.0) weigh(track, {fit, news});
  MapFit latest;
  for (std::size_t i = 0; i < std::min(kLatestViews, track.views.size()); ++i) {
    latest += track.views[track.views.size() - 1 - i].fit;
  }
  in_doubt_ = good_scans_ < kSettledScans || latest.explained() < kLittle || !is_within(track, 1.0);
  if (bad_scans_ >= kMostBadScans || latest.contradicted() > bad || !is_within(track, kVague)) lose();
}

/// The robot's place is not known: looks about, follows the places that fit, searches for more.
void Locator::look(const std::vector<ScanPoint>& points, const Pose2& moved, const Eigen::Matrix3d& covariance,
                   double news) {
  constexpr std::size_t kFewPoints = 120;  // enough for places that are not the likeliest
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
    for (Track& track : tracks_) {
      match(track, &track == &tracks_.front() ? points : few);
      weigh(track, {map_.fit(some, track.pose), news});
    }
    give_up_bad_tracks();
  }
  const bool due = settled_scans_ > 0 && since_search_m_ >= next_search_m_;
  if (due) search();
  if (view || due) sure_ = is_sure();
  in_doubt_ = good_scans_ < kSettledScans || (sure_ && !is_within(tracks_.front(), 1.0));
}

void Locator::search() {
  const std::vector<MapView> views = surroundings_.views_from_here();
  for (const IcpResult& found : refined(map_.places_like(surroundings_.walls_from_here()), views)) {
    const auto known = std::find_if(tracks_.begin(), tracks_.end(),
                                    [&](const Track& other) { return same_place(other.pose, found.pose); });
    if (known == tracks_.end()) tracks_.push_back(begun(found, views));
  }
  give_up_bad_tracks();
  constexpr double kFirstM = 0.5;
  constexpr double kLongestM = 4.0;
  since_search_m_ = 0.0;
  next_search_m_ = std::clamp(1.5 * next_search_m_, kFirstM, kLongestM);
}

/// The places to millimetres, those left out that fit worse by far than the best.
std::vector<IcpResult> Locator::refined(const std::vector<CorrelativeMatch>& places,
                                        const std::vector<MapView>& views) const {
  constexpr double kLeastOverlap = 0.4;
  constexpr double kWorse = 0.25;
  IcpOptions icp;
  icp.max_iterations = 8;
  const std::vector<ScanPoint> some = together(views, 100);
  std::vector<IcpResult> rough;
  double best = kLeastOverlap + kWorse;
  for (const CorrelativeMatch& place : places) {
    rough.push_back(match_icp(some, map_.lines(), noise_, place.pose, Eigen::Matrix3d::Zero(), icp));
    best = std::max(best, rough.back().overlap);
  }
  const std::vector<ScanPoint> more = together(views, 400);
  std::vector<IcpResult> result;
  for (const IcpResult& match : rough) {
    const bool again = std::any_of(result.begin(), result.end(),
                                   [&](const IcpResult& other) { return same_place(other.pose, match.pose); });
    if (again || match.overlap < best - kWorse) continue;
    icp.first_gate_m = 0.2;
    icp.max_iterations = 15;
    result.push_back(match_icp(more, map_.lines(), noise_, match.pose, Eigen::Matrix3d::Zero(), icp));
  }
  return result;
}

/// A place that fits, weighed on all views.
Locator::Track Locator::begun(const IcpResult& found, const std::vector<MapView>& views) const {
  constexpr double kNothingKnown = 1e-2;
  Track track;
  track.pose = found.pose;
  track.covariance = (found.information + kNothingKnown * Eigen::Matrix3d::Identity()).inverse();
  for (std::size_t i = 0; i < views.size(); ++i) {
    const Pose2 moved = i == 0 ? Pose2{} : between(views[i - 1].pose, views[i].pose);
    const double news = i == 0 ? 1.0 : news_of(moved.translation().norm(), std::abs(wrap_angle(moved.heading_rad)));
    weigh(track, {map_.fit(evenly(views[i].points), track.pose * views[i].pose), news});
  }
  return track;
}

void Locator::give_up_bad_tracks() {
  constexpr double kHopeless = 0.45;  // most furniture was moved, and not only that
  std::stable_sort(tracks_.begin(), tracks_.end(),
                   [](const Track& a, const Track& b) { return a.fit.misfit() < b.fit.misfit(); });
  std::vector<Track> kept;
  for (Track& track : tracks_) {
    const bool again =
        std::any_of(kept.begin(), kept.end(), [&](const Track& better) { return same_place(better.pose, track.pose); });
    const bool worse = !kept.empty() && track.fit.misfit() > kept.front().fit.misfit() + options_.keep_margin;
    const bool hopeless = track.fit.contradicted() > kHopeless;
    if (!again && !worse && !hopeless && kept.size() < options_.most_places) kept.push_back(std::move(track));
  }
  tracks_ = std::move(kept);
}

bool Locator::fits(const Track& track) const {
  const double stricter = options_.first_stricter / std::sqrt(std::max(1.0, track.news));
  return track.fit.explained() >= options_.least_explained + 4.0 * stricter &&
         track.fit.contradicted() <= options_.most_contradicted - stricter;
}

/// The best place fits badly, and every other one by far worse: in another house several fit badly.
bool Locator::stands_out() const {
  const Track& best = tracks_.front();
  return best.news >= options_.distinct_news &&
         best.fit.explained() - 2.0 * best.fit.contradicted() >= options_.least_distinct &&
         (tracks_.size() == 1 || tracks_[1].fit.misfit() > best.fit.misfit() + options_.distinct_margin);
}

/// Whether the place is as exact as that of a place called found, or `times` less.
bool Locator::is_within(const Track& track, double times) const {
  const Eigen::Matrix3d own = own_covariance(track);
  return std::sqrt(own.topLeftCorner<2, 2>().trace()) <= times * options_.most_sd_m &&
         std::sqrt(own(2, 2)) <= times * options_.most_sd_rad;
}

bool Locator::is_sure() const {
  if (tracks_.empty() || (!fits(tracks_.front()) && !stands_out())) return false;
  const Track& best = tracks_.front();
  constexpr double kSettling = 4.0;  // following makes it better
  if (!is_within(best, kSettling)) return false;
  const double margin = options_.clear_margin * (1.0 + 1.0 / std::max(1.0, best.news));
  return tracks_.size() == 1 || tracks_[1].fit.misfit() > best.fit.misfit() + margin;
}

/// Of the pose at the time that the answer is of, which is as uncertain as the delay. Without what all answers share.
Eigen::Matrix3d Locator::own_covariance(const Track& track) const {
  return track.covariance - track.with_delay * speed_.transpose() - speed_ * track.with_delay.transpose() +
         delay_variance_s2_ * speed_ * speed_.transpose();
}

void Locator::tell() {
  location_ = {};
  if (sure_) {
    tracks_.resize(1);
    location_.answer = in_doubt_ ? Answer::ambiguous : Answer::found;
  } else if (!tracks_.empty() && fits(tracks_.front())) {
    location_.answer = Answer::ambiguous;
  } else {
    return;
  }
  for (const Track& track : tracks_) {
    PlaceInMap place{track.pose, own_covariance(track), track.fit};
    place.covariance.diagonal() += options_.common_sd.cwiseAbs2();
    place.pose.heading_rad = wrap_angle(place.pose.heading_rad);
    location_.places.push_back(place);
  }
}

std::vector<LocatedScan> locate_drive(const KnownMap& map, const Drive& drive, const LidarModel& lidar,
                                      const LocatorOptions& options, const std::function<void(double)>& progress) {
  const std::vector<OdometryStep> steps = odometry_steps(drive);
  if (steps.empty()) throw PoorData("the drive has fewer than two rows of odometry; record wheels and scans together");
  const std::vector<std::size_t> scans = usable_scans(drive, steps).scans;
  if (scans.empty()) {
    throw PoorData(
        "no scan of the drive has 20 returns and lies inside odometry's times, so that there is nothing to "
        "locate; wainscot check says what is wrong");
  }
  const OdometryPath path(steps, {});
  const OdometryNoise noise = odometry_noise(drive.robot);
  const ConstantMatrix constants = constant_prior(drive);
  const LidarConstants& stated = drive.robot.lidar;
  Locator locator(map, range_noise(stated), options);
  std::vector<LocatedScan> result;
  double before_s = drive.scans[scans.front()].time_s;
  for (const std::size_t i : scans) {
    const Scan& scan = drive.scans[i];
    const double delay_s = locator.delay_s();
    const double from_s = before_s + delay_s;
    const double to_s = std::max(from_s, scan.time_s + delay_s);
    const std::vector<ScanPoint> points = prepare_scan(scan, to_s, lidar, stated, path, Tangent2::Zero());
    Eigen::Matrix3d covariance = stretch_covariance(steps, noise, from_s, to_s);
    covariance.diagonal() += constants_variance(constants, path, from_s, to_s, !drive.gyro.empty());
    const Pose2 moved = between(path.pose_at(from_s), path.pose_at(to_s));
    const Location& here = locator.add(points, moved, covariance, speed_at(path, to_s));
    const double time_s = scan.time_s + locator.delay_s();
    result.push_back({i, result.empty() ? time_s : std::max(time_s, result.back().time_s), here});
    before_s = scan.time_s;
    if (progress && result.size() % 64 == 0) {
      progress(static_cast<double>(result.size()) / static_cast<double>(scans.size()));
    }
  }
  return result;
}

}  // namespace wainscot
