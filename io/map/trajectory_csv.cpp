#include "io/map/trajectory_csv.hpp"

#include <iterator>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

std::string pose_rows(const std::vector<TrajectoryRow>& trajectory, Pose2 TrajectoryRow::*pose_of_row) {
  std::string text = "time_s,x_m,y_m,heading_rad,drive\n";
  text.reserve(text.size() + 64 * trajectory.size());
  for (const TrajectoryRow& row : trajectory) {
    const Pose2& pose = row.*pose_of_row;
    fmt::format_to(std::back_inserter(text), "{},{},{},{},{}\n", fixed_text(row.time_s, 6), fixed_text(pose.x_m, 6),
                   fixed_text(pose.y_m, 6), fixed_text(wrap_angle(pose.heading_rad), 6), row.drive);
  }
  return text;
}

}  // namespace

std::string trajectory_csv(const std::vector<TrajectoryRow>& trajectory) {
  return pose_rows(trajectory, &TrajectoryRow::pose);
}

std::string odometry_csv(const std::vector<TrajectoryRow>& trajectory) {
  return pose_rows(trajectory, &TrajectoryRow::odometry);
}

}  // namespace wainscot
