#include "apps/simulator/random_house.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "apps/simulator/alike_home.hpp"
#include "apps/simulator/furnish.hpp"
#include "apps/simulator/layout.hpp"
#include "apps/simulator/motion.hpp"
#include "apps/simulator/route_planner.hpp"

namespace wainscot::simulator {

namespace {

double rounded(double value, double step) { return std::round(value / step) * step; }
Point rounded(Point p) { return {rounded(p.x_m, 0.01), rounded(p.y_m, 0.01)}; }

LidarSpec random_lidar(double robot_radius_m, Random& random) {
  LidarSpec lidar;
  const int kind = random.below(4);  // one in four has a field of 240 degrees
  lidar.beams = std::vector<int>{360, 450, 720, 480}[static_cast<std::size_t>(kind)];
  if (kind == 3) {
    lidar.field_deg = 240.0;
    lidar.first_beam_deg = -120.0;
  } else if (random.chance(0.3)) {
    lidar.first_beam_deg = -180.0;
  }
  if (random.chance(0.35)) {
    lidar.clockwise = true;
    lidar.first_beam_deg = kind == 3 ? 120.0 : 180.0;
  }
  lidar.mirrored = random.chance(0.1);
  lidar.turns_per_s = rounded(random.uniform(5.0, 12.0), 0.5);
  lidar.max_range_m = rounded(random.uniform(6.0, 12.0), 0.5);
  lidar.min_range_m = random.chance(0.5) ? 0.12 : 0.15;
  lidar.x_m = rounded(random.uniform(-0.3, 0.5) * robot_radius_m, 0.001);
  lidar.y_m = random.chance(0.7) ? 0.0 : rounded(random.uniform(-0.03, 0.03), 0.001);
  // A narrow field has to look ahead; the others are screwed on as the cable likes it.
  if (kind != 3)
    lidar.heading_deg = std::vector<double>{0.0, 0.0, 0.0, 180.0, 90.0}[static_cast<std::size_t>(random.below(5))];
  lidar.height_m = rounded(random.uniform(0.12, 0.25), 0.01);
  lidar.sweep_stated = random.chance(0.5);
  if (random.chance(0.12)) lidar.range_unit_m = 0.001;
  if (kind != 3 && random.chance(0.12)) {
    lidar.blind_from_deg = 170.0;
    lidar.blind_to_deg = -175.0;
  }
  return lidar;
}

RobotSpec random_robot(Random& random) {
  RobotSpec robot;
  robot.track_width_m = rounded(random.uniform(0.2, 0.4), 0.001);
  robot.radius_m = rounded(robot.track_width_m / 2.0 + random.uniform(0.03, 0.05), 0.005);
  const double tick = std::exp(random.uniform(std::log(5e-5), std::log(5e-4)));
  robot.left_m_per_tick = tick * (1.0 + random.uniform(-0.005, 0.005));
  robot.right_m_per_tick = tick * (1.0 + random.uniform(-0.005, 0.005));
  if (random.chance(0.1)) robot.left_m_per_tick = -robot.left_m_per_tick;
  if (random.chance(0.15)) robot.counter_bits = 16;
  robot.wheel_rate_hz = rounded(random.uniform(20.0, 100.0), 5.0);
  robot.speed_m_s = rounded(random.uniform(0.2, 0.5), 0.01);
  robot.acceleration_m_s2 = rounded(random.uniform(0.3, 0.8), 0.05);
  robot.turn_rate_rad_s = rounded(random.uniform(0.8, 1.6), 0.05);
  robot.gyro = random.chance(0.25);
  robot.gyro_rate_hz = random.chance(0.5) ? 100.0 : 50.0;
  robot.lidar = random_lidar(robot.radius_m, random);
  if (random.chance(0.08)) robot.motion_log = MotionLog::odometry;
  if (random.chance(0.12)) robot.lidar_log = LidarLog::returns;
  return robot;
}

void lay_floors(const Layout& layout, Plan& plan, Random& random) {
  static const std::vector<std::string> names = {"wood", "carpet", "tiles"};
  plan.floor = "wood";
  for (const Room& room : layout.rooms) {
    const bool wet = room.kind == RoomKind::bath || room.kind == RoomKind::kitchen;
    const bool soft = room.kind == RoomKind::bedroom && random.chance(0.5);
    if (wet && random.chance(0.8)) plan.floors.push_back({"tiles", room.outline});
    if (soft) plan.floors.push_back({"carpet", room.outline});
    if (room.kind == RoomKind::living || (room.kind == RoomKind::office && random.chance(0.5))) {
      const Point along = room.outline[1] - room.outline[0];
      const Point centre = centroid(room.outline) + Point{random.uniform(-0.4, 0.4), random.uniform(-0.4, 0.4)};
      // One draw a statement: the order of a call's arguments is the compiler's affair.
      const double length = random.uniform(1.6, 2.6);
      const double width = random.uniform(1.2, 1.8);
      Polygon rug = rectangle(centre, length, width, angle_of(along));
      for (Point& p : rug) p = rounded(p);
      plan.floors.push_back({"carpet", rug});
    }
  }
}

/// Finds the drive.
class RouteMaker {
 public:
  RouteMaker(const Layout& layout, const Plan& plan, Random& random)
      : layout_(layout), robot_(plan.robot), grid_(plan, plan.robot.radius_m + 0.08), random_(random) {}

