#include "io/log/run_units.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "core/angles.hpp"

namespace wainscot {
namespace {

constexpr double kOffBy = 2.0;       // no slip and no robot.yaml that was measured is further off than this
constexpr double kOtherUnit = 30.0;  // inches are 39 to the metre, radians 1/57 of a degree
constexpr double kWheelsOff = 0.1;   // of a wheel's way, what robot.yaml may be off by: it is what is looked for
constexpr double kEnough_m = 0.3;    // to tell, ticks and slip apart
constexpr double kEnoughTurn_deg = 20.0;
constexpr std::size_t kEnoughRuns = 2;  // that agree, to say that another one cannot be meant

/// What was measured beside what was counted, in metres or degrees.
struct Pair {
  std::size_t run;
  double measured;
  double counted;
  double allowed;  // of their difference
  double enough;   // one of them at least, to tell

  bool tells() const { return std::max(std::abs(measured), std::abs(counted)) > enough; }
  bool is_longer() const { return std::abs(measured) > kOffBy * std::abs(counted) + allowed; }
  bool is_shorter() const { return kOffBy * std::abs(measured) + allowed < std::abs(counted); }
  bool is_opposite() const { return measured * counted < 0.0 && std::abs(measured - counted) > 2.0 * allowed; }
  bool agrees() const { return !is_longer() && !is_shorter() && !is_opposite(); }
  bool is_other_unit() const { return std::abs(measured) > kOtherUnit * std::abs(counted) + allowed; }
  bool is_in_radians() const {
    const double degrees = measured / kDegree;
    return is_shorter() && degrees * counted > 0.0 && std::abs(degrees) < kOffBy * std::abs(counted) &&
           std::abs(counted) < kOffBy * std::abs(degrees);
  }
};

struct Pairs {
  std::vector<Pair> turns;
  std::vector<Pair> spins;  // those of the turns that are turns on the spot: wheels that differ make none
  std::vector<Pair> ways;
  std::vector<Pair> aside;
};

Pairs pairs_of(const CalibrationRuns& runs) {
  const DriveConstants& drive = *runs.robot.drive;
  Pairs pairs;
  for (std::size_t i = 0; i < runs.runs.size(); ++i) {
    const CalibrationRun& run = runs.runs[i];
    const auto rolled = [&run](std::int64_t WheelCounts::*ticks, double m_per_tick) {
      return static_cast<double>(run.wheels.back().*ticks - run.wheels.front().*ticks) * m_per_tick;
    };
    const double left = rolled(&WheelCounts::left_ticks, drive.left_m_per_tick);
    const double right = rolled(&WheelCounts::right_ticks, drive.right_m_per_tick);
    const double all = std::abs(left) + std::abs(right);
    const double turn_deg = (right - left) / drive.track_width_m / kDegree;
    const double turn_off_deg = kEnoughTurn_deg + kWheelsOff * all / drive.track_width_m / kDegree;
    const bool spin = left * right < 0.0 && std::abs(right - left) > 0.8 * all && !run.whole_path;
    if (run.turn_rad) {
      pairs.turns.push_back({i, *run.turn_rad / kDegree, turn_deg, turn_off_deg, kEnoughTurn_deg});
      if (spin) pairs.spins.push_back(pairs.turns.back());
    }
    if (run.whole_path || spin) continue;
    const bool straight = std::abs(turn_deg) < turn_off_deg;
    if (run.forward_m && straight) {
      pairs.ways.push_back({i, *run.forward_m, 0.5 * (left + right), kWheelsOff * all, kEnough_m});
    }
    if (run.left_m) pairs.aside.push_back({i, std::abs(*run.left_m), all, kWheelsOff * all, kEnough_m});
  }
  return pairs;
}

std::string length_doubt(const char* column, const Pair& pair) {
  const std::string said = fmt::format("{} is {:.6g}, but by their ticks the wheels rolled about {:.3g} m", column,
                                       pair.measured, pair.counted);
  if (!pair.is_other_unit()) return said + "; check the ticks, their signs and robot.yaml's constants";
  return fmt::format("{}; its unit is metres: write {:.6g} if it was measured in millimetres", said,
                     pair.measured / 1000.0);
}

std::string turn_doubt(const Pair& pair, bool radians) {
  return fmt::format("turn_deg is {:.6g}, but by their ticks the wheels turned the robot by about {:.0f} degrees; {}",
                     pair.measured, pair.counted,
                     radians ? "write degrees, not radians"
                             : "check the ticks and their signs, and count whole turns (left positive)");
}

std::size_t agreeing(const std::vector<Pair>& pairs) {
  return static_cast<std::size_t>(
      std::count_if(pairs.begin(), pairs.end(), [](const Pair& pair) { return pair.tells() && pair.agrees(); }));
}

}  // namespace

std::vector<RunDoubt> doubted_units(const CalibrationRuns& runs) {
  const Pairs pairs = pairs_of(runs);
  std::vector<RunDoubt> doubts;
  const bool all_radians =
      !pairs.spins.empty() && std::all_of(pairs.spins.begin(), pairs.spins.end(),
                                          [](const Pair& pair) { return !pair.tells() || pair.is_in_radians(); });
  for (const Pair& pair : pairs.turns) {
    if (!pair.tells() || pair.agrees()) continue;
    const bool radians = all_radians && pair.is_in_radians();
    const bool impossible = (pair.is_longer() || pair.is_opposite()) && agreeing(pairs.turns) >= kEnoughRuns;
    doubts.push_back({pair.run, turn_doubt(pair, radians), radians || impossible});
  }
  for (const Pair& pair : pairs.ways) {
    if (!pair.tells() || pair.agrees()) continue;
    const bool impossible = (pair.is_longer() || pair.is_opposite()) && agreeing(pairs.ways) >= kEnoughRuns;
    doubts.push_back({pair.run, length_doubt("forward_m", pair), pair.is_other_unit() || impossible});
  }
  for (const Pair& pair : pairs.aside) {
    // No run ends further aside than its wheels rolled.
    if (!pair.tells() || std::abs(pair.measured) <= pair.counted + pair.allowed) continue;
    const bool impossible = pair.is_longer() && agreeing(pairs.ways) >= kEnoughRuns;
    doubts.push_back({pair.run, length_doubt("left_m", pair), pair.is_other_unit() || impossible});
  }
  return doubts;
}

}  // namespace wainscot
