#include "apps/live_view.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include <fmt/format.h>

#include "apps/growing_log.hpp"
#include "io/number_text.hpp"
#include "io/page/live_page.hpp"
#include "io/verdict_text.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kLogLines = 200;        // more nobody reads again
constexpr std::size_t kSeenPoints = 200;      // of a scan: as many as a picture of a room shows apart
constexpr double kAnotherMapM = 0.3;          // a node's way: before, the map is the same
constexpr std::size_t kAnotherMapScans = 50;  // where nothing tells the way: some seconds
// Loops that are closed so soon after one another are one return to where the robot has been.
constexpr double kSameReturnS = 10.0;
// Way without a loop that is worth a word, chosen by hand: beside walls alone the demonstration's way drifts by 2 cm in
// 10 m (median; tests/bench/FIGURES.md).
constexpr double kLongWithoutLoopM = 40.0;

}  // namespace

LiveView::LiveView(std::filesystem::path folder, GrowingDrive& drive, Robot robot, GrowingMap& map, Publish publish)
    : folder_(std::move(folder)), drive_(drive), robot_(std::move(robot)), map_(map), publish_(std::move(publish)) {
  say();
}

void LiveView::begin_tracking() {
  tracker_.emplace(robot_, lidar_model(robot_.lidar));
  track_.clear();
  told_loop_s_.reset();  // by another clock, perhaps
}

void LiveView::take(NewReadings&& readings) {
  for (const std::string& warning : readings.warnings) note(now_s(), warning);
  has_motion_ = has_motion_ || !readings.wheels.empty() || !readings.odometry.empty();
  const bool can_track = !readings.odometry.empty() || (!readings.wheels.empty() && robot_.drive);
  if (tracker_ ? readings.begun_anew : can_track) begin_tracking();
  if (!readings.empty()) came_ = std::chrono::steady_clock::now();
  scans_ += readings.scans.size();
  if (!tracker_) return;
  hand_on(std::move(readings), tracker_->readings());
  for (const TrackedScan& scan : tracker_->take()) show(scan);
}

void LiveView::show(const TrackedScan& scan) {
  if (!track_.empty()) way_m_ += (scan.pose.translation() - track_.back().pose.translation()).norm();
  track_.push_back({scan.time_s, scan.pose});
  moment_.add(scan);
  if (scan.by == TrackedBy::walls_only) note(scan.time_s, "the robot is elsewhere than its wheels say");
  if (scan.by == TrackedBy::new_surroundings) note(scan.time_s, "nothing seen before fits what the lidar sees");
  LiveHereNews news;
  news.time_s = scan.time_s;
  news.pose = to_map_ * scan.pose;
  news.speed_m_s = scan.speed.head<2>().norm();
  news.turn_rad_s = scan.speed.z();
  news.sure = sureness(scan.time_s);
  const std::size_t every = scan.points.size() / kSeenPoints + 1;
  for (std::size_t i = 0; i < scan.points.size(); i += every) {
    const ScanPoint& point = scan.points[i];
    news.seen_m.push_back(news.pose * Eigen::Vector2d(point.x_m, point.y_m));
  }
  publish_("here", live_here_json(news));
  say();
}

std::string LiveView::sureness(double time_s) const {
  if (!mapped_) return "not mapped yet";
  const std::string ago = duration_text(std::max(0.0, time_s - mapped_->time_s));
  if (mapped_sd_m_ == 0.0) return fmt::format("not known, when mapped {} ago", ago);
  return fmt::format("to {}, when mapped {} ago", length_text(mapped_sd_m_), ago);
}

void LiveView::look() {
  if (const std::optional<MappedSoFar> found = map_.take()) show_map(*found);
  say();
  const bool is_new = way_m_ - asked_way_m_ > kAnotherMapM || scans_ - asked_scans_ > kAnotherMapScans;
  if (!is_new) return;
  asked_way_m_ = way_m_;
  asked_scans_ = scans_;
  map_.ask();
}

void LiveView::show_map(const MappedSoFar& found) {
  if (!found.map) {
    if (std::exchange(why_not_, found.why_not) != found.why_not) note(now_s(), "no map yet: " + found.why_not);
    return;
  }
  if (!tracker_ && found.robot.drive && !robot_.drive) {
    note(found.last_node.time_s,
         "the drive has shown the wheels' constants; the robot is tracked from the beginning on");
    robot_ = found.robot;
    begin_tracking();
    drive_ = GrowingDrive(folder_, robot_);
  }
  lay_track_on(found.last_node);
  note_loops(*found.map);
  mapped_ = found.last_node;
  mapped_sd_m_ = found.map->place_sds_m.empty() ? 0.0 : found.map->place_sds_m.back();
  LiveMapNews news;
  news.map = found.map.get();
  news.picture = &found.picture;
  news.verdict = verdict_sentence(found.verdict);
  news.since_loop_m = since_loop_m_;
  for (const TimedPose& row : track_) news.tail.push_back(to_map_ * row.pose);
  publish_("map", live_map_json(news));
  say();
}

