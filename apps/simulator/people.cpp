#include "apps/simulator/people.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace wainscot::simulator {

namespace {

constexpr double kStep_s = 0.02;
constexpr double kRespect_m = 0.7;  // nearer to the robot than this nobody walks
constexpr double kAside_m = 0.45;   // and whom the robot comes nearer than this steps back
constexpr double kStride_m = 0.55;  // from one foot's place to the other's
constexpr double kApart_m = 0.18;   // the feet, sideways

struct Place {
  Point point;
  Point along;
};

Place place_on_way(const std::vector<Point>& points, double way_m) {
  for (std::size_t i = 0; i + 1 < points.size(); ++i) {
    const double length = norm(points[i + 1] - points[i]);
    if (way_m <= length || i + 2 == points.size()) {
      const Point along = unit(points[i + 1] - points[i]);
      return {points[i] + std::min(way_m, length) * along, along};
    }
    way_m -= length;
  }
  return {points[0], {1.0, 0.0}};
}

double length_m(const std::vector<Point>& points) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < points.size(); ++i) sum += norm(points[i + 1] - points[i]);
  return sum;
}

Point aside(const Person& who, Point person, Point robot) {
  const Point apart = person - robot;
  const double aside_m = kAside_m + who.cart_m / 2.0;
  return norm(apart) < aside_m ? robot + aside_m * unit(apart) : person;
}

}  // namespace

void People::Track::add(Point body, Point along, double walked_m, bool is_here) {
  if (cart_m > 0.0) {
    left.push_back({body, cart_m / 2.0});
    here.push_back(is_here);
    return;
  }
  // Each foot stands while the other swings: a smooth to and fro around the body.
  const double swing = 0.5 * kStride_m * std::sin(kPi * walked_m / kStride_m);
  const Point apart = (kApart_m / 2.0) * left_of(along);
  left.push_back({body + apart + swing * along});
  right.push_back({body - apart - swing * along});
  here.push_back(is_here);
}

People::Track People::follow(const Person& person, const Motion& motion) {
  Track track;
  track.cart_m = person.cart_m;
  double behind_s = 0.0;  // the moment at which the robot was where the follower is now
  double walked = 0.0;
  Point along = direction(motion.at(0.0).heading_rad);
  for (double t = 0.0; t <= motion.duration_s() + kStep_s; t += kStep_s) {
    const Point robot = motion.at(t).position;
    const double at_most_m = 1.5 * person.speed_m_s * kStep_s;
    double step_m = 0.0;
    while (behind_s + kStep_s <= t && norm(motion.at(behind_s).position - robot) > person.follows_m) {
      const Point step = motion.at(behind_s + kStep_s).position - motion.at(behind_s).position;
      if (step_m + norm(step) > at_most_m) break;
      behind_s += kStep_s;
      step_m += norm(step);
      if (norm(step) > 1e-6) along = unit(step);
    }
    walked += step_m;
    const bool here = t >= person.start_s && t <= person.end_s;
    track.add(aside(person, motion.at(behind_s).position, robot), along, walked, here);
  }
  return track;
}

People::People(const Plan& plan, const Motion& motion) {
  for (const Person& person : plan.people) {
    if (person.follows_m > 0.0) {
      tracks_.push_back(follow(person, motion));
      continue;
    }
    Track track;
    track.cart_m = person.cart_m;
    const double whole = length_m(person.waypoints);
    double way = 0.0;
    double walked = 0.0;
    double sense = 1.0;
    double pause = 0.0;
    for (double t = 0.0; t <= motion.duration_s() + kStep_s; t += kStep_s) {
      const Point robot = motion.at(t).position;
      const bool here = t >= person.start_s && t <= person.end_s;
      if (here && pause > 0.0) {
        pause -= kStep_s;
      } else if (here) {
        const double next = std::clamp(way + sense * person.speed_m_s * kStep_s, 0.0, whole);
        const double near = norm(place_on_way(person.waypoints, next).point - robot);
        if (near > kRespect_m + person.cart_m / 2.0 || near > norm(place_on_way(person.waypoints, way).point - robot)) {
          walked += std::abs(next - way);
          way = next;
        }
        if (way <= 0.0 || way >= whole) {
          sense = way <= 0.0 ? 1.0 : -1.0;
          pause = person.pause_s;
        }
      }
      const Place place = place_on_way(person.waypoints, way);
      track.add(aside(person, place.point, robot), place.along, walked, here);
    }
    tracks_.push_back(std::move(track));
  }
}

std::vector<Leg> People::legs(double time_s) const {
  std::vector<Leg> all;
  for (const Track& track : tracks_) {
    const double place = std::clamp(time_s / kStep_s, 0.0, static_cast<double>(track.here.size() - 1));
    const std::size_t i = std::min(static_cast<std::size_t>(place), track.here.size() - 2);
    if (!track.here[i]) continue;
    const double u = place - static_cast<double>(i);
    for (const std::vector<Leg>* leg : {&track.left, &track.right}) {
      if (leg->empty()) continue;  // a cart's
      const Point a = (*leg)[i].centre;
      all.push_back({a + u * ((*leg)[i + 1].centre - a), (*leg)[i].radius_m});
    }
  }
  return all;
}

}  // namespace wainscot::simulator
