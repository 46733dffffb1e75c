#pragma once

// A map from a recorded drive, where a robot is in it, and what is there, for programs in C++17 and later.
//
//   wainscot::build_map("my-drive", "my-map");                      // once, seconds to minutes
//   const wainscot::Map house("my-map");
//   wainscot::Locator robot(house);
//   for (;;) {
//     robot.add_wheels(now_s, left_ticks, right_ticks);            // each time that they were read
//     if (the_lidar_has_turned) robot.add_scan(first_beam_s, angles_deg, ranges, offsets_s);
//     while (const std::optional<wainscot::Location> here = robot.next()) use(*here);
//   }
//
// All of it is inline, over the C functions of wainscot.h, which alone are the library's: a program goes on running
// with later libraries of the same major version, whichever compiler made them. Lengths are metres, angles radians
// counter-clockwise (but angles_deg), times seconds on the wheels' clock; places are in the map's frame.
//
// What cannot be done throws Error, whose text is one sentence with what to do. A Map may be used by several threads at
// once, a Locator by one at a time; one that was moved from refuses everything.
//
// Never let an answer be the only thing that keeps a robot from falling or from hitting someone: a 2D lidar sees one
// plane only.

#include <wainscot.h>

#include <cstddef>
#include <cstdint>
#include <exception>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

