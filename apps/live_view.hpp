#pragma once

// What the page of `follow` shows: the newest map, laid under the robot as it is tracked beside the walls around it.

#include <chrono>
#include <cstddef>
#include <deque>
#include <filesystem>
#include <functional>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "apps/growing_map.hpp"
#include "core/drive.hpp"
#include "graph/live/live_tracker.hpp"
#include "graph/live/moment_warnings.hpp"
#include "io/log/growing_drive.hpp"
#include "io/page/live_page.hpp"

namespace wainscot {

class LiveView {
 public:
  /// Tells a page: kind of event, JSON (io/page/live_page).
  using Publish = std::function<void(const std::string& kind, std::string json)>;

  /// `drive` is read from its beginning again where a map has found the wheels' constants that robot.yaml leaves out;
  /// it and `map` must outlive this. `robot`: of its robot.yaml.
  LiveView(std::filesystem::path folder, GrowingDrive& drive, Robot robot, GrowingMap& map, Publish publish);

  void take(NewReadings&& readings);

  /// Shows the map of the round that has ended, if one has, and asks for the next.
  void look();

  /// Nothing more comes; `state`: what the program does now, a sentence.
  void end(const std::string& state);

  /// How things stand, in a line for a terminal.
  std::string state() const;

  /// Where the robot was found last, in the frame of the last map; nullopt before.
  std::optional<TimedPose> here() const;

 private:
  void begin_tracking();
  void show(const TrackedScan& scan);
  void show_map(const MappedSoFar& found);
  std::string sureness(double time_s) const;
  void lay_track_on(const TimedPose& node);
  double now_s() const;
  void note(double time_s, const std::string& what);
  void note_loops(const Map& map);
  std::string state_sentence() const;
  void say();

  std::filesystem::path folder_;
  GrowingDrive& drive_;
  Robot robot_;
  GrowingMap& map_;
  Publish publish_;
  std::optional<LiveTracker> tracker_;  ///< none: of the robot's motion nothing came, or its wheels are not known yet
  bool has_motion_ = false;             ///< wheels or poses came
  MomentWarnings moment_;
  std::deque<TimedPose> track_;  ///< by the tracker, since the last map's end
  Pose2 to_map_;                 ///< from the tracker's frame
  double way_m_ = 0.0;           ///< driven,
  double asked_way_m_ = 0.0;     ///< when the last map was asked for
  std::size_t scans_ = 0, asked_scans_ = 0;
  std::optional<TimedPose> mapped_;  ///< the last map's last node,
  double mapped_sd_m_ = 0.0;         ///< and how sure its place is
  std::string why_not_;              ///< there was no map the last time that there was none
  double since_loop_m_ = 0.0;
  std::set<std::pair<std::size_t, std::size_t>> loops_;  ///< closed so far, by their nodes' scans
  std::optional<double> told_loop_s_;                    ///< when the last that was told was closed
  std::deque<std::string> log_;
  std::chrono::steady_clock::time_point came_ = std::chrono::steady_clock::now();  ///< when rows came last
  LiveMomentNews said_;                                                            ///< last, without the log
  bool has_new_log_ = false;
};

}  // namespace wainscot