/// From the map's last node on, the tracker's word continues the map.
void LiveView::lay_track_on(const TimedPose& node) {
  const auto after =
      std::find_if(track_.begin(), track_.end(), [&node](const TimedPose& row) { return row.time_s > node.time_s; });
  if (after == track_.begin()) return;
  track_.erase(track_.begin(), after - 1);
  to_map_ = node.pose * inverse(track_.front().pose);
}

void LiveView::note_loops(const Map& map) {
  std::size_t last = 0;
  std::set<std::pair<std::size_t, std::size_t>> loops;
  for (const LoopCandidate& loop : map.candidates) {
    if (loop.verdict != Verdict::accepted) continue;
    const Node& from = map.graph.nodes[loop.from];
    const Node& to = map.graph.nodes[loop.to];
    last = std::max({last, loop.from, loop.to});
    loops.emplace(from.scan, to.scan);
    if (loops_.count({from.scan, to.scan}) > 0 || (told_loop_s_ && to.time_s < *told_loop_s_ + kSameReturnS)) continue;
    told_loop_s_ = to.time_s;
    note(to.time_s, fmt::format("a loop is closed: the robot is where it was at {:.0f} s", from.time_s));
  }
  loops_ = std::move(loops);
  since_loop_m_ = 0.0;
  for (std::size_t i = last + 1; i < map.graph.nodes.size(); ++i) {
    since_loop_m_ += (map.graph.nodes[i].pose.translation() - map.graph.nodes[i - 1].pose.translation()).norm();
  }
}

double LiveView::now_s() const { return track_.empty() ? 0.0 : track_.back().time_s; }

void LiveView::note(double time_s, const std::string& what) {
  const std::string line = fmt::format("{:.0f} s: {}", time_s, what);
  if (!log_.empty() && log_.back() == line) return;
  log_.push_back(line);
  has_new_log_ = true;
  if (log_.size() > kLogLines) log_.pop_front();
  say();
}

std::string LiveView::state() const {
  if (track_.empty()) return scans_ == 0 ? "Waiting for the recording to begin." : "Following the recording.";
  return fmt::format("Following the recording: {:.0f} s, {} driven, {} closed.", now_s(), length_text(way_m_),
                     count_text(loops_.size(), "loop"));
}

std::optional<TimedPose> LiveView::here() const {
  if (track_.empty()) return std::nullopt;
  return TimedPose{track_.back().time_s, to_map_ * track_.back().pose};
}

void LiveView::end(const std::string& state) {
  publish_("moment", live_moment_json({state, {}, {log_.begin(), log_.end()}}));
}

/// For the page, which has the figures elsewhere.
std::string LiveView::state_sentence() const {
  constexpr std::int64_t kSilence_s = 10;  // no logger writes so seldom; told in steps of as many
  const auto silent =
      std::chrono::duration_cast<std::chrono::seconds>(std::chrono::steady_clock::now() - came_).count();
  if (scans_ == 0) return "Waiting for the recording to begin.";
  if (silent >= kSilence_s) {
    return fmt::format("Nothing has been recorded for {} s; waiting for more.", silent - silent % kSilence_s);
  }
  if (tracker_) return "Following the recording.";
  if (!has_motion_) {
    return "Following the recording; without wheels or odometry the robot is where the last map has it.";
  }
  return "Following the recording; the robot is tracked once the drive has shown its wheels' constants.";
}

/// Tells the page what has changed of all that is said in words.
void LiveView::say() {
  LiveMomentNews news;
  news.state = state_sentence();
  news.warnings = moment_.now();
  if (since_loop_m_ > kLongWithoutLoopM) {
    news.warnings.push_back(
        fmt::format("No loop for {}: drive back to a place that the robot has seen.", length_text(since_loop_m_)));
  }
  // Asked with each scan, and far oftener than anything changes.
  if (news.state == said_.state && news.warnings == said_.warnings && !has_new_log_) return;
  has_new_log_ = false;
  said_ = news;
  news.log.assign(log_.begin(), log_.end());
  publish_("moment", live_moment_json(news));
}

}  // namespace wainscot
