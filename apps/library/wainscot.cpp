// The C interface (apps/library/wainscot.h says what it does): handles, statuses in place of exceptions, and the last
// error of each thread.

#include "apps/library/wainscot.h"

#include <cmath>
#include <cstddef>
#include <deque>
#include <exception>
#include <filesystem>
#include <iterator>
#include <new>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/mapping/drive_map.hpp"
#include "core/errors.hpp"
#include "core/grid_difference.hpp"
#include "core/occupancy_grid.hpp"
#include "graph/compare/standing_pieces.hpp"
#include "graph/live/live_locator.hpp"
#include "graph/measure/tape.hpp"
#include "io/log/lidar_reading.hpp"
#include "io/map/known_map.hpp"
#include "io/map/map_reader.hpp"
#include "io/robot/robot_yaml.hpp"

using wainscot::InputError;

struct wainscot_map {
  explicit wainscot_map(wainscot::SavedMap&& read)
      : saved(std::move(read)),
        known(wainscot::known_map(saved)),
        standing(wainscot::standing_pieces(saved.map.wall_pieces, saved.map.grid)) {}

  wainscot::SavedMap saved;
  wainscot::KnownMap known;
  std::vector<wainscot::WallPiece> standing;
};

struct wainscot_locator {
  wainscot_locator(const wainscot_map& map, const wainscot::KnownRobot& robot)
      : has_wheels(robot.drive.robot.drive.has_value() && !robot.drive.robot.left_out.found),
        reading(robot.drive.robot.lidar),
        live(map.known, robot.drive.robot, robot.lidar, robot.options) {}

  bool has_wheels;
  wainscot::LidarReading reading;
  wainscot::LiveLocator live;
  std::deque<wainscot::LocatedScan> answers;
};

