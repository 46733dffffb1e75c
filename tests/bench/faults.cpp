#include "tests/bench/faults.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace wainscot::bench {
namespace {

using simulator::Plan;
using simulator::Random;

double either_sign(Random& random, double least, double most) {
  return (random.chance(0.5) ? 1.0 : -1.0) * random.uniform(least, most);
}

/// A factor away from 1 by 12 to 40 per cent.
double factor(Random& random) { return std::exp(either_sign(random, 0.12, 0.34)); }

LidarConstants& lidar(FaultyDrive& drive) { return drive.simulated.robot.lidar; }
DriveConstants& wheels(FaultyDrive& drive) { return *drive.simulated.robot.drive; }

template <typename Row>
void lose(std::vector<Row>& rows, double share, Random& random) {
  std::vector<Row> kept;
  for (Row& row : rows) {
    if (!random.chance(share)) kept.push_back(std::move(row));
  }
  rows = std::move(kept);
}

/// A program that asks the lidar too often: the same turn once more, half a turn later.
void repeat_scans(FaultyDrive& drive, Random& random) {
  std::vector<simulator::ScanRow> rows;
  for (const simulator::ScanRow& row : drive.simulated.scans) {
    rows.push_back(row);
    if (!random.chance(0.1)) continue;
    rows.push_back(row);
    rows.back().time_s += 0.5 * drive.simulated.truth.lidar.turn_s;
  }
  drive.simulated.scans = std::move(rows);
}

void repeat_rows(FaultyDrive& drive, Random& random) {
  std::vector<WheelCounts>& rows = drive.simulated.wheels;
  for (std::size_t i = rows.size() - 1; i > 0; --i) {
    if (!random.chance(0.1)) continue;
    rows[i].left_ticks = rows[i - 1].left_ticks;
    rows[i].right_ticks = rows[i - 1].right_ticks;
  }
}

void wrap_at_16_bits(FaultyDrive& drive, Random& random) {
  std::vector<WheelCounts>& rows = drive.simulated.wheels;
  const WheelCounts first = rows.front();
  const auto begin = static_cast<std::int64_t>(random.uniform(0.0, 65536.0));
  const auto wrapped = [](std::int64_t count) { return ((count % 65536) + 65536) % 65536; };
  for (WheelCounts& row : rows) {
    row.left_ticks = wrapped(row.left_ticks - first.left_ticks + begin);
    row.right_ticks = wrapped(row.right_ticks - first.right_ticks + begin);
  }
}

void put_body_in_view(FaultyDrive& drive, Random& random) {
  const double middle_deg = random.uniform(-180.0, 180.0);
  const double half_deg = random.uniform(4.0, 15.0);
  const double range_m = lidar(drive).min_range_m + random.uniform(0.02, 0.1);
  for (std::size_t b = 0; b < drive.simulated.beams_deg.size(); ++b) {
    if (std::abs(std::remainder(drive.simulated.beams_deg[b] - middle_deg, 360.0)) > half_deg) continue;
    for (simulator::ScanRow& row : drive.simulated.scans) {
      row.range_m[b] = static_cast<float>(range_m + 0.005 * random.normal());
    }
  }
}

void code_no_return(FaultyDrive& drive) {
  const double code_m = lidar(drive).max_range_m;
  lidar(drive).max_range_m *= 1.5;
  for (simulator::ScanRow& row : drive.simulated.scans) {
    for (float& range : row.range_m) {
      if (std::isnan(range)) range = static_cast<float>(code_m);
    }
  }
}

/// A point on the way, reached in the first part of the drive.
std::size_t early_waypoint(const Plan& plan) { return std::min<std::size_t>(2, plan.route.size() - 2); }

void slip_at_waypoint(Plan& plan, double way_m) {
  plan.slips.push_back({plan.route[early_waypoint(plan)].point, 0.25, 1, way_m, way_m});
}

InjectedFault in_robot_yaml(std::string name, std::vector<Fault> expected,
                            std::function<void(FaultyDrive&, Random&)> after) {
  return {std::move(name), std::move(expected), true, true, false, {}, std::move(after)};
}

InjectedFault in_scans(std::string name, std::vector<Fault> expected, bool mends,
                       std::function<void(FaultyDrive&, Random&)> after) {
  return {std::move(name), std::move(expected), mends, false, true, {}, std::move(after)};
}

InjectedFault in_plan(std::string name, std::vector<Fault> expected, std::function<void(Plan&, Random&)> before) {
  return {std::move(name), std::move(expected), false, true, true, std::move(before), {}};
}

void set_clock(FaultyDrive& drive, double offset_s, double drift) {
  std::vector<simulator::ScanRow>& scans = drive.simulated.scans;
  const double first_s = scans.front().time_s;
  for (simulator::ScanRow& row : scans) row.time_s = first_s + (row.time_s - first_s) * (1.0 + drift) + offset_s;
}

std::vector<InjectedFault> signs_and_constants() {
  using D = FaultyDrive;
  return {
      in_robot_yaml("left and right exchanged", {Fault::swapped}, [](D& d, Random&) { exchange_columns(d); }),
      in_robot_yaml("left counts backwards", {Fault::left_backwards},
                    [](D& d, Random&) { wheels(d).left_m_per_tick *= -1.0; }),
      in_robot_yaml("right counts backwards", {Fault::right_backwards},
                    [](D& d, Random&) { wheels(d).right_m_per_tick *= -1.0; }),
      in_robot_yaml("left tick constant off", {Fault::left_tick},
                    [](D& d, Random& r) { wheels(d).left_m_per_tick *= factor(r); }),
      in_robot_yaml("right tick constant off", {Fault::right_tick},
                    [](D& d, Random& r) { wheels(d).right_m_per_tick *= factor(r); }),
      in_robot_yaml("both tick constants off", {Fault::both_ticks},
                    [](D& d, Random& r) {
                      const double f = factor(r);
                      wheels(d).left_m_per_tick *= f;
                      wheels(d).right_m_per_tick *= f;
                    }),
      in_robot_yaml("track width off", {Fault::track_width},
                    [](D& d, Random& r) { wheels(d).track_width_m *= factor(r); }),
      in_robot_yaml("mirrored", {Fault::mirrored}, [](D& d, Random&) { lidar(d).mirrored = !lidar(d).mirrored; }),
      in_robot_yaml("lidar turned", {Fault::lidar_turned},
                    [](D& d, Random& r) { lidar(d).heading_deg += either_sign(r, 9.0, 180.0); }),
      in_robot_yaml("lidar displaced", {Fault::lidar_displaced},
                    [](D& d, Random& r) {
                      const double way = r.uniform(0.12, 0.3);
                      const double direction = r.uniform(-3.14, 3.14);
                      lidar(d).x_m += way * std::cos(direction);
                      lidar(d).y_m += way * std::sin(direction);
                    }),
  };
}

std::vector<InjectedFault> times() {
  using D = FaultyDrive;
  return {
      in_scans("clock offset", {Fault::clock_offset}, true,
               [](D& d, Random& r) { set_clock(d, either_sign(r, 0.2, 3.0), 0.0); }),
      in_scans("clock drift", {Fault::clock_drift}, true,
               [](D& d, Random& r) { set_clock(d, 0.0, either_sign(r, 0.001, 0.01)); }),
      in_scans("sweep taken for 0", {Fault::sweep_time}, true, [](D& d, Random&) { lidar(d).sweep_s = 0.0; }),
      in_scans("sweep time off", {Fault::sweep_time}, true,
               [](D& d, Random& r) {
                 const double true_s = d.simulated.truth.lidar.turn_s;
                 lidar(d).sweep_s = true_s * (r.chance(0.5) ? 2.0 : 0.5);
               }),
      in_scans("beams fired the other way", {Fault::firing_order}, true, [](D& d, Random&) { reverse_beams(d); }),
      in_scans("scans lost", {Fault::lost_scans}, false, [](D& d, Random& r) { lose(d.simulated.scans, 0.15, r); }),
      in_scans("scans doubled", {Fault::doubled_scans}, true, [](D& d, Random& r) { repeat_scans(d, r); }),
      {"wheel rows lost",
       {Fault::lost_wheel_rows},
       false,
       true,
       false,
       {},
       [](D& d, Random& r) { lose(d.simulated.wheels, 0.15, r); }},
      {"wheel rows doubled",
       {Fault::doubled_wheel_rows},
       false,
       true,
       false,
       {},
       [](D& d, Random& r) { repeat_rows(d, r); }},
      in_robot_yaml("counter wraps at 16 bits", {Fault::counter_wraps},
                    [](D& d, Random& r) {
                      wrap_at_16_bits(d, r);
                      wheels(d).counter_bits = 32;
                    }),
      {"left counter dead",
       {Fault::dead_counter},
       false,
       true,
       false,
       {},
       [](D& d, Random&) {
         for (WheelCounts& row : d.simulated.wheels) row.left_ticks = d.simulated.wheels.front().left_ticks;
       }},
      {"right counter stops half-way",
       {Fault::dead_counter},
       false,
       true,
       false,
       {},
       [](D& d, Random&) {
         std::vector<WheelCounts>& rows = d.simulated.wheels;
         for (std::size_t i = rows.size() / 2; i < rows.size(); ++i)
           rows[i].right_ticks = rows[rows.size() / 2].right_ticks;
       }},
  };
}

std::vector<InjectedFault> ranges() {
  using D = FaultyDrive;
  const auto unit = [](double unit_m) {
    return [unit_m](D& d, Random&) {
      d.spec.lidar.range_unit_m = unit_m;
      lidar(d).range_unit_m = 1.0;
    };
  };
  return {
      in_scans("ranges in millimetres", {Fault::range_unit}, true, unit(0.001)),
      in_scans("ranges in centimetres", {Fault::range_unit}, true, unit(0.01)),
      in_scans("own body in view", {Fault::body_in_view}, true, [](D& d, Random& r) { put_body_in_view(d, r); }),
      in_scans("no return as largest range", {Fault::largest_range}, true, [](D& d, Random&) { code_no_return(d); }),
      in_scans("hardly anything seen", {Fault::too_little_seen}, false,
               [](D& d, Random& r) {
                 for (simulator::ScanRow& row : d.simulated.scans) {
                   if (r.chance(0.3)) continue;
                   for (float& range : row.range_m) {
                     if (r.chance(0.97)) range = std::numeric_limits<float>::quiet_NaN();
                   }
                 }
               }),
  };
}

std::vector<InjectedFault> drives() {
  return {
      in_plan("stuck", {Fault::stuck}, [](Plan& p, Random& r) { slip_at_waypoint(p, r.uniform(0.4, 0.8)); }),
      in_plan("slipped", {Fault::slip}, [](Plan& p, Random& r) { slip_at_waypoint(p, -r.uniform(0.2, 0.4)); }),
      in_plan("lifted", {Fault::lifted},
              [](Plan& p, Random& r) {
                const std::size_t k = early_waypoint(p);
                p.route[k].lift = simulator::Lift{{p.route[k - 1].point, p.route[k].point}, r.uniform(-180.0, 180.0)};
              }),
      in_plan("turned too fast", {Fault::too_fast},
              [](Plan& p, Random& r) {
                p.robot.turn_rate_rad_s = r.uniform(5.5, 6.0);
                p.robot.lidar.turns_per_s = 5.0;
              }),
  };
}

constexpr double kDegreesOfRadian = 180.0 / 3.14159265358979323846;

void scale_places(FaultyDrive& drive, double per_metre) {
  for (TimedPose& row : drive.simulated.odometry) {
    row.pose.x_m *= per_metre;
    row.pose.y_m *= per_metre;
  }
}

/// From -180 to 180, as programs that think in degrees write them.
void headings_in_degrees(FaultyDrive& drive) {
  for (TimedPose& row : drive.simulated.odometry) {
    row.pose.heading_rad = std::remainder(kDegreesOfRadian * row.pose.heading_rad, 360.0);
  }
}

void rates_in_degrees(FaultyDrive& drive) {
  for (YawRate& row : drive.simulated.gyro) row.yaw_rate_rad_s *= kDegreesOfRadian;
}

InjectedFault in_odometry(std::string name, std::vector<Fault> expected,
                          std::function<void(FaultyDrive&, Random&)> after) {
  InjectedFault fault = in_scans(std::move(name), std::move(expected), true, std::move(after));
  fault.needs_odometry = true;
  return fault;
}

InjectedFault with_gyro(std::string name, std::vector<Fault> expected,
                        std::function<void(FaultyDrive&, Random&)> after) {
  InjectedFault fault = in_scans(std::move(name), std::move(expected), true, std::move(after));
  fault.needs_wheels = fault.needs_gyro = true;
  return fault;
}

std::vector<InjectedFault> units() {
  using D = FaultyDrive;
  return {
      with_gyro("gyro in degrees a second", {Fault::gyro_unit}, [](D& d, Random&) { rates_in_degrees(d); }),
      in_odometry("odometry in millimetres", {Fault::odometry_unit}, [](D& d, Random&) { scale_places(d, 1000.0); }),
      in_odometry("odometry in centimetres", {Fault::odometry_unit}, [](D& d, Random&) { scale_places(d, 100.0); }),
      in_odometry("headings in degrees", {Fault::heading_unit}, [](D& d, Random&) { headings_in_degrees(d); }),
      in_scans("all times in milliseconds", {Fault::time_unit}, true,
               [](D& d, Random&) { set_time_units(d, 1e-3, 1e-3); }),
      in_scans("all times in microseconds", {Fault::time_unit}, true,
               [](D& d, Random&) { set_time_units(d, 1e-6, 1e-6); }),
      in_scans("wheels' times in milliseconds", {Fault::time_unit}, true,
               [](D& d, Random&) { set_time_units(d, 1e-3, 1.0); }),
      in_scans("scans' times in milliseconds", {Fault::time_unit}, true,
               [](D& d, Random&) { set_time_units(d, 1.0, 1e-3); }),
  };
}

/// A gross one, which is to be named first, and one that is hidden by it.
std::vector<InjectedFault> several() {
  using D = FaultyDrive;
  const auto mirror = [](D& d) { lidar(d).mirrored = !lidar(d).mirrored; };
  const auto millimetres = [](D& d) {
    d.spec.lidar.range_unit_m = 0.001;
    lidar(d).range_unit_m = 1.0;
  };
  InjectedFault ranges = in_scans("millimetres and mirrored", {Fault::range_unit, Fault::mirrored}, true,
                                  [=](D& d, Random&) { millimetres(d), mirror(d); });
  InjectedFault clock =
      in_scans("clock offset, turned, left backwards",
               {Fault::clock_offset, Fault::left_backwards, Fault::lidar_turned}, true, [](D& d, Random& r) {
                 set_clock(d, either_sign(r, 0.2, 2.0), 0.0);
                 lidar(d).heading_deg += 90.0;
                 wheels(d).left_m_per_tick *= -1.0;
               });
  InjectedFault times =
      in_scans("milliseconds and left backwards", {Fault::time_unit, Fault::left_backwards}, true, [](D& d, Random&) {
        set_time_units(d, 1e-3, 1e-3);
        wheels(d).left_m_per_tick *= -1.0;
      });
  ranges.needs_wheels = clock.needs_wheels = times.needs_wheels = true;
  return {
      ranges,
      clock,
      times,
      with_gyro("degrees a second and width off", {Fault::gyro_unit, Fault::track_width},
                [](D& d, Random& r) {
                  rates_in_degrees(d);
                  wheels(d).track_width_m *= factor(r);
                }),
      with_gyro("degrees a second and clock offset", {Fault::gyro_unit, Fault::clock_offset},
                [](D& d, Random& r) {
                  rates_in_degrees(d);
                  set_clock(d, either_sign(r, 0.2, 3.0), 0.0);
                }),
      in_odometry("odometry's millimetres and turned", {Fault::odometry_unit, Fault::lidar_turned},
                  [](D& d, Random&) {
                    scale_places(d, 1000.0);
                    lidar(d).heading_deg += 90.0;
                  }),
      in_odometry("millimetres and degrees of odometry", {Fault::heading_unit, Fault::odometry_unit},
                  [](D& d, Random&) {
                    scale_places(d, 1000.0);
                    headings_in_degrees(d);
                  }),
      in_odometry("degrees of odometry, ranges in mm", {Fault::range_unit, Fault::heading_unit},
                  [=](D& d, Random&) {
                    headings_in_degrees(d);
                    millimetres(d);
                  }),
  };
}

}  // namespace

