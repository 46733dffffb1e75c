#include "apps/simulator/lidar.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace wainscot::simulator {

namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr double kDepthEdge_m = 0.04;  // a spot that lies on depths further apart than this may answer from between
constexpr int kPersonFace = -2;
constexpr double kMirrorReturn = 0.03;  // of the beams on a mirror, those that its dust answers
constexpr int kMostMirrors = 4;         // on one beam's way

}  // namespace

std::vector<double> beam_angles_deg(const LidarSpec& lidar) {
  const double gaps = lidar.field_deg >= 360.0 ? lidar.beams : lidar.beams - 1;
  const double step = (lidar.clockwise ? -1.0 : 1.0) * lidar.field_deg / gaps;
  std::vector<double> angles;
  angles.reserve(static_cast<std::size_t>(lidar.beams));
  for (int i = 0; i < lidar.beams; ++i) angles.push_back(lidar.first_beam_deg + i * step);
  return angles;
}

Lidar::Lidar(const Plan& plan, const TrueLidar& lidar, const HouseInTime& house, const Motion& motion,
             const People& people, std::uint64_t seed)
    : plan_(plan),
      lidar_(lidar),
      house_(house),
      motion_(motion),
      people_(people),
      tilt_(tilt_on_ridges(plan, motion, seed)),
      holds_(holds_while_carried(motion, seed)),
      seed_(seed),
      noise_(seed, "range_noise"),
      losses_(seed, "losses"),
      edges_(seed, "edges") {
  const Defects& d = plan.defects;
  noise_m_ = d.range_noise_m.draw(seed, "range_noise_m");
  noise_growth_per_m_ = d.range_noise_growth_per_m.draw(seed, "range_noise_growth_per_m");
  noise_per_m_ = d.range_noise_per_m.draw(seed, "range_noise_per_m");
  rounding_m_ = d.range_rounding_m.draw(seed, "range_rounding_m");
  incidence_bias_m_ = d.incidence_bias_m.draw(seed, "incidence_bias_m");
  half_width_rad_ = 0.5 * kDegree_rad * d.beam_width_deg.draw(seed, "beam_width_deg");
  mixed_share_ = d.mixed_return_share.draw(seed, "mixed_return_share");
  dropout_rate_ = d.dropout_rate.draw(seed, "dropout_rate");
  grazing_begin_rad_ = kDegree_rad * d.grazing_loss_begin_deg.draw(seed, "grazing_loss_begin_deg");
  grazing_full_rad_ = kDegree_rad * d.grazing_loss_full_deg.draw(seed, "grazing_loss_full_deg");
  glass_return_rate_ = d.glass_return_rate.draw(seed, "glass_return_rate");
  glass_loss_rate_ = d.glass_loss_rate.draw(seed, "glass_loss_rate");
}

double Lidar::stamp(double true_s, const LidarRevolution& revolution) const {
  return true_s * (1.0 + lidar_.clock_drift_rel) + revolution.late_s;
}

std::vector<ScanRow> Lidar::scans() {
  const LidarSpec& spec = plan_.robot.lidar;
  const std::vector<double> angles = beam_angles_deg(spec);
  std::vector<ScanRow> rows;
  for (const LidarRevolution& revolution : lidar_revolutions(plan_, lidar_, motion_, seed_)) {
    ScanRow row;
    row.time_s = stamp(revolution.start_s, revolution);
    if (!rows.empty()) row.time_s = std::max(row.time_s, rows.back().time_s);
    for (const double angle : angles) {
      const double sweep = spec.all_at_once ? 0.0 : revolution.turn_s * std::abs(angle - angles[0]) / 360.0;
      const double time = revolution.start_s + sweep;
      const double range = measure((spec.mirrored ? -angle : angle) * kDegree_rad, time);
      row.range_m.push_back(static_cast<float>(range));
    }
    if (!revolution.lost) rows.push_back(std::move(row));
  }
  return rows;
}

