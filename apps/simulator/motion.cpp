#include "apps/simulator/motion.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>

#include "apps/simulator/lines.hpp"
#include "core/errors.hpp"

namespace wainscot::simulator {

namespace {

constexpr double kLookAhead_m = 0.16;
constexpr double kSharp_rad = 50.0 * kDegree_rad;  // corners above are turned on the spot
constexpr double kAngularAcceleration_rad_s2 = 4.0;
constexpr double kWobbleCorrelation_s = 0.6;

/// A part of the route that is driven without stopping.
struct RouteLeg {
  std::vector<Point> points;
  double stop_s = 0.0;                      ///< at its end
  std::optional<Lift> lift = std::nullopt;  ///< and then
};

std::vector<RouteLeg> route_legs(const std::vector<Waypoint>& route) {
  std::vector<Waypoint> clean;
  for (const Waypoint& w : route) {
    if (!clean.empty() && !clean.back().lift && norm(w.point - clean.back().point) < 0.01) {
      clean.back().lift = w.lift;
      clean.back().stop_s = std::max(clean.back().stop_s, w.stop_s);
    } else {
      clean.push_back(w);
    }
  }
  if (clean.size() < 2) throw InputError("The route needs at least two different waypoints.");
  std::vector<RouteLeg> all(1);
  for (std::size_t i = 0; i < clean.size(); ++i) {
    all.back().points.push_back(clean[i].point);
    if (i == 0 || i + 1 == clean.size()) continue;
    const Point before = clean[i].point - clean[i - 1].point;
    const Point after = clean[i + 1].point - clean[i].point;
    const double corner = std::abs(std::atan2(cross(before, after), dot(before, after)));
    if (clean[i].lift) {
      all.back().stop_s = clean[i].stop_s;
      all.back().lift = clean[i].lift;
      all.push_back({{clean[i].lift->way.back()}});
      continue;
    }
    if (clean[i].stop_s > 0.0 || clean[i].turn_on_spot || corner > kSharp_rad) {
      all.back().stop_s = clean[i].stop_s;
      all.push_back({{clean[i].point}});
    }
  }
  all.back().stop_s = clean.back().stop_s;
  return all;
}

Point place_on(const std::vector<Point>& points, double way_m) {
  for (std::size_t i = 1; i < points.size(); ++i) {
    const double length = norm(points[i] - points[i - 1]);
    if (way_m <= length) return points[i - 1] + way_m * unit(points[i] - points[i - 1]);
    way_m -= length;
  }
  return points.back();
}

/// The driver: keeps the true state and takes one step at a time.
class Driver {
 public:
  Driver(const Plan& plan, std::uint64_t seed)
      : robot_(plan.robot),
        slips_(plan.slips),
        crossings_(plan.slips.size()),
        follower_(plan, seed),
        hand_(Random(seed, "hand"), kWobbleCorrelation_s),
        foot_(Random(seed, "foot"), 1.0),
        pauses_(seed, "pauses") {
    Random draws(seed, "hand_wobble_rad_s");
    wobble_rad_s_ = plan.defects.hand_wobble_rad_s.draw(draws);
    pauses_per_s_ = plan.defects.hand_pauses_per_minute.draw(draws) / 60.0;
  }

  void start(Point position, double heading_rad) {
    now_.position = position;
    now_.heading_rad = heading_rad;
    states_.push_back(now_);
  }

  void stand(double time_s) {
    for (double t = 0.0; t < time_s; t += kMotionStep_s) step(0.0, 0.0);
  }

  void turn_to(Point target) {
    const double sharpness = 3.0;  // 1/s: how eagerly the hand slows the turn down near its end
    for (int i = 0; i < 20000; ++i) {
      const double rest = nearest_angle(angle_of(target - now_.position) - now_.heading_rad);
      if (std::abs(rest) < 0.03 && std::abs(now_.turn_rate_rad_s) < 0.15) return;
      step(0.0, std::clamp(sharpness * rest, -robot_.turn_rate_rad_s, robot_.turn_rate_rad_s));
    }
  }

  void follow(const std::vector<Point>& points) {
    std::size_t leg = 0;
    for (int i = 0; i < 2000000; ++i) {
      // On to the next leg once its near end is passed, seen along the leg.
      while (leg + 2 < points.size() && along(points, leg) >= norm(points[leg + 1] - points[leg])) ++leg;
      const double rest = rest_m(points, leg);
      if (rest < 0.005 || (rest < 0.03 && now_.speed_m_s < 0.01)) break;
      steer(points, leg, rest);
      watch_slips();
    }
    while (std::abs(now_.speed_m_s) > 1e-3 || std::abs(now_.turn_rate_rad_s) > 1e-2) step(0.0, 0.0);
  }