const std::vector<InjectedFault>& injected_faults() {
  static const std::vector<InjectedFault> faults = [] {
    std::vector<InjectedFault> all;
    for (const auto& part : {units(), signs_and_constants(), times(), ranges(), drives(), several()}) {
      all.insert(all.end(), part.begin(), part.end());
    }
    return all;
  }();
  return faults;
}

void prepare(simulator::Plan& plan, const InjectedFault& fault) {
  if (fault.needs_wheels) plan.robot.motion_log = simulator::MotionLog::wheels;
  if (fault.needs_odometry) plan.robot.motion_log = simulator::MotionLog::odometry;
  if (fault.needs_scans) plan.robot.lidar_log = simulator::LidarLog::scans;
  if (fault.needs_gyro) plan.robot.gyro = true;
}

bool names(const Finding& finding, const std::vector<Fault>& faults) {
  return std::any_of(faults.begin(), faults.end(), [&](Fault fault) {
    return finding.fault == fault || (finding.or_else && *finding.or_else == fault);
  });
}

void mend(FaultyDrive& drive, const LogCheck& check, const std::vector<Fault>& expected) {
  const bool mirrored = lidar(drive).mirrored;
  drive.simulated.robot = check.mended;
  for (const Finding& finding : check.findings) {
    const bool other = finding.or_else && finding.fault != expected.front() && names(finding, expected);
    const Fault fault = other ? *finding.or_else : finding.fault;
    if (other && finding.fault == Fault::mirrored) lidar(drive).mirrored = mirrored;
    if (fault == Fault::time_unit) set_time_units(drive, 1.0, 1.0);
    if (fault == Fault::swapped) exchange_columns(drive);
    if (fault == Fault::firing_order) reverse_beams(drive);
    if (fault == Fault::doubled_scans) drop_repeated_scans(drive);
  }
}

}  // namespace wainscot::bench
