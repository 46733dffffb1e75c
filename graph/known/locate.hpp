#pragma once

// Where in a known house a robot is: from nothing, then scan by scan.
//
//   const wainscot::SavedMap saved = wainscot::read_map("house");
//   const wainscot::KnownMap house = wainscot::known_map(saved);          // once
//   wainscot::Locator locator(house, {0.015, 0.0});                       // the lidar's noise, m
//   for (each scan) {
//     // `points`: of prepare_scan(); `moved`: by odometry since the scan before, `covariance`: its uncertainty
//     const wainscot::Location& here = locator.add(points, moved, covariance);
//     if (here.answer == wainscot::Answer::found) drive_on_from(here.places.front().pose);
//   }
//
// tests/graph/known/locate_example_test.cpp has this whole and running.
//
// From nothing: what was seen over the last metres is searched for over the whole floor by branch and bound
// (scanmatch/correlative.hpp). All places that fit nearly as well as the best are kept and followed side by side, each
// matched to the walls scan by scan; the drive goes on until one of them explains clearly more of what is seen than
// every other (multi-hypothesis tracking: P. Jensfelt, S. Kristensen, IEEE Transactions on Robotics and Automation
// 17(5), 2001), and than a place that the map lacks would do by chance (place_evidence.hpp). Rooms that look alike stay
// ambiguous as long as nothing tells them apart, and so does an answer whose heading is not sure to 0.3 degrees.
//
// While a place is followed, the delay of the lidar's clock against odometry's is estimated with it, by a Kalman filter
// whose state has both (M. Li, A. I. Mourikis, International Journal of Robotics Research 33(7), 2014, do so for
// cameras): clocks drift, and another day's programs start otherwise.

#include <cstddef>
#include <functional>
#include <vector>

#include <Eigen/Core>

#include "core/drive.hpp"
#include "core/pose2.hpp"
#include "graph/known/drive_steps.hpp"
#include "graph/known/known_map.hpp"
#include "graph/known/locator_options.hpp"
#include "graph/known/place_track.hpp"
#include "graph/known/surroundings.hpp"
#include "scanmatch/icp.hpp"
#include "scanmatch/motion_correction.hpp"
#include "scanmatch/normals.hpp"

namespace wainscot {

enum class Answer {
  found,
  ambiguous,  ///< several places fit, or one of which too little was seen to be sure
  lost,       ///< nothing in the map fits
};
const char* answer_text(Answer answer);

struct PlaceInMap {
  Pose2 pose;                                            ///< of the robot, map frame
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();  ///< tangent space of `pose`, m and rad
  MapFit fit;                                            ///< of what was seen lately

  /// Standard deviations along the map's axes (m), and of the heading (rad).
  Eigen::Vector3d sd_in_map() const;
};

struct Location {
  Answer answer = Answer::lost;
  std::vector<PlaceInMap> places;  ///< the best first; one where found, none where lost
};

class Locator {
 public:
  /// `map` must outlive this. `noise`: of the robot's lidar.
  Locator(const KnownMap& map, const RangeNoise& noise, const LocatorOptions& options = {});

  /// The next scan, in the robot's frame, corrected for motion and with normals (prepare_scan()). `moved`: pose of the
  /// robot in the frame that it had at the scan before; `covariance`: its, tangent space of the new pose, not singular.
  /// Both are not used at the first scan. `speed`: of the robot at the scan, m/s and rad/s in its frame; it shows
  /// delay_s(), and is not needed where `delay_sd_s` is 0.
  const Location& add(const std::vector<ScanPoint>& points, const Pose2& moved, const Eigen::Matrix3d& covariance,
                      const Tangent2& speed = Tangent2::Zero());

  /// Forgets where the robot is.
  void restart();

  /// Follows the robot from where it was at the scan before the next one, by another's word. `speed`: it had there.
  void begin_at(const PlaceInMap& place, const Tangent2& speed);

  const Location& location() const { return location_; }

  /// To be added to the times of the scans, and of the next `moved`: what the starts and ends of turns have shown of
  /// the lidar's clock. The answers are of these times.
  double delay_s() const { return delay_.s; }

 private:
  void lose();
  void follow(const std::vector<ScanPoint>& points, double news, bool rolls);
  void look(const std::vector<ScanPoint>& points, const Pose2& moved, const Eigen::Matrix3d& covariance, double news);
  void learn(double chi_squared);
  double news_of(double way_m, double turn_rad) const;
  bool is_here();
  bool is_followed(const Pose2& pose) const;
  void search();
  PlaceTrack begun(const IcpResult& found, const std::vector<MapView>& views) const;
  double contradiction_of_another_place() const;
  void tell();

  const KnownMap& map_;
  RangeNoise noise_;
  LocatorOptions options_;
  std::vector<PlaceTrack> tracks_;  ///< the best first
  bool sure_ = false;               ///< there is one track, and it is believed
  int bad_scans_ = 0;               ///< in a row that do not agree with the map or with odometry
  int good_scans_ = 0;              ///< in a row that do
  bool in_doubt_ = false;           ///< though sure_: not at this moment
  Surroundings surroundings_;
  double surprise_ = 1.0;  ///< running mean of chi squared of the scans against odometry, by degree of freedom
  int settled_scans_ = 0;  ///< in a row that fit the surroundings
  double since_view_m_ = 0.0, since_view_rad_ = 0.0;
  double since_search_m_ = 0.0, next_search_m_ = 0.0;
  double doubted_way_m_ = 0.0;  ///< still to be driven until a place that odometry did not lead to is told
  bool first_ = true;
  Tangent2 speed_ = Tangent2::Zero();
  LidarDelay delay_;
  Location location_;
};

/// Where the robot was at each usable scan of a recorded drive.
struct LocatedScan {
  std::size_t scan = 0;  ///< index into Drive::scans
  double time_s = 0.0;   ///< of the first beam, wheels' clock, with the delay that was found by then
  Location location;
};

/// The answer for one scan of `steps` after the motion since `before_s`, the time of the scan before, or its own.
LocatedScan locate_scan(Locator& locator, const DriveSteps& steps, std::size_t scan, double before_s);

/// `lidar`: lidar_model(drive.robot.lidar), or refined. Each answer rests on what was recorded until then (but for a
/// gyro's bias, which is that of the whole drive). Throws `PoorData` where there is no odometry or no usable scan.
std::vector<LocatedScan> locate_drive(const KnownMap& map, const Drive& drive, const LidarModel& lidar,
                                      const LocatorOptions& options = {},
                                      const std::function<void(double)>& progress = {});

/// The same by a locator that has seen nothing yet; it knows the delay of the lidar's clock afterwards.
std::vector<LocatedScan> locate_steps(Locator& locator, const DriveSteps& steps,
                                      const std::function<void(double)>& progress = {});

}  // namespace wainscot
