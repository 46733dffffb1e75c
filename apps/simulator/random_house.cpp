#include "apps/simulator/random_house.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "apps/simulator/alike_home.hpp"
#include "apps/simulator/furnish.hpp"
#include "apps/simulator/layout.hpp"
#include "apps/simulator/motion.hpp"
#include "apps/simulator/random_robot.hpp"
#include "apps/simulator/room_tour.hpp"

namespace wainscot::simulator {

namespace {

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

// Brings the drive to the wanted time, if its speed can.
bool fit_speed(Plan& plan, std::uint64_t number, const HouseOptions& options) {
  for (int attempt = 0; attempt < 4; ++attempt) {
    const double duration = drive_route(plan, number).duration_s();
    if (duration >= options.least_drive_s && duration <= options.most_drive_s) return true;
    plan.robot.speed_m_s = rounded(plan.robot.speed_m_s * (duration > options.most_drive_s ? 1.12 : 0.9), 0.01);
    if (plan.robot.speed_m_s > 0.5 || plan.robot.speed_m_s < 0.2) return false;
  }
  return false;
}

}  // namespace

Plan random_house(std::uint64_t number, const HouseOptions& house) {
  // A home whose robot cannot get about properly is thrown away, and another one tried.
  for (int attempt = 0;; ++attempt) {
    Random random(number, fmt::format("random_house {}", attempt));
    Plan plan;
    plan.name = fmt::format("random house {}", number);
    plan.robot = random_robot(random);
    LayoutOptions options;
    options.area_m2 = random.uniform(house.least_area_m2, house.most_area_m2);
    options.least_door_m = rounded(std::max(0.7, 2.0 * plan.robot.radius_m + 0.3), 0.01);
    const double fullness = random.uniform();
    AlikeHome home;
    if (random.chance(house.alike_share)) {
      home = alike_home(options, plan.robot.radius_m, fullness, random);
    } else {
      home.layout = random_layout(options, random);
      home.furniture = furnish(home.layout, plan.robot.radius_m, fullness, random);
    }
    const Layout& layout = home.layout;
    plan.walls = layout.walls;
    plan.furniture = home.furniture;
    lay_floors(layout, plan, random);
    RoomTour tour(layout, plan, random);
    plan.route = tour.make(house.least_tour_s, house.most_tour_s);
    if (!tour.everywhere() || plan.route.size() < 10 || !fit_speed(plan, number, house)) continue;
    if (!house.people) return plan;
    const int people = std::vector<int>{0, 0, 1, 1, 2}[static_cast<std::size_t>(random.below(5))];
    for (int i = 0; i < people; ++i) plan.people.push_back(tour.person());
    return plan;
  }
}

}  // namespace wainscot::simulator
