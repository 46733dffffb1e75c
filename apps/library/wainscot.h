/*
 * A map from a recorded drive, where a robot is in it, and what is there, for programs in C and in every language that
 * can call C (in C++ wainscot.hpp is at hand, in Python the module wainscot).
 *
 *   wainscot_map *map = wainscot_open_map("my-map");
 *   wainscot_locator *locator = wainscot_new_locator(map, NULL);
 *   for (;;) {
 *     wainscot_add_wheels(locator, now_s, left_ticks, right_ticks);
 *     if (the_lidar_has_turned) wainscot_add_scan(locator, first_beam_s, beams, angles_deg, ranges, offsets_s);
 *     wainscot_location here;
 *     while (wainscot_next_location(locator, &here) == WAINSCOT_OK) use(&here);
 *   }
 *
 * The examples where.c, map_a_drive.c and nearest_wall.c are whole programs. Lengths are metres, angles radians
 * counter-clockwise (but angles_deg), times seconds on the wheels' clock; places are in the map's frame. Paths are
 * bytes as the system takes them. No C++ exception leaves a function, and what is NULL where it may not be is refused.
 * A map may be used by several threads at once, a locator by one at a time; what is closed or deleted may not be used
 * any more.
 *
 * Never let an answer be the only thing that keeps a robot from falling or from hitting someone: a 2D lidar sees one
 * plane only.
 */
#ifndef WAINSCOT_H
#define WAINSCOT_H

#include <stddef.h>
#include <stdint.h>

#if defined(__GNUC__)
#define WAINSCOT_API __attribute__((visibility("default")))
#else
#define WAINSCOT_API
#endif

#ifdef __cplusplus
extern "C" {
#endif

/* NOLINTBEGIN(readability-identifier-naming): names as in C */
typedef struct wainscot_map wainscot_map;
typedef struct wainscot_locator wainscot_locator;

enum wainscot_status {
  WAINSCOT_OK = 0,
  WAINSCOT_POOR_DATA = 1,   /* the data cannot give what was asked */
  WAINSCOT_WRONG_INPUT = 2, /* wainscot_last_error() says what to do */
  WAINSCOT_FAILED = 3,      /* no memory, or a fault of the library */
  WAINSCOT_NOTHING_YET = 4, /* no answer waits: add wheels and scans */
  WAINSCOT_STOPPED = 5      /* as the progress function asked */
};

enum wainscot_answer {
  WAINSCOT_FOUND = 0,
  WAINSCOT_AMBIGUOUS = 1, /* several places fit, or too little was seen to be sure; the likeliest is told */
  WAINSCOT_LOST = 2       /* nothing in the map fits; all numbers but time_s and scan are 0 */
};

enum wainscot_floor {
  WAINSCOT_UNKNOWN = 0, /* never seen, or seen now so, now so (a door that was open and closed) */
  WAINSCOT_FREE = 1,
  WAINSCOT_OCCUPIED = 2 /* a wall, furniture, a person who stood there */
};

/* Told now and then, in the thread that builds, which stage it is at and the fraction done of all, 0 to 1. `user`: as
   given. 0: go on; anything else: stop. May not throw. */
typedef int (*wainscot_progress)(void* user, const char* stage, double fraction);

typedef struct wainscot_location {
  double time_s;                         /* of the scan's first beam, on the wheels' clock */
  uint64_t scan;                         /* which of the scans that were added, from 0 on */
  int32_t answer;                        /* an enum wainscot_answer */
  double x_m, y_m;                       /* of the robot, map frame */
  double heading_rad;                    /* in (-pi, pi] */
  double sd_x_m, sd_y_m, sd_heading_rad; /* standard deviations along the map's axes */
} wainscot_location;
/* NOLINTEND(readability-identifier-naming) */

/* "1.0.0"; valid for ever. */
WAINSCOT_API const char* wainscot_version(void);

/* What went wrong in this thread's last call that did not return WAINSCOT_OK or gave NULL: one sentence with what to
   do. Valid until the thread's next call. */
WAINSCOT_API const char* wainscot_last_error(void);

/* Maps the drive in the folder `drive` and writes the map's folder, which may not be there yet: the same bytes as
   `wainscot build DRIVE --out MAP` writes, whole or not at all. Takes as long as that, seconds to minutes. `progress`:
   may be NULL. WAINSCOT_POOR_DATA: the drive gives no map, or, where the folder is there now, one to be looked at and
   not to be used. */
WAINSCOT_API int wainscot_build_map(const char* drive, const char* map, wainscot_progress progress, void* user);

/* A map's folder, made by wainscot_build_map() or the program. One of a form that this library does not read is refused
   with the command that renews it. NULL: see wainscot_last_error(). */
WAINSCOT_API wainscot_map* wainscot_open_map(const char* folder);
/* After all its locators. NULL is allowed. */
WAINSCOT_API void wainscot_close_map(wainscot_map* map);

/* From a point of the map's frame to the nearest face of a wall or of furniture that the lidar saw and that, as far as
   the map knows, still stands. */
WAINSCOT_API int wainscot_wall_distance(const wainscot_map* map, double x_m, double y_m, double* distance_m);
/* What is at a point, as the map's cell there has it: an enum wainscot_floor. Outside of the map it is unknown. */
WAINSCOT_API int wainscot_floor_at(const wainscot_map* map, double x_m, double y_m, int32_t* floor);

/* `robot_yaml`: path of the file with this robot's constants; NULL: the robot that the map was made with. `map` has to
   outlive the locator. NULL: see wainscot_last_error(). */
WAINSCOT_API wainscot_locator* wainscot_new_locator(const wainscot_map* map, const char* robot_yaml);
WAINSCOT_API void wainscot_delete_locator(wainscot_locator* locator);

/* Readings, each kind in the order in which it was made. What is refused is not taken. Wheels (cumulative counts,
   unwrapped) or poses that the robot integrated itself, never both. */
WAINSCOT_API int wainscot_add_wheels(wainscot_locator* locator, double time_s, int64_t left_ticks, int64_t right_ticks);
WAINSCOT_API int wainscot_add_pose(wainscot_locator* locator, double time_s, double x_m, double y_m,
                                   double heading_rad);
/* As logged: robot.yaml's sign and scale are applied. */
WAINSCOT_API int wainscot_add_yaw_rate(wainscot_locator* locator, double time_s, double yaw_rate_rad_s);
/* What the next wheels or pose say of the motion since the last is not to be believed: a counter began anew, the robot
   was carried. */
WAINSCOT_API int wainscot_add_break(wainscot_locator* locator);
/* One turn of the lidar, `beams` of them in the order of firing. `angles_deg` and `ranges` as scans.csv has them:
   angles of the lidar as it counts them, ranges in robot.yaml's unit, 0 or NaN for no return. `offsets_s`: after
   `time_s`, the moment of the first beam, not falling; NULL: all at once. */
WAINSCOT_API int wainscot_add_scan(wainscot_locator* locator, double time_s, size_t beams, const double* angles_deg,
                                   const double* ranges, const double* offsets_s);

/* The next answer, one a scan; WAINSCOT_NOTHING_YET: none waits. Odometry has to go 25 ms past a scan's last beam (and
   the delay of the lidar's clock) before there is one. */
WAINSCOT_API int wainscot_next_location(wainscot_locator* locator, wainscot_location* location);
/* The robot was put somewhere else: forgets where it is. */
WAINSCOT_API int wainscot_restart(wainscot_locator* locator);

#ifdef __cplusplus
}
#endif

#endif