  // Up, along the way at a walk, turning steadily, and down.
  void carry(const Lift& lift) {
    constexpr double kUpOrDown_s = 1.0;
    constexpr double kWalk_m_s = 0.9;
    carried_.push_back({time_s(), 0.0});
    now_.speed_m_s = now_.turn_rate_rad_s = 0.0;
    stand(kUpOrDown_s);
    std::vector<Point> points = {now_.position};
    points.insert(points.end(), lift.way.begin(), lift.way.end());
    double whole = 0.0;
    for (std::size_t i = 1; i < points.size(); ++i) whole += norm(points[i] - points[i - 1]);
    const double duration = std::max(whole / kWalk_m_s, 1.0);
    const double from_rad = now_.heading_rad;
    const double turn = nearest_angle(lift.heading_deg * kDegree_rad - from_rad);
    const int steps = static_cast<int>(std::ceil(duration / kMotionStep_s));
    for (int i = 1; i <= steps; ++i) {
      const double part = static_cast<double>(i) / steps;
      now_.position = place_on(points, part * whole);
      now_.heading_rad = from_rad + part * turn;
      now_.turn_rate_rad_s = turn / duration;
      states_.push_back(now_);
    }
    now_.turn_rate_rad_s = 0.0;
    stand(kUpOrDown_s);
    carried_.back().to_s = time_s();
  }

  Motion take() { return Motion(std::move(states_), std::move(astray_), std::move(carried_)); }

 private:
  double time_s() const { return static_cast<double>(states_.size() - 1) * kMotionStep_s; }

  // Counts crossings of the places where the robot slips, and slips.
  void watch_slips() {
    if (sliding_m_ > 0.0) {
      sliding_m_ -= now_.speed_m_s * kMotionStep_s;
      // A turn on the spot in between is another part of the slide: only driving on slides.
      if (time_s() - astray_.back().to_s > 1.5 * kMotionStep_s) {
        astray_.push_back(astray_.back());
        astray_.back().from_s = time_s() - kMotionStep_s;
      }
      astray_.back().to_s = time_s();
    }
    for (std::size_t i = 0; i < slips_.size(); ++i) {
      const bool near = norm(now_.position - slips_[i].at) < slips_[i].radius_m;
      const bool comes = near && !crossings_[i].near;
      crossings_[i].near = near;
      if (comes && ++crossings_[i].count == slips_[i].crossing && sliding_m_ <= 0.0) slip(slips_[i]);
    }
  }

  void slip(const WheelSlip& slip) {
    const double most = std::max(std::abs(slip.left_m), std::abs(slip.right_m));
    if (most == 0.0) return;
    if (std::min(slip.left_m, slip.right_m) < 0.0) {
      sliding_m_ = most;
      astray_.push_back({time_s(), time_s(), -slip.left_m / most, -slip.right_m / most, 0.0, 0.0});
      return;
    }
    const double duration = most / robot_.speed_m_s;
    while (std::abs(now_.speed_m_s) > 1e-3 || std::abs(now_.turn_rate_rad_s) > 1e-2) step(0.0, 0.0);
    astray_.push_back({time_s(), time_s() + duration, 0.0, 0.0, slip.left_m / duration, slip.right_m / duration});
    stand(duration);
  }

  double along(const std::vector<Point>& points, std::size_t leg) const {
    return dot(now_.position - points[leg], unit(points[leg + 1] - points[leg]));
  }

  double rest_m(const std::vector<Point>& points, std::size_t leg) const {
    double rest = norm(points[leg + 1] - points[leg]) - along(points, leg);
    for (std::size_t i = leg + 1; i + 1 < points.size(); ++i) rest += norm(points[i + 1] - points[i]);
    return rest;
  }

  // The point `ahead_m` further along the route, which goes straight on beyond its end.
  Point ahead(const std::vector<Point>& points, std::size_t leg, double ahead_m) const {
    double s = along(points, leg) + ahead_m;
    while (leg + 2 < points.size() && s > norm(points[leg + 1] - points[leg])) {
      s -= norm(points[leg + 1] - points[leg]);
      ++leg;
    }
    return points[leg] + s * unit(points[leg + 1] - points[leg]);
  }

