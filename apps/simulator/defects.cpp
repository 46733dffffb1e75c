#include "apps/simulator/defects.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"

namespace wainscot::simulator {

double Knob::draw(Random& random) const {
  switch (law) {
    case Law::fixed:
      return a;
    case Law::uniform:
      return random.uniform(a, b);
    case Law::normal:
      return a + b * random.normal();
  }
  return a;
}

double Knob::draw(std::uint64_t seed, std::string_view stream) const {
  Random random(seed, stream);
  return draw(random);
}

double Knob::sd() const {
  switch (law) {
    case Law::fixed:
      return 0.0;
    case Law::uniform:
      return (b - a) / std::sqrt(12.0);
    case Law::normal:
      return b;
  }
  return 0.0;
}

namespace {

// What goes wrong with the robot's own record of its motion, its gyro and its markers.
std::vector<KnobEntry> robot_knobs() {
  using D = Defects;
  return {
      {"left_m_per_tick_error_rel", &D::left_m_per_tick_error_rel, -0.5, 0.5, 0.0,
       "robot.yaml's left_m_per_tick is too large by this fraction; once a drive"},
      {"right_m_per_tick_error_rel", &D::right_m_per_tick_error_rel, -0.5, 0.5, 0.0,
       "robot.yaml's right_m_per_tick is too large by this fraction; once a drive"},
      {"track_width_error_rel", &D::track_width_error_rel, -0.5, 0.5, 0.0,
       "robot.yaml's track_width_m is too large by this fraction of the mean over the floors; once a drive"},
      {"surface_track_width_spread_rel", &D::surface_track_width_spread_rel, 0.0, 0.5, 0.0,
       "the floors' effective track widths differ by this fraction, largest to smallest"},
      {"slip_steady_rel", &D::slip_steady_rel, -0.5, 0.5, 0.0,
       "a wheel that turns the robot on the spot rolls this much further than the ground passes; once for each floor "
       "and wheel, in proportion to the share of turning in the motion"},
      {"slip_random_rel", &D::slip_random_rel, 0.0, 0.5, 0.0,
       "standard deviation of the slip that comes and goes, on the spot; a tenth of it on a straight"},
      {"slip_correlation_s", &D::slip_correlation_s, 0.01, 100.0, 1.0, "how long that slip remembers itself"},
      {"slip_speed_squared_rel", &D::slip_speed_squared_rel, -0.5, 0.5, 0.0,
       "the way is counted too long by this fraction at 1 m/s, and by more with the square of the speed; once a drive",
       false},
      {"slip_turn_squared_rel", &D::slip_turn_squared_rel, -0.5, 0.5, 0.0,
       "turns are counted too far by this fraction at 1 rad/s, and by more with the square of the rate; once a drive",
       false},
      {"odometry_way_lost_rel", &D::odometry_way_lost_rel, -0.5, 0.5, 0.0,
       "this part of the way is not counted; once a drive", false},
      {"odometry_way_error_rel", &D::odometry_way_error_rel, 0.0, 1.0, 0.0,
       "spread of the error of the way; drawn anew after each metre or 45 degrees", false},
      {"odometry_turn_error_deg", &D::odometry_turn_error_deg, 0.0, 45.0, 0.0,
       "spread of the error of the heading that comes over each such stretch", false},
      {"odometry_tail_freedom", &D::odometry_tail_freedom, 0.0, 1000.0, 0.0,
       "these errors are Student's t with so many degrees of freedom, and that spread as scale; 0: normal", false},
      {"odometry_slips_per_100m", &D::odometry_slips_per_100m, 0.0, 1000.0, 0.0,
       "how often wheels and floor part company for a second, unannounced", false},
      {"odometry_slip_m", &D::odometry_slip_m, -2.0, 2.0, 0.0,
       "way that is then counted beyond the true one; each time", false},
      {"odometry_slip_deg", &D::odometry_slip_deg, -180.0, 180.0, 0.0,
       "turn that is then counted beyond the true one; each time", false},
      {"odometry_holds_per_minute", &D::odometry_holds_per_minute, 0.0, 20.0, 0.0,
       "how often the rows of wheels or odometry wait in a buffer and are then all stamped within 10 ms", false},
      {"odometry_hold_s", &D::odometry_hold_s, 0.0, 30.0, 0.0, "how long they wait; each time", false},
      {"gyro_bias_rad_s", &D::gyro_bias_rad_s, -1.0, 1.0, 0.0, "what a gyro at rest reads; once a drive"},
      {"gyro_scale_error_rel", &D::gyro_scale_error_rel, -0.5, 0.5, 0.0, "the gyro reads too much; once a drive"},
      {"gyro_noise_rad_s", &D::gyro_noise_rad_s, 0.0, 1.0, 0.0, "standard deviation of one sample"},
      {"marker_noise_m", &D::marker_noise_m, 0.0, 0.5, 0.0, "standard deviation of a marker's place, x and y each"},
      {"marker_heading_noise_deg", &D::marker_heading_noise_deg, 0.0, 45.0, 0.0, "and of its heading"},
      {"marker_misread_rate", &D::marker_misread_rate, 0.0, 1.0, 0.0, "sightings that have another marker's number"},
      {"marker_camera_heading_error_deg", &D::marker_camera_heading_error_deg, -45.0, 45.0, 0.0,
       "what sees the markers is turned further to the left; once a drive"},
      {"marker_camera_scale_error_rel", &D::marker_camera_scale_error_rel, -0.5, 0.5, 0.0,
       "markers are seen too far away by this fraction; once a drive"},
      {"survey_noise_m", &D::survey_noise_m, 0.0, 0.5, 0.0,
       "standard deviation of a surveyed marker's place, x and y each"},
  };
}

// Of lines on the floor, and of what follows them.
std::vector<KnobEntry> line_knobs() {
  using D = Defects;
  return {
      {"follower_noise_m", &D::follower_noise_m, 0.0, 0.1, 0.0,
       "standard deviation of where the robot sees the line that it follows"},
      {"follower_correlation_m", &D::follower_correlation_m, 0.05, 10.0, 0.4,
       "how far along the way that error remembers itself; once a drive"},
      {"follower_aside_m", &D::follower_aside_m, -0.1, 0.1, 0.0,
       "the robot's middle runs so far to the left of a line that it follows; once a drive"},
      {"line_bow_m", &D::line_bow_m, -0.1, 0.1, 0.0, "a line bends to the left in its middle; once for each line"},
      {"line_misnamed_rate", &D::line_misnamed_rate, 0.0, 1.0, 0.0, "rows of followed.csv that name another line"},
      {"line_map_noise_m", &D::line_map_noise_m, 0.0, 0.5, 0.0,
       "standard deviation of a measured line's places, x and y each"},
  };
}

// With the lidar, its clock and mounting, the floor and the driver, and with what robot.yaml states.
std::vector<KnobEntry> lidar_knobs() {
  using D = Defects;
  return {
      {"range_noise_m", &D::range_noise_m, 0.0, 0.5, 0.0, "standard deviation of a range near by"},
      {"range_noise_growth_per_m", &D::range_noise_growth_per_m, 0.0, 0.1, 0.0,
       "and its growth: sd = range_noise_m + range_noise_growth_per_m * range^2"},
      {"range_noise_per_m", &D::range_noise_per_m, 0.0, 0.2, 0.0, "and this much times the range beyond that", false},
      {"range_rounding_m", &D::range_rounding_m, 0.0, 0.5, 0.0, "ranges come in steps of this", false},
      {"surface_bias_m", &D::surface_bias_m, -0.1, 0.1, 0.0, "ranges to a face are too long; once for each face"},
      {"incidence_bias_m", &D::incidence_bias_m, -0.2, 0.2, 0.0,
       "ranges are too long by this times 2 (1 - cosine of the angle between beam and normal); once a drive", false},
      {"range_scale", &D::range_scale, 0.5, 2.0, 1.0, "measured range / true range; once a drive"},
      {"motor_speed_error_rel", &D::motor_speed_error_rel, -0.5, 0.5, 0.0,
       "the lidar turns faster than nominal; once a drive"},
      {"motor_speed_wander_rel", &D::motor_speed_wander_rel, 0.0, 0.1, 0.0,
       "standard deviation of a revolution's speed around the drive's"},
      {"stamp_delay_s", &D::stamp_delay_s, 0.0, 1.0, 0.0, "scans are stamped late, on average; once a drive"},
      {"stamp_jitter_s", &D::stamp_jitter_s, 0.0, 0.1, 0.0,
       "spread of that delay, this wide in all and even; for each stamp"},
      {"stamp_bursts_per_minute", &D::stamp_bursts_per_minute, 0.0, 60.0, 0.0,
       "how often stamps jitter for a second as far as the next knob says", false},
      {"stamp_burst_s", &D::stamp_burst_s, 0.0, 1.0, 0.0, "greatest lateness beyond stamp_delay_s in it; each time",
       false},
      {"scan_gap_m", &D::scan_gap_m, 0.0, 100.0, 0.0, "a scan is logged only after this much way; for each scan",
       false},
      {"scan_gap_deg", &D::scan_gap_deg, 0.0, 360.0, 0.0,
       "or this much turning; where both are 0 the robot's scan_every_m and scan_every_deg say it", false},
      {"clock_drift_ppm", &D::clock_drift_ppm, -10000.0, 10000.0, 0.0,
       "the lidar's clock runs fast against the wheels'; once a drive"},
      {"beam_width_deg", &D::beam_width_deg, 0.0, 5.0, 0.0, "full width of the laser's spot"},
      {"mixed_return_share", &D::mixed_return_share, 0.0, 1.0, 0.0,
       "of the beams whose spot lies on two depths: how many answer from between"},
      {"dropout_rate", &D::dropout_rate, 0.0, 1.0, 0.0, "beams without an answer, anywhere"},
      {"lost_revolution_rate", &D::lost_revolution_rate, 0.0, 1.0, 0.0, "whole turns that never arrive"},
      {"grazing_loss_begin_deg", &D::grazing_loss_begin_deg, 0.0, 90.0, 90.0,
       "from this angle between beam and normal on, answers get lost"},
      {"grazing_loss_full_deg", &D::grazing_loss_full_deg, 0.0, 90.0, 90.0, "from this angle on, all of them"},
      {"glass_return_rate", &D::glass_return_rate, 0.0, 1.0, 0.0, "beams that a pane itself answers"},
      {"glass_loss_rate", &D::glass_loss_rate, 0.0, 1.0, 0.0, "beams that a pane swallows; the rest pass through"},
      {"mounting_x_error_m", &D::mounting_x_error_m, -0.5, 0.5, 0.0,
       "the lidar sits further forward than robot.yaml says; once a drive"},
      {"mounting_y_error_m", &D::mounting_y_error_m, -0.5, 0.5, 0.0, "further to the left; once a drive"},
      {"mounting_heading_error_deg", &D::mounting_heading_error_deg, -45.0, 45.0, 0.0,
       "turned further to the left; once a drive"},
      {"threshold_tilt_deg", &D::threshold_tilt_deg, 0.0, 20.0, 0.0,
       "greatest pitch on a threshold; once for each crossing"},
      {"hand_wobble_rad_s", &D::hand_wobble_rad_s, 0.0, 2.0, 0.0,
       "standard deviation of the turn rate that the driver's hand adds"},
      {"hand_pauses_per_minute", &D::hand_pauses_per_minute, 0.0, 20.0, 0.0, "how often the driver just stops"},
      {"stated_range_noise_factor", &D::stated_range_noise_factor, 0.01, 100.0, 1.0,
       "robot.yaml states the ranges' noise so many times too large; once a drive", false},
      {"stated_slip_factor", &D::stated_slip_factor, 0.01, 100.0, 1.0,
       "robot.yaml states motion_noise so many times too large; once a drive", false},
  };
}

}  // namespace

const std::vector<KnobEntry>& knob_table() {
  static const std::vector<KnobEntry> table = [] {
    std::vector<KnobEntry> all = robot_knobs();
    for (const std::vector<KnobEntry>& others : {line_knobs(), lidar_knobs()}) {
      all.insert(all.end(), others.begin(), others.end());
    }
    return all;
  }();
  return table;
}

Defects calibrated(Defects defects) {
  defects.left_m_per_tick_error_rel = Knob::normal(0.0, 0.001);
  defects.right_m_per_tick_error_rel = Knob::normal(0.0, 0.001);
  defects.track_width_error_rel = Knob::normal(0.0, 0.01);
  return defects;
}

Defects perfect(Defects defects) {
  for (const KnobEntry& entry : knob_table()) {
    if (!entry.name.starts_with("hand_")) defects.*entry.member = Knob::fixed(entry.off);
  }
  return defects;
}

namespace {

std::optional<double> number(std::string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  double value = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value)) return std::nullopt;
  return value;
}