namespace wainscot {

// The linker sees names with this version in them: they are none of those inside the static library, and a later header
// can have others beside them.
inline namespace v1 {

/// The library refused; what() says why and what to do.
class Error : public std::runtime_error {
 public:
  using std::runtime_error::runtime_error;
};

/// The data cannot give what was asked.
class PoorData : public Error {
 public:
  using Error::Error;
};

/// The progress function asked to stop.
class Stopped : public Error {
 public:
  using Error::Error;
};

enum class Answer {
  found = WAINSCOT_FOUND,
  ambiguous = WAINSCOT_AMBIGUOUS,  ///< several places fit, or too little was seen to be sure; the likeliest is told
  lost = WAINSCOT_LOST,            ///< nothing in the map fits; all numbers but time_s and scan are 0
};

enum class Floor {
  unknown = WAINSCOT_UNKNOWN,  ///< never seen, outside of the map, or seen now so, now so (a door)
  free = WAINSCOT_FREE,
  occupied = WAINSCOT_OCCUPIED,  ///< a wall, furniture, a person who stood there
};

/// Where the robot was at a scan.
struct Location {
  double time_s = 0.0;     ///< of the scan's first beam, on the wheels' clock
  std::uint64_t scan = 0;  ///< which of the scans that were added, from 0 on
  Answer answer = Answer::lost;
  double x_m = 0.0;
  double y_m = 0.0;
  double heading_rad = 0.0;  ///< in (-pi, pi]
  double sd_x_m = 0.0;       ///< standard deviations along the map's axes
  double sd_y_m = 0.0;
  double sd_heading_rad = 0.0;
};

/// Gets what is going on and the fraction done of all, 0..1; false: stop. What it throws comes out of build_map().
using Progress = std::function<bool(const std::string& stage, double fraction)>;

namespace detail {

/// Throws what a status stands for, with this thread's last error.
[[noreturn]] inline void fail(int status) {
  const std::string sentence = wainscot_last_error();
  if (status == WAINSCOT_POOR_DATA) throw PoorData(sentence);
  if (status == WAINSCOT_STOPPED) throw Stopped(sentence);
  throw Error(sentence);
}

inline void require(int status) {
  if (status != WAINSCOT_OK) fail(status);
}

template <typename Handle>
Handle* opened(Handle* handle) {
  return handle != nullptr ? handle : (fail(WAINSCOT_WRONG_INPUT), nullptr);
}

/// No exception may cross the C function that calls this: it waits here.
struct ToldProgress {
  const Progress& progress;
  std::exception_ptr thrown;

  static int tell(void* self, const char* stage, double fraction) noexcept {
    auto& told = *static_cast<ToldProgress*>(self);
    try {
      return told.progress(stage, fraction) ? 0 : 1;
    } catch (...) {
      told.thrown = std::current_exception();
      return 1;
    }
  }
};

struct LocatorDeleter {
  void operator()(wainscot_locator* locator) const noexcept { wainscot_delete_locator(locator); }
};

}  // namespace detail

/// Maps the drive in the folder `drive` and writes the map's folder `map`, which may not be there yet: the same bytes
/// as `wainscot build DRIVE --out MAP` writes, whole or not at all. `progress` is called in this thread. Throws
/// `Stopped` where that says so, and `PoorData` where the drive gives no map, or one (it is there then) to be looked at
/// and not to be used.
inline void build_map(const std::filesystem::path& drive, const std::filesystem::path& map,
                      const Progress& progress = {}) {
  detail::ToldProgress told{progress, nullptr};
  const int status =
      wainscot_build_map(drive.c_str(), map.c_str(), progress ? &detail::ToldProgress::tell : nullptr, &told);
  if (told.thrown) std::rethrow_exception(told.thrown);
  detail::require(status);
}

/// A map's folder in memory. Copies share it.
class Map {
 public:
  /// As build_map() or the program made it; one of a form that this library does not read is refused with the command
  /// that renews it.
  explicit Map(const std::filesystem::path& folder)
      : handle_(detail::opened(wainscot_open_map(folder.c_str())), &wainscot_close_map) {}

  /// From a point to the nearest face of a wall or of furniture that the lidar saw and that, as far as the map knows,
  /// still stands. Throws `PoorData` where the map has no walls.
  double wall_distance_m(double x_m, double y_m) const {
    double distance_m = 0.0;
    detail::require(wainscot_wall_distance(handle_.get(), x_m, y_m, &distance_m));
    return distance_m;
  }

  /// What is at a point, as the map's cell there has it.
  Floor floor_at(double x_m, double y_m) const {
    std::int32_t floor = WAINSCOT_UNKNOWN;
    detail::require(wainscot_floor_at(handle_.get(), x_m, y_m, &floor));
    return static_cast<Floor>(floor);
  }

 private:
  friend class Locator;
  std::shared_ptr<const wainscot_map> handle_;
};

/// A robot in a map: its readings in as they come, an answer for each scan out.
class Locator {
 public:
  /// Keeps the map. `robot_yaml`: the file with this robot's constants; empty: the robot that the map was made with.
  explicit Locator(Map map, const std::filesystem::path& robot_yaml = {})
      : map_(std::move(map)),
        handle_(detail::opened(
            wainscot_new_locator(map_.handle_.get(), robot_yaml.empty() ? nullptr : robot_yaml.c_str()))) {}

  /// Readings, each kind in the order in which it was made; what is refused is not taken. Wheels (cumulative counts,
  /// unwrapped) or poses that the robot integrated itself, never both.
  void add_wheels(double time_s, std::int64_t left_ticks, std::int64_t right_ticks) {
    detail::require(wainscot_add_wheels(handle_.get(), time_s, left_ticks, right_ticks));
  }
  void add_pose(double time_s, double x_m, double y_m, double heading_rad) {
    detail::require(wainscot_add_pose(handle_.get(), time_s, x_m, y_m, heading_rad));
  }
  /// As logged: robot.yaml's sign and scale are applied.
  void add_yaw_rate(double time_s, double yaw_rate_rad_s) {
    detail::require(wainscot_add_yaw_rate(handle_.get(), time_s, yaw_rate_rad_s));
  }
  /// What the next wheels or pose say of the motion since the last is not to be believed: a counter began anew, the
  /// robot was carried.
  void add_break() { detail::require(wainscot_add_break(handle_.get())); }

  /// One turn of the lidar, beams in the order of firing. `angles_deg` and `ranges` as scans.csv has them: angles of
  /// the lidar as it counts them, ranges in robot.yaml's unit, 0 or NaN for no return. `offsets_s`: after `time_s`, the
  /// moment of the first beam, not falling; empty: all at once. All of one length.
  void add_scan(double time_s, const std::vector<double>& angles_deg, const std::vector<double>& ranges,
                const std::vector<double>& offsets_s = {}) {
    if (angles_deg.size() != ranges.size() || (!offsets_s.empty() && offsets_s.size() != ranges.size())) {
      throw Error("a scan has as many angles as ranges and offsets; give lists of one length");
    }
    detail::require(wainscot_add_scan(handle_.get(), time_s, ranges.size(), angles_deg.data(), ranges.data(),
                                      offsets_s.empty() ? nullptr : offsets_s.data()));
  }

  /// The next answer, one a scan; nullopt: none waits. Odometry has to go 25 ms past a scan's last beam (and the delay
  /// of the lidar's clock) before there is one.
  std::optional<Location> next() {
    wainscot_location here;
    const int status = wainscot_next_location(handle_.get(), &here);
    if (status == WAINSCOT_NOTHING_YET) return std::nullopt;
    detail::require(status);
    return Location{here.time_s, here.scan,   static_cast<Answer>(here.answer),
                    here.x_m,    here.y_m,    here.heading_rad,
                    here.sd_x_m, here.sd_y_m, here.sd_heading_rad};
  }

  /// The robot was put somewhere else: forgets where it is.
  void restart() { detail::require(wainscot_restart(handle_.get())); }

 private:
  Map map_;  ///< outlives the handle
  std::unique_ptr<wainscot_locator, detail::LocatorDeleter> handle_;
};

}  // namespace v1
}  // namespace wainscot
