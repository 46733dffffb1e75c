#include "apps/simulator/odometry_errors.hpp"

#include <cmath>

#include "apps/simulator/geometry.hpp"

namespace wainscot::simulator {

namespace {

constexpr double kStretch_m = 1.0;
constexpr double kStretch_rad = kPi / 4.0;
constexpr double kSlip_s = 1.0;  // about as long as from one scan to the next

}  // namespace

OdometryErrors::OdometryErrors(const Defects& defects, std::uint64_t seed)
    : defects_(defects), stretches_(seed, "odometry_stretches"), slips_(seed, "odometry_slips_per_100m") {
  const Defects& d = defects;
  speed_squared_rel_ = d.slip_speed_squared_rel.draw(seed, "slip_speed_squared_rel");
  turn_squared_rel_ = d.slip_turn_squared_rel.draw(seed, "slip_turn_squared_rel");
  lost_rel_ = d.odometry_way_lost_rel.draw(seed, "odometry_way_lost_rel");
  way_error_rel_ = d.odometry_way_error_rel.draw(seed, "odometry_way_error_rel");
  turn_error_rad_ = kDegree_rad * d.odometry_turn_error_deg.draw(seed, "odometry_turn_error_deg");
  freedom_ = d.odometry_tail_freedom.draw(seed, "odometry_tail_freedom");
  slips_per_m_ = 0.01 * d.odometry_slips_per_100m.draw(slips_);
  any_ = speed_squared_rel_ != 0.0 || turn_squared_rel_ != 0.0 || lost_rel_ != 0.0 || way_error_rel_ != 0.0 ||
         turn_error_rad_ != 0.0 || slips_per_m_ > 0.0;
}

double OdometryErrors::tailed() { return freedom_ > 0.0 ? stretches_.student_t(freedom_) : stretches_.normal(); }

CountedMotion OdometryErrors::next(double speed_m_s, double turn_rate_rad_s, double step_s) {
  if (!any_) return {speed_m_s, turn_rate_rad_s};
  const double stretch = (std::abs(speed_m_s) / kStretch_m + std::abs(turn_rate_rad_s) / kStretch_rad) * step_s;
  if (stretch_left_ <= 0.0) {
    way_rel_ = way_error_rel_ * tailed();
    turn_rad_ = turn_error_rad_ * tailed();
    stretch_left_ += 1.0;
  }
  stretch_left_ -= stretch;
  CountedMotion counted;
  counted.speed_m_s =
      speed_m_s * (1.0 - lost_rel_) * (1.0 + way_rel_) * (1.0 + speed_squared_rel_ * speed_m_s * speed_m_s);
  counted.turn_rate_rad_s =
      turn_rate_rad_s * (1.0 + turn_squared_rel_ * turn_rate_rad_s * turn_rate_rad_s) + turn_rad_ * stretch / step_s;
  if (slip_left_s_ <= 0.0 && slips_.chance(slips_per_m_ * std::abs(speed_m_s) * step_s)) {
    slip_left_s_ = kSlip_s;
    slip_ = {defects_.odometry_slip_m.draw(slips_) / kSlip_s,
             kDegree_rad * defects_.odometry_slip_deg.draw(slips_) / kSlip_s};
  }
  if (slip_left_s_ > 0.0) {
    slip_left_s_ -= step_s;
    counted.speed_m_s += slip_.speed_m_s;
    counted.turn_rate_rad_s += slip_.turn_rate_rad_s;
  }
  return counted;
}

}  // namespace wainscot::simulator