  std::vector<Waypoint> make() {
    choose_goals();
    if (goals_.empty()) return {};
    const Point start = goals_[0];
    points_ = {start};
    std::vector<Point> rest(goals_.begin() + 1, goals_.end());
    while (!rest.empty()) {
      const std::vector<double> cost = grid_.costs_from(points_.back());
      const auto nearest = std::min_element(rest.begin(), rest.end(), [&](Point a, Point b) {
        return cost[static_cast<std::size_t>(grid_.cell(a))] < cost[static_cast<std::size_t>(grid_.cell(b))];
      });
      go(*nearest);
      rest.erase(nearest);
    }
    go(start);
    const double enough = random_.uniform(200.0, 380.0);
    for (int i = 0; duration_s() < enough && i < 60; ++i) {
      go(goals_[static_cast<std::size_t>(random_.below(static_cast<int>(goals_.size())))]);
      if (duration_s() >= enough) go(start);
    }
    return waypoints();
  }

  double duration_s() const {
    double sum = 5.0;
    for (std::size_t i = 1; i < points_.size(); ++i) {
      sum += norm(points_[i] - points_[i - 1]) / (0.85 * robot_.speed_m_s);
      if (i + 1 == points_.size()) continue;
      const double corner =
          nearest_angle(angle_of(points_[i + 1] - points_[i]) - angle_of(points_[i] - points_[i - 1]));
      if (std::abs(corner) > 0.5) sum += 1.0 + std::abs(corner) / robot_.turn_rate_rad_s;
    }
    return sum;
  }

  /// Whether the drive passes every room.
  bool everywhere() const { return everywhere_; }

  /// Somebody who walks where the robot could drive.
  Person person() {
    Person person;
    const auto some = [&] { return goals_[static_cast<std::size_t>(random_.below(static_cast<int>(goals_.size())))]; };
    person.waypoints = {some()};
    for (int i = 0; i < 2; ++i) {
      const auto way = grid_.way(person.waypoints.back(), some(), nullptr);
      if (way) person.waypoints.insert(person.waypoints.end(), way->begin() + 1, way->end());
    }
    for (Point& p : person.waypoints) p = rounded(p);
    person.speed_m_s = rounded(random_.uniform(0.5, 1.1), 0.05);
    person.start_s = rounded(random_.uniform(5.0, 90.0), 1.0);
    person.end_s = person.start_s + rounded(random_.uniform(30.0, 120.0), 1.0);
    person.pause_s = rounded(random_.uniform(2.0, 10.0), 1.0);
    return person;
  }

 private:
  // In each room the spot with the most room around it, and in large rooms one more far from it.
  void choose_goals() {
    std::vector<double> reach;
    for (std::size_t order = 0; order < layout_.rooms.size(); ++order) {
      const Room& room = layout_.rooms[(order + first_room()) % layout_.rooms.size()];
      const std::optional<Point> first = best_spot(room, reach, [&](Point p) { return grid_.clearance_m(p); });
      if (!first) {
        everywhere_ = false;
        continue;
      }
      if (goals_.empty()) reach = grid_.costs_from(*first);
      goals_.push_back(*first);
      if (area_m2(room.outline) < 13.0) continue;
      const std::optional<Point> second =
          best_spot(room, reach, [&](Point p) { return std::min(0.6, grid_.clearance_m(p)) + 0.3 * norm(p - *first); });
      if (second && norm(*second - *first) > 1.2) goals_.push_back(*second);
    }
  }

