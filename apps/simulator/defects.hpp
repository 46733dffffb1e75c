#pragma once

// What is wrong with a simulated robot. Every defect is a knob: a fixed value or a law that a value is drawn from.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "apps/simulator/random.hpp"

namespace wainscot::simulator {

/// A value, or the law that it is drawn from.
struct Knob {
  enum class Law { fixed, uniform, normal };
  Law law = Law::fixed;
  double a = 0.0;  ///< fixed: the value; uniform: the lower end; normal: the mean
  double b = 0.0;  ///< uniform: the upper end; normal: the standard deviation

  static Knob fixed(double value) { return {Law::fixed, value, 0.0}; }
  static Knob uniform(double from, double to) { return {Law::uniform, from, to}; }
  static Knob normal(double mean, double sd) { return {Law::normal, mean, sd}; }

  double draw(Random& random) const;
  /// The first value of a stream of its own, so that no other defect's draws change it.
  double draw(std::uint64_t seed, std::string_view stream) const;
  double mean() const { return law == Law::uniform ? (a + b) / 2.0 : a; }
  /// Standard deviation of the law; 0 for a fixed value.
  double sd() const;
  /// Whether it is this value and no law.
  bool is(double value) const { return law == Law::fixed && a == value; }
};

/// The defaults are the "raw" level: a robot whose constants were taken from a data sheet.
/// `_rel`: a fraction of the true value. Knobs of the wheels first, then gyro, markers, lines on the floor, lidar, the
/// hand that drives, and robot.yaml.
struct Defects {
  Knob left_m_per_tick_error_rel = Knob::normal(0.0, 0.003);
  Knob right_m_per_tick_error_rel = Knob::normal(0.0, 0.003);
  Knob track_width_error_rel = Knob::normal(0.0, 0.03);
  Knob surface_track_width_spread_rel = Knob::fixed(0.04);
  Knob slip_steady_rel = Knob::uniform(-0.035, 0.035);
  Knob slip_random_rel = Knob::fixed(0.035);
  Knob slip_correlation_s = Knob::fixed(1.0);
  Knob slip_speed_squared_rel = Knob::fixed(0.0);
  Knob slip_turn_squared_rel = Knob::fixed(0.0);
  Knob odometry_way_lost_rel = Knob::fixed(0.0);
  Knob odometry_way_error_rel = Knob::fixed(0.0);
  Knob odometry_turn_error_deg = Knob::fixed(0.0);
  Knob odometry_tail_freedom = Knob::fixed(0.0);
  Knob odometry_slips_per_100m = Knob::fixed(0.0);
  Knob odometry_slip_m = Knob::fixed(0.0);
  Knob odometry_slip_deg = Knob::fixed(0.0);
  Knob odometry_holds_per_minute = Knob::fixed(0.0);
  Knob odometry_hold_s = Knob::fixed(0.0);

  Knob gyro_bias_rad_s = Knob::normal(0.0, 0.01);
  Knob gyro_scale_error_rel = Knob::normal(0.0, 0.005);
  Knob gyro_noise_rad_s = Knob::fixed(0.005);

  Knob marker_noise_m = Knob::fixed(0.01);
  Knob marker_heading_noise_deg = Knob::fixed(1.5);
  Knob marker_misread_rate = Knob::fixed(0.0);
  Knob marker_camera_heading_error_deg = Knob::normal(0.0, 0.5);
  Knob marker_camera_scale_error_rel = Knob::normal(0.0, 0.01);
  Knob survey_noise_m = Knob::fixed(0.003);

  Knob follower_noise_m = Knob::fixed(0.004);
  Knob follower_correlation_m = Knob::uniform(0.2, 0.6);
  Knob follower_aside_m = Knob::normal(0.0, 0.003);
  Knob line_bow_m = Knob::normal(0.0, 0.002);
  Knob line_misnamed_rate = Knob::fixed(0.0);
  Knob line_map_noise_m = Knob::fixed(0.003);

  Knob range_noise_m = Knob::fixed(0.015);
  Knob range_noise_growth_per_m = Knob::fixed(0.0003);
  Knob range_noise_per_m = Knob::fixed(0.0);
  Knob range_rounding_m = Knob::fixed(0.0);
  Knob surface_bias_m = Knob::uniform(-0.005, 0.005);
  Knob incidence_bias_m = Knob::fixed(0.0);
  Knob range_scale = Knob::fixed(1.0);
  Knob motor_speed_error_rel = Knob::uniform(-0.05, 0.05);
  Knob motor_speed_wander_rel = Knob::fixed(0.002);
  Knob stamp_delay_s = Knob::uniform(0.0, 0.030);
  Knob stamp_jitter_s = Knob::fixed(0.0015);
  Knob stamp_bursts_per_minute = Knob::fixed(0.0);
  Knob stamp_burst_s = Knob::fixed(0.0);
  Knob scan_gap_m = Knob::fixed(0.0);
  Knob scan_gap_deg = Knob::fixed(0.0);
  Knob clock_drift_ppm = Knob::uniform(-50.0, 50.0);
  Knob beam_width_deg = Knob::fixed(0.4);
  Knob mixed_return_share = Knob::fixed(0.5);
  Knob dropout_rate = Knob::fixed(0.01);
  Knob lost_revolution_rate = Knob::fixed(0.005);
  Knob grazing_loss_begin_deg = Knob::fixed(75.0);
  Knob grazing_loss_full_deg = Knob::fixed(88.0);
  Knob glass_return_rate = Knob::fixed(0.15);
  Knob glass_loss_rate = Knob::fixed(0.25);
  Knob mounting_x_error_m = Knob::normal(0.0, 0.005);
  Knob mounting_y_error_m = Knob::normal(0.0, 0.005);
  Knob mounting_heading_error_deg = Knob::normal(0.0, 0.5);
  Knob threshold_tilt_deg = Knob::uniform(0.0, 2.0);

  Knob hand_wobble_rad_s = Knob::fixed(0.12);
  Knob hand_pauses_per_minute = Knob::fixed(0.6);

  Knob stated_range_noise_factor = Knob::fixed(1.0);
  Knob stated_slip_factor = Knob::fixed(1.0);
};

/// One knob's name, place and meaning, for files, options and their texts.
struct KnobEntry {
  std::string_view name;
  Knob Defects::*member;
  double least;     ///< smallest sensible value
  double greatest;  ///< largest sensible value
  double off;       ///< the value of a robot without this defect
  std::string_view meaning;
  bool written_where_off = true;  ///< in a plan's file; false: a knob that the first plans did not have
};

/// All knobs in the order of `Defects`.
const std::vector<KnobEntry>& knob_table();

/// A robot that was calibrated: wheels known to 0.1 %, the track width to 1 %.
Defects calibrated(Defects defects);

/// No defect at all; the hand still wobbles, since the path is not an error.
Defects perfect(Defects defects);

/// The entry of that name. Throws InputError that names the nearest knob.
const KnobEntry& knob_entry(std::string_view name);

/// Sets one knob from text: `value`, `from..to` (uniform) or `mean~sd` (normal). Throws InputError that names the
/// nearest knob, or says what may stand there.
void set_knob(Defects& defects, std::string_view name, std::string_view value);

/// The text that `set_knob` reads.
std::string to_text(const Knob& knob);

}  // namespace wainscot::simulator
