#include "apps/simulator/changing_homes.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include <fmt/format.h>

#include "apps/simulator/furnish.hpp"
#include "apps/simulator/hard_home.hpp"
#include "apps/simulator/random.hpp"
#include "apps/simulator/surfaces.hpp"

namespace wainscot::simulator {

namespace {

// Shuts the leaf in most of the pauses between visits that are long enough.
void shut_between(const std::vector<Visit>& near, double duration_s, Random& random, DoorLeaf& leaf) {
  constexpr double kShare = 0.7;
  constexpr double kMargin_s = 3.0;
  constexpr double kLeast_s = 10.0;
  const double open_deg = leaf.open_deg;
  for (std::size_t i = 0; i <= near.size(); ++i) {
    const double from = i == 0 ? 0.0 : near[i - 1].to_s + kMargin_s;
    const double to = i == near.size() ? duration_s : near[i].from_s - kMargin_s;
    if (!random.chance(kShare) || to - from < kLeast_s) continue;
    leaf.moves.push_back({rounded(random.uniform(from, from + 0.3 * (to - from)), 0.1), 0.0});
    if (i < near.size()) leaf.moves.push_back({rounded(random.uniform(to - 0.3 * (to - from), to), 0.1), open_deg});
  }
}

bool shut_doors(std::uint64_t seed, Plan& plan, Random& random) {
  constexpr double kNear_m = 1.4;  // the robot beside the leaf's way
  const Motion motion = drive_route(plan, seed);
  std::size_t doors = 0;
  for (const Passage& passage : passages(plan)) {
    std::optional<DoorLeaf>& leaf = plan.walls[passage.wall].openings[passage.opening].leaf;
    if (!leaf) continue;
    shut_between(visits(motion, passage.middle, kNear_m), motion.duration_s(), random, *leaf);
    doors += leaf->moves.empty() ? 0 : 1;
  }
  return doors >= 3;
}

/// Looks for places that furniture can be moved to.
class Mover {
 public:
  Mover(const Plan& plan, const Motion& motion) : plan_(plan), motion_(motion) {
    Plan bare = plan;
    bare.furniture.clear();
    walls_ = surfaces_of(bare).flat;
  }

  /// Whether the piece can stand at its move's place from its move's time on.
  bool possible(std::size_t index, const FurnitureMove& move) const {
    constexpr double kElsewhere_m = 2.5;
    const Furniture& item = plan_.furniture[index];
    const Point robot = motion_.at(move.from_s).position;
    if (norm(robot - item.centre) < kElsewhere_m || norm(robot - move.centre) < kElsewhere_m) return false;
    Furniture moved = item;
    moved.centre = move.centre;
    moved.heading_deg = move.heading_deg;
    const Polygon outline = footprint(moved);
    return stands_clear(plan_, walls_, index, outline) && clear_of_way(outline, move.from_s);
  }

 private:
  bool clear_of_way(const Polygon& outline, double from_s) const {
    constexpr double kStep_s = 0.1;
    constexpr double kApart_m = 0.1;
    for (double t = from_s; t < motion_.duration_s(); t += kStep_s) {
      const Point robot = motion_.at(t).position;
      if (contains(outline, robot)) return false;
      for (std::size_t k = 0; k < outline.size(); ++k) {
        const double away = distance_m(robot, outline[k], outline[(k + 1) % outline.size()]);
        if (away < plan_.robot.radius_m + kApart_m) return false;
      }
    }
    return true;
  }

  const Plan& plan_;
  const Motion& motion_;
  std::vector<Surface> walls_;
};

bool move_furniture(std::uint64_t seed, Plan& plan, Random& random) {
  constexpr int kTries = 60;
  constexpr std::size_t kMost = 8;
  const Motion motion = drive_route(plan, seed);
  const Mover mover(plan, motion);
  std::size_t moved = 0;
  for (std::size_t i = 0; i < plan.furniture.size() && moved < kMost; ++i) {
    Furniture& item = plan.furniture[i];
    for (int k = 0; k < kTries && item.moves.empty(); ++k) {
      FurnitureMove move;
      move.from_s = rounded(random.uniform(0.3, 0.7) * motion.duration_s(), 0.1);
      const Point way = random.uniform(0.3, 1.5) * direction(random.uniform(-kPi, kPi));
      move.centre = rounded(item.centre + way);
      move.heading_deg = rounded(nearest_angle((item.heading_deg + random.uniform(-25.0, 25.0)) * kDegree_rad) /  //
                                     kDegree_rad,
                                 1.0);
      if (mover.possible(i, move)) item.moves.push_back(move);
    }
    moved += item.moves.empty() ? 0 : 1;
  }
  return moved >= 3;
}

template <typename Change>
Plan first_that_works(std::uint64_t seed, const char* place, const Change& change) {
  for (int attempt = 0;; ++attempt) {
    const std::string stream = fmt::format("{} {}", place, attempt);
    Plan plan = hard_home(seed, stream);
    Random random(seed, "changes of " + stream);
    if (change(seed, plan, random)) return plan;
  }
}

}  // namespace

Plan followed_robot(std::uint64_t seed) {
  Plan plan = hard_home(seed, "followed robot");
  Random random(seed, "followers");
  const int people = 1 + random.below(2);
  double behind_m = rounded(random.uniform(0.8, 1.3), 0.1);
  for (int i = 0; i < people; ++i) {
    Person person;
    person.follows_m = behind_m;
    person.start_s = 3.0;
    plan.people.push_back(person);
    behind_m += rounded(random.uniform(0.5, 0.9), 0.1);
  }
  return plan;
}

Plan closing_doors(std::uint64_t seed) { return first_that_works(seed, "closing doors", shut_doors); }

Plan moved_furniture(std::uint64_t seed) { return first_that_works(seed, "moved furniture", move_furniture); }

}  // namespace wainscot::simulator