namespace {

/// What ends a job that is not wanted any more.
struct AskedToStop {};

std::string& last_error() {
  thread_local std::string error;
  return error;
}

/// Runs `job`; what it throws becomes a status and the last error.
template <typename Job>
int guarded(const Job& job) noexcept {
  try {
    last_error().clear();
    return job();
  } catch (const InputError& wrong) {
    last_error() = wrong.what();
    return WAINSCOT_WRONG_INPUT;
  } catch (const wainscot::PoorData& poor) {
    last_error() = poor.what();
    return WAINSCOT_POOR_DATA;
  } catch (const AskedToStop&) {
    last_error() = "stopped as asked; nothing was written";
    return WAINSCOT_STOPPED;
  } catch (const std::bad_alloc&) {
    last_error() = "out of memory";  // short enough to need none
    return WAINSCOT_FAILED;
  } catch (const std::exception& error) {
    last_error() = error.what();
    return WAINSCOT_FAILED;
  } catch (...) {
    last_error() = "unknown";
    return WAINSCOT_FAILED;
  }
}

template <typename T>
T& given(T* pointer, const char* what) {
  if (pointer == nullptr) throw InputError(fmt::format("{} is NULL; give one", what));
  return *pointer;
}

void require_point(double x_m, double y_m) {
  if (!std::isfinite(x_m) || !std::isfinite(y_m)) throw InputError("the point is no pair of numbers; give metres");
}

/// Between free and occupied it is as undecided as where nobody looked.
wainscot_floor floor_at(const wainscot::OccupancyGrid& grid, double x_m, double y_m) {
  constexpr wainscot::GridDifferenceOptions kLimits;
  const wainscot::GridFrame& frame = grid.frame;
  const double column = std::floor(x_m / frame.cell_size_m) - frame.first_column;
  const double row = std::floor(y_m / frame.cell_size_m) - frame.first_row;
  if (!(column >= 0.0 && column < frame.columns && row >= 0.0 && row < frame.rows)) return WAINSCOT_UNKNOWN;
  const std::size_t cell = static_cast<std::size_t>(row) * static_cast<std::size_t>(frame.columns);
  const double occupied = static_cast<double>(grid.probability.at(cell + static_cast<std::size_t>(column)));
  if (occupied >= kLimits.occupied) return WAINSCOT_OCCUPIED;
  return occupied <= kLimits.free ? WAINSCOT_FREE : WAINSCOT_UNKNOWN;
}

/// As the reader of scans.csv takes a row.
wainscot::Scan scan_of(wainscot::LidarReading& reading, double time_s, std::size_t beams, const double* angles_deg,
                       const double* ranges, const double* offsets_s) {
  wainscot::Scan scan;
  scan.time_s = reading.wheel_time_s(time_s);
  double before_s = 0.0;
  for (std::size_t i = 0; i < beams; ++i) {
    const double offset_s = offsets_s == nullptr ? 0.0 : offsets_s[i];
    if (!std::isfinite(angles_deg[i])) throw InputError(fmt::format("beam {}: its angle is no number", i));
    if (!(offset_s >= before_s) || !std::isfinite(offset_s)) {
      throw InputError(
          fmt::format("beam {}: its time lies before that of the beam before; give beams in the order of "
                      "firing, times in seconds after the first",
                      i));
    }
    before_s = offset_s;
    const double angle_deg = reading.angle_deg(angles_deg[i]);
    if (!std::isfinite(ranges[i]) || ranges[i] <= 0.0 || reading.is_blind(angle_deg)) continue;
    if (const std::optional<float> range_m = reading.range_m(ranges[i])) {
      scan.returns.push_back(
          {wainscot::return_angle_rad(angle_deg), *range_m, static_cast<float>(offset_s * reading.clock_rate())});
    }
  }
  return scan;
}

wainscot_location told(const wainscot::LocatedScan& located) {
  wainscot_location here{};
  here.time_s = located.time_s;
  here.scan = located.scan;
  here.answer = located.location.answer == wainscot::Answer::found       ? WAINSCOT_FOUND
                : located.location.answer == wainscot::Answer::ambiguous ? WAINSCOT_AMBIGUOUS
                                                                         : WAINSCOT_LOST;
  if (located.location.places.empty()) return here;
  const wainscot::PlaceInMap& place = located.location.places.front();
  const Eigen::Vector3d sd = place.sd_in_map();
  here.x_m = place.pose.x_m;
  here.y_m = place.pose.y_m;
  here.heading_rad = wainscot::wrap_angle(place.pose.heading_rad);
  here.sd_x_m = sd[0];
  here.sd_y_m = sd[1];
  here.sd_heading_rad = sd[2];
  return here;
}

}  // namespace

const char* wainscot_version() { return WAINSCOT_VERSION; }

const char* wainscot_last_error() { return last_error().c_str(); }

int wainscot_build_map(const char* drive, const char* map, wainscot_progress progress, void* user) {
  return guarded([&] {
    const std::filesystem::path from = &given(drive, "the drive's folder");
    const std::filesystem::path to = &given(map, "the map's folder");
    wainscot::DriveMapOptions options;
    if (progress != nullptr) {
      options.progress = [&](const std::string& stage, double fraction) {
        if (progress(user, stage.c_str(), fraction) != 0) throw AskedToStop();
      };
    }
    const wainscot::DriveMap made = wainscot::map_drive(from, to, WAINSCOT_VERSION, options);
    wainscot::require_usable(made.map, made.drive, to);
    return WAINSCOT_OK;
  });
}

wainscot_map* wainscot_open_map(const char* folder) {
  wainscot_map* map = nullptr;
  guarded([&] {
    map = new wainscot_map(wainscot::read_map(&given(folder, "the map's folder")));
    return WAINSCOT_OK;
  });
  return map;
}

void wainscot_close_map(wainscot_map* map) { delete map; }

int wainscot_wall_distance(const wainscot_map* map, double x_m, double y_m, double* distance_m) {
  return guarded([&] {
    const std::vector<wainscot::WallPiece>& pieces = given(map, "the map").standing;
    require_point(x_m, y_m);
    if (pieces.empty()) throw wainscot::PoorData("the map has no walls");
    given(distance_m, "where the distance goes") = wainscot::distance_to_wall(pieces, {x_m, y_m});
    return WAINSCOT_OK;
  });
}