std::optional<Knob> parse(std::string_view value) {
  for (const std::string_view between : {std::string_view(".."), std::string_view("~")}) {
    const std::size_t at = value.find(between);
    if (at == std::string_view::npos) continue;
    const std::optional<double> first = number(value.substr(0, at));
    const std::optional<double> second = number(value.substr(at + between.size()));
    if (!first || !second) return std::nullopt;
    if (between == "~") return *second >= 0.0 ? std::optional(Knob::normal(*first, *second)) : std::nullopt;
    return *first <= *second ? std::optional(Knob::uniform(*first, *second)) : std::nullopt;
  }
  const std::optional<double> only = number(value);
  return only ? std::optional(Knob::fixed(*only)) : std::nullopt;
}

}  // namespace

const KnobEntry& knob_entry(std::string_view name) {
  const auto& table = knob_table();
  const auto entry = std::find_if(table.begin(), table.end(), [&](const KnobEntry& e) { return e.name == name; });
  if (entry != table.end()) return *entry;
  std::vector<std::string> names;
  names.reserve(table.size());
  for (const KnobEntry& e : table) names.emplace_back(e.name);
  throw InputError(fmt::format("There is no defect \"{}\"; the nearest known one is \"{}\".", name,
                               names[nearest_name(name, names)]));
}

void set_knob(Defects& defects, std::string_view name, std::string_view value) {
  const KnobEntry& entry = knob_entry(name);
  const std::optional<Knob> knob = parse(value);
  if (!knob) {
    throw InputError(fmt::format("\"{}\" is no value for {}: write a number, from..to, or mean~sd.", value, name));
  }
  const double low = knob->a;
  const double high = knob->law == Knob::Law::uniform ? knob->b : knob->a;
  if (low < entry.least || high > entry.greatest) {
    throw InputError(fmt::format("{} = {} lies outside {} to {}.", name, value, entry.least, entry.greatest));
  }
  defects.*entry.member = *knob;
}

std::string to_text(const Knob& knob) {
  switch (knob.law) {
    case Knob::Law::uniform:
      return fmt::format("{}..{}", knob.a, knob.b);
    case Knob::Law::normal:
      return fmt::format("{}~{}", knob.a, knob.b);
    case Knob::Law::fixed:
      break;
  }
  return fmt::format("{}", knob.a);
}

}  // namespace wainscot::simulator
