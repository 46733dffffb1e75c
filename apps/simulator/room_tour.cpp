#include "apps/simulator/room_tour.hpp"

#include <algorithm>
#include <cmath>

namespace wainscot::simulator {

RoomTour::RoomTour(const Layout& layout, const Plan& plan, Random& random)
    : layout_(layout), robot_(plan.robot), grid_(plan, plan.robot.radius_m + 0.08), random_(random) {}

std::vector<Waypoint> RoomTour::make(double least_s, double most_s) {
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
  const double enough = random_.uniform(least_s, most_s);
  // No way from room to room takes less than some seconds.
  const int most_ways = std::max(60, static_cast<int>(most_s / 6.5));
  for (int i = 0; duration_s() < enough && i < most_ways; ++i) {
    go(goals_[static_cast<std::size_t>(random_.below(static_cast<int>(goals_.size())))]);
    if (duration_s() >= enough) go(start);
  }
  return waypoints();
}

double RoomTour::duration_s() const {
  double sum = 5.0;
  for (std::size_t i = 1; i < points_.size(); ++i) {
    sum += norm(points_[i] - points_[i - 1]) / (0.85 * robot_.speed_m_s);
    if (i + 1 == points_.size()) continue;
    const double corner = nearest_angle(angle_of(points_[i + 1] - points_[i]) - angle_of(points_[i] - points_[i - 1]));
    if (std::abs(corner) > 0.5) sum += 1.0 + std::abs(corner) / robot_.turn_rate_rad_s;
  }
  return sum;
}

Person RoomTour::person() {
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

std::size_t RoomTour::first_room() const {
  for (std::size_t i = 0; i < layout_.rooms.size(); ++i) {
    if (layout_.rooms[i].kind == RoomKind::living) return i;
  }
  return 0;
}

template <typename Merit>
std::optional<Point> RoomTour::best_spot(const Room& room, const std::vector<double>& reach, const Merit& merit) {
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

// In each room the spot with the most room around it, and in large rooms one more far from it.
void RoomTour::choose_goals() {
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

// Appends the way to a goal. Doorways are liked differently each time, so that rings are driven round.
void RoomTour::go(Point goal) {
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

std::vector<Waypoint> RoomTour::waypoints() {
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

}  // namespace wainscot::simulator