int wainscot_floor_at(const wainscot_map* map, double x_m, double y_m, int32_t* floor) {
  return guarded([&] {
    const wainscot::OccupancyGrid& grid = given(map, "the map").saved.map.grid;
    require_point(x_m, y_m);
    given(floor, "where the answer goes") = floor_at(grid, x_m, y_m);
    return WAINSCOT_OK;
  });
}

wainscot_locator* wainscot_new_locator(const wainscot_map* map, const char* robot_yaml) {
  wainscot_locator* locator = nullptr;
  guarded([&] {
    const wainscot::SavedMap& saved = given(map, "the map").saved;
    wainscot::Drive drive;
    drive.robot = robot_yaml == nullptr ? saved.drives.front().robot
                                        : wainscot::read_robot_yaml(robot_yaml, wainscot::WheelConstants::optional);
    locator = new wainscot_locator(*map, wainscot::with_found_constants(std::move(drive), saved));
    return WAINSCOT_OK;
  });
  return locator;
}

void wainscot_delete_locator(wainscot_locator* locator) { delete locator; }

int wainscot_add_wheels(wainscot_locator* locator, double time_s, int64_t left_ticks, int64_t right_ticks) {
  return guarded([&] {
    if (!given(locator, "the locator").has_wheels) {
      throw InputError(
          "the robot's wheels are not known: write left_m_per_tick, right_m_per_tick and track_width_m into robot.yaml "
          "and give that file, or give poses");
    }
    locator->live.add_counts({time_s, left_ticks, right_ticks});
    return WAINSCOT_OK;
  });
}

int wainscot_add_pose(wainscot_locator* locator, double time_s, double x_m, double y_m, double heading_rad) {
  return guarded([&] {
    if (!std::isfinite(x_m) || !std::isfinite(y_m) || !std::isfinite(heading_rad)) {
      throw InputError("odometry: a pose is no number; give metres and radians");
    }
    given(locator, "the locator").live.add_pose({time_s, {x_m, y_m, heading_rad}});
    return WAINSCOT_OK;
  });
}

int wainscot_add_yaw_rate(wainscot_locator* locator, double time_s, double yaw_rate_rad_s) {
  return guarded([&] {
    if (!std::isfinite(yaw_rate_rad_s)) throw InputError("gyro: the rate is no number; give radians a second");
    given(locator, "the locator").live.add_yaw_rate({time_s, yaw_rate_rad_s});
    return WAINSCOT_OK;
  });
}

int wainscot_add_break(wainscot_locator* locator) {
  return guarded([&] {
    given(locator, "the locator").live.add_break();
    return WAINSCOT_OK;
  });
}

int wainscot_add_scan(wainscot_locator* locator, double time_s, size_t beams, const double* angles_deg,
                      const double* ranges, const double* offsets_s) {
  return guarded([&] {
    if (!std::isfinite(time_s)) throw InputError("scan: the time is no number; give seconds");
    wainscot_locator& to = given(locator, "the locator");
    if (beams > 0) {
      given(angles_deg, "the list of angles");
      given(ranges, "the list of ranges");
    }
    to.live.add_scan(scan_of(to.reading, time_s, beams, angles_deg, ranges, offsets_s));
    return WAINSCOT_OK;
  });
}

int wainscot_next_location(wainscot_locator* locator, wainscot_location* location) {
  return guarded([&]() -> int {
    wainscot_locator& from = given(locator, "the locator");
    wainscot_location& to = given(location, "where the location goes");
    if (from.answers.empty()) {
      std::vector<wainscot::LocatedScan> more = from.live.take();
      from.answers.assign(std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
    }
    if (from.answers.empty()) return WAINSCOT_NOTHING_YET;
    to = told(from.answers.front());
    from.answers.pop_front();
    return WAINSCOT_OK;
  });
}

int wainscot_restart(wainscot_locator* locator) {
  return guarded([&] {
    given(locator, "the locator").live.restart();
    return WAINSCOT_OK;
  });
}
