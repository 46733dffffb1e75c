#include "apps/simulator/calibration_runs.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "apps/simulator/motion.hpp"
#include "apps/simulator/simulate.hpp"
#include "apps/simulator/write_drive.hpp"

namespace wainscot::simulator {

namespace {

constexpr double kStraight_m = 2.0;
constexpr double kTriangle_m = 1.5;
// A robot that is driven by hand, or by constants that are not calibrated yet, hardly ends where it should.
constexpr double kTurnAstray_rad = 1.5 * kDegree_rad;
constexpr double kCurveAstray_rad_m = 1.0 * kDegree_rad;

/// A way ahead or a turn on the spot.
struct Leg {
  double way_m = 0.0;
  double turn_rad = 0.0;
};

/// The true motion of a run: legs one after another, each from rest to rest.
class RunDriver {
 public:
  RunDriver(const RobotSpec& robot, Random random) : robot_(robot), random_(random) { stand(0.3); }

  void drive(Leg leg) {
    const bool turning = leg.way_m == 0.0;
    if (turning) leg.turn_rad += kTurnAstray_rad * random_.normal();
    if (!turning) leg.turn_rad += kCurveAstray_rad_m * leg.way_m * random_.normal();
    const double goal = turning ? leg.turn_rad : leg.way_m;
    const double most = turning ? robot_.turn_rate_rad_s : robot_.speed_m_s;
    const double acceleration = turning ? 4.0 : robot_.acceleration_m_s2;
    // From rest to `most`, on, and back to rest; a short leg never reaches it.
    const double top = std::min(most, std::sqrt(std::abs(goal) * acceleration));
    const double rise_s = top / acceleration;
    const double whole_s = std::abs(goal) / top + rise_s;
    const auto steps = std::max(1, static_cast<int>(std::ceil(whole_s / kMotionStep_s)));
    const double step_s = whole_s / steps;
    double done = 0.0;
    for (int i = 1; i <= steps; ++i) {
      const double t = i * step_s;
      const double rising = std::min(t, rise_s);
      const double falling = std::max(0.0, t - (whole_s - rise_s));
      const double way = 0.5 * acceleration * rising * rising + top * std::max(0.0, t - rise_s) -
                         0.5 * acceleration * falling * falling;
      const double part = way / std::abs(goal) - done;
      done += part;
      const double rate = (acceleration * rising - acceleration * falling) / std::abs(goal) * step_s / kMotionStep_s;
      advance(part * leg.way_m, part * leg.turn_rad, rate * leg.way_m, rate * leg.turn_rad);
    }
    stand(0.3);
  }

  Motion motion() const { return Motion(states_); }
  const MotionState& end() const { return states_.back(); }

 private:
  /// One step, and the speeds at its end.
  void advance(double way_m, double turn_rad, double speed_m_s, double turn_rate_rad_s) {
    MotionState state = states_.back();
    state.position = state.position + way_m * direction(state.heading_rad + 0.5 * turn_rad);
    state.heading_rad += turn_rad;
    state.speed_m_s = speed_m_s;
    state.turn_rate_rad_s = turn_rate_rad_s;
    states_.push_back(state);
  }
  void stand(double time_s) {
    if (states_.empty()) states_.push_back({});
    for (int i = 0; i < static_cast<int>(time_s / kMotionStep_s); ++i) advance(0.0, 0.0, 0.0, 0.0);
  }

  RobotSpec robot_;
  Random random_;
  std::vector<MotionState> states_;
};

std::vector<Leg> polygon(int corners, double side_m, int way) {
  std::vector<Leg> legs;
  for (int i = 0; i < corners; ++i) {
    legs.push_back({side_m, 0.0});
    legs.push_back({0.0, way * 2.0 * kPi / corners});
  }
  return legs;
}

class RunMaker {
 public:
  RunMaker(const Plan& plan, SimulatedRuns& made, std::uint64_t seed) : plan_(plan), made_(made), seed_(seed) {
    plan_.floors.clear();
  }

  enum class Measured { turn, all };

  void add(const std::string& name, const std::string& floor, const std::vector<Leg>& legs, Measured measured) {
    const std::uint64_t own = seed_ * 1000 + made_.runs.size() + 1;
    RunDriver drive(plan_.robot, Random(own, "run"));
    for (const Leg& leg : legs) drive.drive(leg);
    plan_.floor = floor;
    SimulatedRun run;
    run.name = name;
    run.floor = floor;
    run.whole_path = legs.size() > 1;
    run.wheels = count_ticks(plan_, made_.wheels, drive.motion(), own);
    if (!run.whole_path) unwrap(run.wheels);
    Random tape(own, "tape");
    const double alignment = made_.set.sd_deg * tape.normal() * kDegree_rad;
    const Point end = drive.end().position;
    if (measured == Measured::all) {
      run.forward_m = end.x_m + alignment * end.y_m + made_.set.sd_m * tape.normal();
      run.left_m = end.y_m - alignment * end.x_m + made_.set.sd_m * tape.normal();
    }
    run.turn_deg = drive.end().heading_rad / kDegree_rad + made_.set.sd_deg * tape.normal();
    made_.runs.push_back(std::move(run));
  }