std::vector<ReturnRow> Lidar::returns() {
  const LidarSpec& spec = plan_.robot.lidar;
  const double sense = spec.clockwise ? -1.0 : 1.0;
  const double per_second = spec.turns_per_s * spec.beams * 360.0 / spec.field_deg;  // samples at a steady rate
  std::vector<ReturnRow> rows;
  double last_stamp = 0.0;
  std::int64_t sample = -1;
  for (const LidarRevolution& revolution : lidar_revolutions(plan_, lidar_, motion_, seed_)) {
    if (sample < 0) sample = static_cast<std::int64_t>(std::ceil(revolution.start_s * per_second));
    for (;; ++sample) {
      const double time = static_cast<double>(sample) / per_second;
      if (time >= revolution.start_s + revolution.turn_s) break;
      const double travel = 360.0 * (time - revolution.start_s) / revolution.turn_s;
      if (travel > spec.field_deg || revolution.lost) continue;
      double angle = spec.first_beam_deg + sense * std::round(travel * 100.0) / 100.0;
      angle -= 360.0 * std::floor(angle / 360.0);
      const double range = measure((spec.mirrored ? -angle : angle) * kDegree_rad, time);
      if (std::isnan(range)) continue;
      last_stamp = std::max(last_stamp, stamp(time, revolution));
      rows.push_back({last_stamp, angle, range});
    }
  }
  return rows;
}

bool Lidar::blind(double angle_rad) const {
  const LidarSpec& spec = plan_.robot.lidar;
  if (spec.blind_from_deg == spec.blind_to_deg) return false;
  const auto whole = [](double deg) { return deg - 360.0 * std::floor(deg / 360.0); };
  return whole(angle_rad / kDegree_rad - spec.blind_from_deg) <= whole(spec.blind_to_deg - spec.blind_from_deg);
}

double Lidar::measure(double angle_rad, double time_s) {
  const LidarSpec& spec = plan_.robot.lidar;
  const MotionState state = motion_.at(time_s);
  const double cosine = std::cos(state.heading_rad);
  const double sine = std::sin(state.heading_rad);
  const Point from = state.position + Point{cosine * lidar_.x_m - sine * lidar_.y_m,  //
                                            sine * lidar_.x_m + cosine * lidar_.y_m};
  const double in_robot = lidar_.heading_rad + angle_rad;
  const Tilt tilt = tilt_[std::min(static_cast<std::size_t>(time_s / kTiltStep_s), tilt_.size() - 1)];
  const Hold hold = holds_.empty() ? Hold()
                                   : holds_[std::min(static_cast<std::size_t>(time_s / kTiltStep_s),  //
                                                     holds_.size() - 1)];
  const double elevation = (tilt.pitch_rad + hold.tilt.pitch_rad) * std::cos(in_robot) +
                           (tilt.roll_rad + hold.tilt.roll_rad) * std::sin(in_robot);
  double bias = 0.0;
  double range = true_range(from, state.heading_rad + in_robot, elevation, spec.height_m + hold.raised_m,
                            moment_at(time_s, state), bias);
  if (blind(angle_rad)) range = spec.min_range_m + 0.02;  // the robot's own mast
  // Each beam takes the same number of random numbers, so that one beam's fate leaves the others' noise alone.
  const double noise = noise_.normal();
  const bool dropped = losses_.chance(dropout_rate_);
  if (dropped || !std::isfinite(range)) return kNone;
  const double sd_m = noise_m_ + noise_growth_per_m_ * range * range + noise_per_m_ * range;
  range = (range + bias + noise * sd_m) * lidar_.range_scale;
  if (spec.range_step_m > 0.0) range = std::round(range / spec.range_step_m) * spec.range_step_m;
  if (rounding_m_ > 0.0) range = std::round(range / rounding_m_) * rounding_m_;
  return range >= spec.min_range_m && range <= spec.max_range_m ? range : kNone;
}