  void steer(const std::vector<Point>& points, std::size_t leg, double rest) {
    Point aim = ahead(points, leg, kLookAhead_m);
    const Point leg_way = points[leg + 1] - points[leg];
    const FloorLine* const line = follower_.line_at(aim, leg_way);
    if (line != nullptr) aim = follower_.drawn_to(*line, aim, leg_way, now_.speed_m_s * kMotionStep_s);
    const double error = nearest_angle(angle_of(aim - now_.position) - now_.heading_rad);
    if (pause_left_s_ <= 0.0 && pauses_.chance(pauses_per_s_ * kMotionStep_s)) {
      pause_left_s_ = pauses_.uniform(1.0, 4.0);
    }
    double speed = robot_.speed_m_s * (1.0 + 0.06 * foot_.next(kMotionStep_s));
    speed *= std::max(0.25, 1.0 - 1.2 * std::abs(error));
    speed = std::min(speed, std::sqrt(2.0 * 0.6 * robot_.acceleration_m_s2 * std::max(rest, 0.0)) + 0.004);
    if (pause_left_s_ > 0.0) {
      pause_left_s_ -= kMotionStep_s;
      speed = 0.0;
    }
    const double hand = hand_.next(kMotionStep_s);  // rests while the robot follows a line by itself
    const double wobble = line != nullptr ? 0.0 : wobble_rad_s_ * hand * now_.speed_m_s / robot_.speed_m_s;
    const double turn = 2.0 * now_.speed_m_s * std::sin(error) / kLookAhead_m + wobble;
    step(speed, std::clamp(turn, -robot_.turn_rate_rad_s, robot_.turn_rate_rad_s));
  }

  // One step towards the wanted speeds, as fast as the motors can.
  void step(double speed_m_s, double turn_rate_rad_s) {
    const double most_speed = robot_.acceleration_m_s2 * kMotionStep_s;
    const double most_turn = kAngularAcceleration_rad_s2 * kMotionStep_s;
    MotionState next = now_;
    next.speed_m_s += std::clamp(speed_m_s - now_.speed_m_s, -most_speed, most_speed);
    next.turn_rate_rad_s += std::clamp(turn_rate_rad_s - now_.turn_rate_rad_s, -most_turn, most_turn);
    const double turned = 0.5 * (now_.turn_rate_rad_s + next.turn_rate_rad_s) * kMotionStep_s;
    const double moved = 0.5 * (now_.speed_m_s + next.speed_m_s) * kMotionStep_s;
    next.position = now_.position + moved * direction(now_.heading_rad + turned / 2.0);
    next.heading_rad = now_.heading_rad + turned;
    now_ = next;
    states_.push_back(now_);
  }

  struct Crossings {
    bool near = false;
    int count = 0;
  };

  const RobotSpec& robot_;
  const std::vector<WheelSlip>& slips_;
  std::vector<Crossings> crossings_;
  double sliding_m_ = 0.0;  ///< way that is left of a slide
  std::vector<WheelsAstray> astray_;
  std::vector<Carried> carried_;
  LineFollower follower_;
  CorrelatedNoise hand_;
  CorrelatedNoise foot_;
  Random pauses_;
  double wobble_rad_s_ = 0.0;
  double pauses_per_s_ = 0.0;
  double pause_left_s_ = 0.0;
  MotionState now_;
  std::vector<MotionState> states_;
};

}  // namespace

MotionState Motion::at(double time_s) const {
  const double place = std::clamp(time_s / kMotionStep_s, 0.0, static_cast<double>(states_.size() - 1));
  const std::size_t i = std::min(static_cast<std::size_t>(place), states_.size() - 2);
  const double u = place - static_cast<double>(i);
  const MotionState& a = states_[i];
  const MotionState& b = states_[i + 1];
  return {a.position + u * (b.position - a.position), a.heading_rad + u * (b.heading_rad - a.heading_rad),
          a.speed_m_s + u * (b.speed_m_s - a.speed_m_s),
          a.turn_rate_rad_s + u * (b.turn_rate_rad_s - a.turn_rate_rad_s)};
}

bool Motion::is_carried(double time_s) const {
  return std::any_of(carried_.begin(), carried_.end(),
                     [time_s](const Carried& c) { return time_s >= c.from_s && time_s <= c.to_s; });
}

Motion drive_route(const Plan& plan, std::uint64_t seed) {
  const std::vector<RouteLeg> all = route_legs(plan.route);
  Driver driver(plan, seed);
  driver.start(all[0].points[0], angle_of(all[0].points[1] - all[0].points[0]));
  driver.stand(1.5);
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (i > 0) driver.turn_to(all[i].points[1]);
    driver.follow(all[i].points);
    driver.stand(all[i].stop_s);
    if (all[i].lift) driver.carry(*all[i].lift);
  }
  driver.stand(1.5);
  return driver.take();
}

}  // namespace wainscot::simulator