 private:
  /// A person who notes totals subtracts the readings and allows for a counter that wrapped.
  void unwrap(std::vector<WheelCounts>& wheels) const {
    const std::int64_t range = std::int64_t{1} << plan_.robot.counter_bits;
    const auto step = [range](std::int64_t before, std::int64_t now) {
      const std::int64_t forward = (((now - before) % range) + range) % range;
      return forward < range / 2 ? forward : forward - range;
    };
    WheelCounts sum;
    for (std::size_t i = 1; i < wheels.size(); ++i) {
      sum.left_ticks += step(wheels[i - 1].left_ticks, wheels[i].left_ticks);
      sum.right_ticks += step(wheels[i - 1].right_ticks, wheels[i].right_ticks);
    }
    wheels = {{0.0, 0, 0}, sum};
  }

  Plan plan_;
  SimulatedRuns& made_;
  std::uint64_t seed_;
};

std::string runs_text(const SimulatedRuns& runs) {
  std::string text = "# simulated\nrun,surface,forward_m,left_m,turn_deg,sd_m,sd_deg,left_ticks,right_ticks,wheels\n";
  const auto cell = [](const std::optional<double>& metres) { return metres ? fmt::format("{:.4f}", *metres) : ""; };
  for (const SimulatedRun& run : runs.runs) {
    const bool taped = run.forward_m.has_value();
    text += fmt::format("{},{},{},{},{:.2f},{},{},", run.name, run.floor, cell(run.forward_m), cell(run.left_m),
                        run.turn_deg, taped ? fmt::format("{}", runs.set.sd_m) : "", runs.set.sd_deg);
    if (run.whole_path) {
      text += fmt::format(",,{}.csv\n", run.name);
    } else {
      text += fmt::format("{},{},\n", run.wheels.back().left_ticks, run.wheels.back().right_ticks);
    }
  }
  return text;
}

}  // namespace

SimulatedRuns simulate_runs(const Plan& plan, const RunSet& set, std::uint64_t seed, int repetition) {
  SimulatedRuns made;
  made.set = set;
  made.wheels = draw_wheels(plan, seed);
  made.left_m_per_tick = plan.robot.left_m_per_tick;
  made.right_m_per_tick = plan.robot.right_m_per_tick;
  made.robot = stated_robot(plan, made.wheels, seed);
  RunMaker maker(plan, made, seed * 100 + static_cast<std::uint64_t>(repetition));
  const std::vector<std::string> floors = floor_names(plan);
  const double turns_deg[] = {90.0, 180.0, 720.0};
  for (const std::string& floor : floors) {
    for (int i = 1; i <= set.straights; ++i) {
      maker.add(fmt::format("straight-{}-{}", floor, i), floor, {{kStraight_m, 0.0}}, RunMaker::Measured::all);
    }
    for (int i = 1; i <= set.turns; ++i) {
      const double turn = turns_deg[(i - 1) % 3] * kDegree_rad;
      maker.add(fmt::format("left-turn-{}-{}", floor, i), floor, {{0.0, turn}}, RunMaker::Measured::turn);
      maker.add(fmt::format("right-turn-{}-{}", floor, i), floor, {{0.0, -turn}}, RunMaker::Measured::turn);
    }
  }
  const auto polygons = [&](const char* name, int count, int corners, double side_m) {
    for (int i = 1; i <= count; ++i) {
      maker.add(fmt::format("{}-left-{}", name, i), floors.front(), polygon(corners, side_m, 1),
                RunMaker::Measured::all);
      maker.add(fmt::format("{}-right-{}", name, i), floors.front(), polygon(corners, side_m, -1),
                RunMaker::Measured::all);
    }
  };
  polygons("square", set.squares, 4, set.square_m);
  polygons("triangle", set.triangles, 3, kTriangle_m);
  return made;
}

void write_runs(const SimulatedRuns& runs, const std::filesystem::path& folder) {
  write_folder(folder, [&](const std::filesystem::path& fresh) {
    save(fresh / "robot.yaml", robot_text(runs.robot, false));
    save(fresh / "runs.csv", runs_text(runs));
    for (const SimulatedRun& run : runs.runs) {
      if (run.whole_path) save(fresh / (run.name + ".csv"), wheels_text(run.wheels));
    }
  });
}

}  // namespace wainscot::simulator
