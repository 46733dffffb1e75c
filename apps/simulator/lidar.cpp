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

double draw(const Knob& knob, std::uint64_t seed, std::string_view stream) {
  Random random(seed, stream);
  return knob.draw(random);
}

}  // namespace

TrueLidar draw_lidar(const Plan& plan, int faces, std::uint64_t seed) {
  const LidarSpec& spec = plan.robot.lidar;
  const Defects& defects = plan.defects;
  TrueLidar lidar;
  lidar.x_m = spec.x_m + draw(defects.mounting_x_error_m, seed, "mounting_x_error_m");
  lidar.y_m = spec.y_m + draw(defects.mounting_y_error_m, seed, "mounting_y_error_m");
  lidar.heading_rad =
      (spec.heading_deg + draw(defects.mounting_heading_error_deg, seed, "mounting_heading_error_deg")) * kDegree_rad;
  lidar.range_scale = draw(defects.range_scale, seed, "range_scale");
  lidar.turn_s = 1.0 / (spec.turns_per_s * (1.0 + draw(defects.motor_speed_error_rel, seed, "motor_speed_error_rel")));
  lidar.stamp_delay_s = draw(defects.stamp_delay_s, seed, "stamp_delay_s");
  lidar.clock_drift_rel = 1e-6 * draw(defects.clock_drift_ppm, seed, "clock_drift_ppm");
  Random bias(seed, "surface_bias_m");
  for (int i = 0; i < faces; ++i) lidar.face_bias_m.push_back(defects.surface_bias_m.draw(bias));
  return lidar;
}

std::vector<double> beam_angles_deg(const LidarSpec& lidar) {
  const double gaps = lidar.field_deg >= 360.0 ? lidar.beams : lidar.beams - 1;
  const double step = (lidar.clockwise ? -1.0 : 1.0) * lidar.field_deg / gaps;
  std::vector<double> angles;
  angles.reserve(static_cast<std::size_t>(lidar.beams));
  for (int i = 0; i < lidar.beams; ++i) angles.push_back(lidar.first_beam_deg + i * step);
  return angles;
}

std::vector<Tilt> tilt_on_ridges(const Plan& plan, const Motion& motion, std::uint64_t seed) {
  const auto steps = static_cast<std::size_t>(motion.duration_s() / kTiltStep_s) + 1;
  std::vector<Tilt> tilt(steps);
  const double reach = 0.6 * plan.robot.radius_m;  // from the wheels' axle to what carries the nose, and the tail
  constexpr double kRidgeHalf_m = 0.06;
  Random draws(seed, "threshold_tilt_deg");
  for (const Ridge& ridge : ridges(plan)) {
    bool near = false;
    double pitch = 0.0;
    double roll = 0.0;
    for (std::size_t i = 0; i < steps; ++i) {
      const MotionState state = motion.at(static_cast<double>(i) * kTiltStep_s);
      const bool now_near = distance_m(state.position, ridge.from, ridge.to) < reach + kRidgeHalf_m;
      if (now_near && !near) {
        pitch = plan.defects.threshold_tilt_deg.draw(draws) * kDegree_rad;
        roll = 0.4 * pitch * draws.uniform(-1.0, 1.0);
      }
      near = now_near;
      if (!near) continue;
      const auto lift = [&](double ahead_m) {
        const Point carrier = state.position + ahead_m * direction(state.heading_rad);
        const double d = distance_m(carrier, ridge.from, ridge.to) / kRidgeHalf_m;
        return d < 1.0 ? (1.0 - d * d) * (1.0 - d * d) : 0.0;
      };
      const double up = lift(reach) - lift(-reach);
      tilt[i].pitch_rad += pitch * up;
      tilt[i].roll_rad += roll * std::abs(up);
    }
  }
  return tilt;
}

