#include "apps/live_location.hpp"

#include <memory>
#include <numbers>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "graph/live/live_locator.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

/// A LiveLocator, and another one where the recording begins anew.
class Following {
 public:
  Following(const KnownMap& map, const KnownRobot& robot) : map_(map), robot_(robot) { begin(); }

  void take(NewReadings&& readings) {
    if (readings.begun_anew) begin();
    if (!readings.wheels.empty() && !robot_.drive.robot.drive) {
      throw PoorData(
          "robot.yaml leaves out the wheels' constants, which a drive shows only when it has been driven: take the "
          "robot.yaml that stands in the map's folder, or run wainscot locate on the whole drive");
    }
    hand_on(std::move(readings), *live_);
  }

  std::vector<LocatedScan> answers(bool at_end) { return at_end ? live_->finish() : live_->take(0.0); }

 private:
  void begin() { live_ = std::make_unique<LiveLocator>(map_, robot_.drive.robot, robot_.lidar, robot_.options); }

  const KnownMap& map_;
  const KnownRobot& robot_;
  std::unique_ptr<LiveLocator> live_;
};

}  // namespace

KnownRobot growing_robot(const std::filesystem::path& drive, const FollowingOptions& options, const SavedMap& saved) {
  Drive nothing_yet;
  nothing_yet.robot = robot_of_growing_drive(drive, options);
  return with_found_constants(std::move(nothing_yet), saved);
}

void locate_live(const KnownMap& map, const KnownRobot& robot, const std::filesystem::path& drive,
                 const FollowingOptions& options, const std::function<void(const LocatedScan&)>& told,
                 const std::function<void(const std::string& warning)>& warned) {
  Following following(map, robot);
  GrowingLog log = is_stream(drive) ? GrowingLog(options, robot.drive.robot, {}) : GrowingLog(drive, robot.drive.robot);
  follow_drive(log, options, [&](NewReadings&& readings, bool at_end) {
    for (const std::string& warning : readings.warnings) warned(warning);
    following.take(std::move(readings));
    for (const LocatedScan& here : following.answers(at_end)) told(here);
  });
  for (const std::string& warning : log.warnings()) warned(warning);
}

std::string state_text(const LocatedScan& here) {
  if (here.location.places.empty()) return fmt::format("{:.1f} s: lost, nothing in the map fits", here.time_s);
  const PlaceInMap& place = here.location.places.front();
  const Eigen::Vector3d sd = place.sd_in_map();
  return fmt::format("{:.1f} s: x {:.2f} m, y {:.2f} m, heading {:.0f} degrees, {}", here.time_s, place.pose.x_m,
                     place.pose.y_m, wrap_angle(place.pose.heading_rad) * 180.0 / std::numbers::pi,
                     here.location.answer == Answer::found ? fmt::format("sure to {}", length_text(sd.head<2>().norm()))
                                                           : "not sure yet");
}

}  // namespace wainscot