  std::size_t first_room() const {
    for (std::size_t i = 0; i < layout_.rooms.size(); ++i) {
      if (layout_.rooms[i].kind == RoomKind::living) return i;
    }
    return 0;
  }

  template <typename Merit>
  std::optional<Point> best_spot(const Room& room, const std::vector<double>& reach, const Merit& merit) {
    std::optional<Point> best;
    double most = 0.0;
    for (int i = 0; i < grid_.cells(); ++i) {
      const Point p = grid_.centre(i);
      if (grid_.clearance_m(p) < robot_.radius_m + 0.12 || !contains(room.outline, p)) continue;
      if (!reach.empty() && !std::isfinite(reach[static_cast<std::size_t>(i)])) continue;
      const double value = merit(p) * random_.uniform(0.8, 1.0);
      if (value > most) {
        most = value;
        best = p;
      }
    }
    return best;
  }

  // Appends the way to a goal. Doorways are liked differently each time, so that rings are driven round.
  void go(Point goal) {
    std::vector<double> dislikes;
    for (std::size_t i = 0; i < layout_.doorways.size(); ++i) dislikes.push_back(random_.uniform(1.0, 9.0));
    const auto way = grid_.way(points_.back(), goal, [&](Point p) {
      for (std::size_t i = 0; i < dislikes.size(); ++i) {
        if (norm(p - layout_.doorways[i].centre) < 0.5) return dislikes[i];
      }
      return 1.0;
    });
    if (way) points_.insert(points_.end(), way->begin() + 1, way->end());
  }

  std::vector<Waypoint> waypoints() {
    std::vector<Waypoint> route;
    for (const Point p : points_) {
      Waypoint w;
      w.point = rounded(p);
      w.turn_on_spot = random_.chance(0.15);
      if (random_.chance(0.05)) w.stop_s = rounded(random_.uniform(1.0, 4.0), 0.5);
      if (route.empty() || norm(route.back().point - w.point) > 0.03) route.push_back(w);
    }
    return route;
  }

  const Layout& layout_;
  const RobotSpec& robot_;
  FloorGrid grid_;
  Random& random_;
  std::vector<Point> goals_;
  std::vector<Point> points_;
  bool everywhere_ = true;
};

// Brings the drive to 3 to 8 minutes, if its speed can.
bool fit_speed(Plan& plan, std::uint64_t number) {
  constexpr double kLeast_s = 190.0;
  constexpr double kMost_s = 460.0;
  for (int attempt = 0; attempt < 4; ++attempt) {
    const double duration = drive_route(plan, number).duration_s();
    if (duration >= kLeast_s && duration <= kMost_s) return true;
    plan.robot.speed_m_s = rounded(plan.robot.speed_m_s * (duration > kMost_s ? 1.12 : 0.9), 0.01);
    if (plan.robot.speed_m_s > 0.5 || plan.robot.speed_m_s < 0.2) return false;
  }
  return false;
}

}  // namespace

Plan random_house(std::uint64_t number) {
  // A home whose robot cannot get about properly is thrown away, and another one tried.
  for (int attempt = 0;; ++attempt) {
    Random random(number, fmt::format("random_house {}", attempt));
    Plan plan;
    plan.name = fmt::format("random house {}", number);
    plan.robot = random_robot(random);
    LayoutOptions options;
    options.area_m2 = random.uniform(60.0, 200.0);
    options.least_door_m = rounded(std::max(0.7, 2.0 * plan.robot.radius_m + 0.3), 0.01);
    const double fullness = random.uniform();
    AlikeHome home;
    if (random.chance(0.1)) {
      home = alike_home(options, plan.robot.radius_m, fullness, random);
    } else {
      home.layout = random_layout(options, random);
      home.furniture = furnish(home.layout, plan.robot.radius_m, fullness, random);
    }
    const Layout& layout = home.layout;
    plan.walls = layout.walls;
    plan.furniture = home.furniture;
    lay_floors(layout, plan, random);
    RouteMaker maker(layout, plan, random);
    plan.route = maker.make();
    if (!maker.everywhere() || plan.route.size() < 10 || !fit_speed(plan, number)) continue;
    const int people = std::vector<int>{0, 0, 1, 1, 2}[static_cast<std::size_t>(random.below(5))];
    for (int i = 0; i < people; ++i) plan.people.push_back(maker.person());
    return plan;
  }
}

}  // namespace wainscot::simulator