std::vector<Hold> holds_while_carried(const Motion& motion, std::uint64_t seed) {
  constexpr double kRaised_m = 0.9;
  constexpr double kUp_s = 1.0;
  constexpr double kUnsteady_rad = 5.0 * kDegree_rad;
  if (motion.carried().empty()) return {};
  std::vector<Hold> holds(static_cast<std::size_t>(motion.duration_s() / kTiltStep_s) + 1);
  CorrelatedNoise pitch(Random(seed, "carried_pitch"), 0.5);
  CorrelatedNoise roll(Random(seed, "carried_roll"), 0.5);
  for (const Carried& carried : motion.carried()) {
    for (auto i = static_cast<std::size_t>(carried.from_s / kTiltStep_s); i < holds.size(); ++i) {
      const double time_s = static_cast<double>(i) * kTiltStep_s;
      if (time_s > carried.to_s) break;
      const double part = std::clamp(std::min(time_s - carried.from_s, carried.to_s - time_s) / kUp_s, 0.0, 1.0);
      holds[i].raised_m = kRaised_m * part * part * (3.0 - 2.0 * part);
      holds[i].tilt.pitch_rad = kUnsteady_rad * part * pitch.next(kTiltStep_s);
      holds[i].tilt.roll_rad = kUnsteady_rad * part * roll.next(kTiltStep_s);
    }
  }
  return holds;
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
  noise_m_ = draw(d.range_noise_m, seed, "range_noise_m");
  noise_growth_per_m_ = draw(d.range_noise_growth_per_m, seed, "range_noise_growth_per_m");
  half_width_rad_ = 0.5 * kDegree_rad * draw(d.beam_width_deg, seed, "beam_width_deg");
  mixed_share_ = draw(d.mixed_return_share, seed, "mixed_return_share");
  dropout_rate_ = draw(d.dropout_rate, seed, "dropout_rate");
  grazing_begin_rad_ = kDegree_rad * draw(d.grazing_loss_begin_deg, seed, "grazing_loss_begin_deg");
  grazing_full_rad_ = kDegree_rad * draw(d.grazing_loss_full_deg, seed, "grazing_loss_full_deg");
  glass_return_rate_ = draw(d.glass_return_rate, seed, "glass_return_rate");
  glass_loss_rate_ = draw(d.glass_loss_rate, seed, "glass_loss_rate");
}

std::vector<Lidar::Revolution> Lidar::revolutions() {
  const double wander = draw(plan_.defects.motor_speed_wander_rel, seed_, "motor_speed_wander_rel");
  const double jitter = draw(plan_.defects.stamp_jitter_s, seed_, "stamp_jitter_s");
  const double lost_rate = draw(plan_.defects.lost_revolution_rate, seed_, "lost_revolution_rate");
  Random random(seed_, "revolutions");
  std::vector<Revolution> all;
  double start = 0.1 + random.uniform() * lidar_.turn_s;
  for (;;) {
    const double turn = lidar_.turn_s * (1.0 + wander * random.normal());
    if (start + turn > motion_.duration_s() - 0.1) return thinned(all);
    const double late = lidar_.stamp_delay_s + jitter * (random.uniform() - 0.5);
    all.push_back({start, turn, late, random.chance(lost_rate)});
    start += turn;
  }
}

// Lost scans are never logged, so the next one is due at once.
std::vector<Lidar::Revolution> Lidar::thinned(const std::vector<Revolution>& all) const {
  const LidarSpec& spec = plan_.robot.lidar;
  if (spec.scan_every_m <= 0.0 && spec.scan_every_deg <= 0.0) return all;
  std::vector<Revolution> kept;
  double way = 0.0;
  MotionState before = motion_.at(0.0);
  double heading = before.heading_rad;
  for (const Revolution& revolution : all) {
    const MotionState state = motion_.at(revolution.start_s);
    way += norm(state.position - before.position);
    before = state;
    const bool moved = spec.scan_every_m > 0.0 && way >= spec.scan_every_m;
    const bool turned =
        spec.scan_every_deg > 0.0 && std::abs(state.heading_rad - heading) >= spec.scan_every_deg * kDegree_rad;
    if (revolution.lost || !(kept.empty() || moved || turned)) continue;
    kept.push_back(revolution);
    way = 0.0;
    heading = state.heading_rad;
  }
  return kept;
}

double Lidar::stamp(double true_s, const Revolution& revolution) const {
  return true_s * (1.0 + lidar_.clock_drift_rel) + revolution.late_s;
}

std::vector<ScanRow> Lidar::scans() {
  const LidarSpec& spec = plan_.robot.lidar;
  const std::vector<double> angles = beam_angles_deg(spec);
  std::vector<ScanRow> rows;
  for (const Revolution& revolution : revolutions()) {
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
  for (const Revolution& revolution : revolutions()) {
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
  range = (range + bias + noise * (noise_m_ + noise_growth_per_m_ * range * range)) * lidar_.range_scale;
  if (spec.range_step_m > 0.0) range = std::round(range / spec.range_step_m) * spec.range_step_m;
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
  if (hit.face >= 0) bias_m = lidar_.face_bias_m[static_cast<std::size_t>(hit.face)];
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