Lidar::Moment Lidar::moment_at(double time_s, const MotionState& state) const {
  Moment moment = {time_s, &house_.at(time_s), {}};
  if (!plan_.people.empty()) moment.legs = people_.legs(time_s);
  // Who carries the robot holds it before the chest.
  if (motion_.is_carried(time_s)) moment.legs.push_back({state.position - 0.4 * direction(state.heading_rad), 0.18});
  return moment;
}

Hit Lidar::first_hit(Point from, Point along, const Moment& moment, double mirror_fate, bool through_glass) const {
  double way = 0.0;
  for (int mirrors = 0;; ++mirrors) {
    Hit hit = moment.house->cast(from, along, plan_.robot.lidar.max_range_m * 1.1 - way, through_glass);
    for (const Leg& leg : moment.legs) {
      const double range = range_to_round(from, along, leg.centre, leg.radius_m);
      if (range < hit.range_m) {
        const double aside = std::abs(cross(along, leg.centre - from)) / leg.radius_m;
        hit = {range, kPersonFace, SurfaceKind::furniture, std::asin(std::min(1.0, aside)), {}};
      }
    }
    hit.range_m += way;
    const bool goes_on = hit.kind == SurfaceKind::mirror && std::isfinite(hit.range_m) && mirror_fate >= kMirrorReturn;
    if (!goes_on || mirrors == kMostMirrors) return hit;
    // A hair in front of the mirror, so that it is not met again.
    from = from + (hit.range_m - way - 1e-6) * along;
    along = 2.0 * dot(along, hit.side) * hit.side - along;
    way = hit.range_m;
  }
}

double Lidar::true_range(Point from, double angle_rad, double elevation_rad, double height_m, const Moment& moment,
                         double& bias_m) {
  const double glass_fate = losses_.uniform();
  const double grazing_fate = losses_.uniform();
  const double mixed_fate = edges_.uniform();
  const double mixed_place = edges_.uniform();

  const Point along = direction(angle_rad);
  // The whole spot has one fate: were its sides stopped by a pane that its middle passed, it would seem to lie on two
  // depths, and answer from between the pane and what is behind it.
  const bool passes_glass = glass_fate >= glass_loss_rate_ + glass_return_rate_;
  Hit hit = first_hit(from, along, moment, glass_fate, false);
  if (hit.kind == SurfaceKind::glass && std::isfinite(hit.range_m)) {
    if (glass_fate < glass_loss_rate_) return kNone;
    if (passes_glass) hit = first_hit(from, along, moment, glass_fate, true);
  }
  double range = hit.range_m;
  bool grazing = false;
  if (hit.incidence_rad > grazing_begin_rad_) {
    const double part = (hit.incidence_rad - grazing_begin_rad_) / (grazing_full_rad_ - grazing_begin_rad_ + 1e-12);
    grazing = grazing_fate < part * part;
  }
  if (hit.face >= 0) {
    bias_m = lidar_.face_bias_m[static_cast<std::size_t>(hit.face)] +
             incidence_bias_m_ * 2.0 * (1.0 - std::cos(hit.incidence_rad));
  }
  if (half_width_rad_ > 0.0 && mixed_fate < mixed_share_) {
    double least = range;
    double greatest = range;
    for (const double side : {-half_width_rad_, half_width_rad_}) {
      const double other = first_hit(from, direction(angle_rad + side), moment, glass_fate, passes_glass).range_m;
      least = std::min(least, other);
      greatest = std::max(greatest, other);
    }
    // On a wall seen at a flat angle the spot is long as well, but the answer is then the wall's own.
    const double slope = 2.0 * half_width_rad_ * least * std::tan(std::min(hit.incidence_rad, 1.5));
    if (std::isfinite(greatest) && greatest - least > kDepthEdge_m + 1.5 * slope) {
      range = least + mixed_place * (greatest - least);
      grazing = false;
      bias_m = 0.0;
    }
  }
  if (elevation_rad < 0.0) {
    const double floor_range = height_m / std::sin(-elevation_rad);
    if (floor_range < range) {
      bias_m = 0.0;
      return floor_range;
    }
  }
  return grazing ? kNone : range / std::cos(elevation_rad);
}

}  // namespace wainscot::simulator
