#include "graph/calibrate/simple_runs.hpp"

#include <algorithm>
#include <cmath>

#include "core/errors.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

constexpr const char* kStraight = "straight";

std::string turn_on(const std::string& surface) { return "turn on " + surface; }

/// What a run does by the stated constants, taken as one arc.
struct Arc {
  double way_m = 0.0;
  double turn_rad = 0.0;
};

Arc stated_arc(const CalibrationRun& run, const DriveConstants& stated) {
  const double l = net_ticks(run, &WheelCounts::left_ticks) * stated.left_m_per_tick;
  const double r = net_ticks(run, &WheelCounts::right_ticks) * stated.right_m_per_tick;
  return {0.5 * (l + r), (r - l) / stated.track_width_m};
}

/// How far a run turned, by the tape where it says: wheels that differ by 5 % from robot.yaml's count half a radian on
/// a straight of 3 m. A measured end lies on an arc, whose chord has turned by half as much.
double turned_rad(const CalibrationRun& run, const Arc& counted) {
  if (run.turn_rad) return *run.turn_rad;
  if (run.left_m && run.forward_m) return 2.0 * std::atan2(*run.left_m, std::abs(*run.forward_m));
  return counted.turn_rad;
}

bool contradict(const SimpleRun& a, const SimpleRun& b) {
  constexpr double kScatter = 0.1;  // two turns may differ by a tenth, by slip
  constexpr double kTimesSd = 6.0;  // no honest tape is so far off: a slip of the pen is
  return std::abs(a.ratio - b.ratio) > kScatter + kTimesSd * std::hypot(a.sd, b.sd);
}

[[noreturn]] void throw_contradiction(const CalibrationRuns& runs, const std::string& kind, const SimpleRun& a,
                                      const SimpleRun& b) {
  throw PoorData(
      sentence("the runs %s and %s contradict each other and no third run tells which is right: measured over "
               "counted (by robot.yaml) is %.3f in one and %.3f in the other, both a %s; measure one more, or leave "
               "one out with --leave-out",
               runs.runs[a.run].name.c_str(), runs.runs[b.run].name.c_str(), a.ratio, b.ratio, kind.c_str()));
}

/// The upper one of two in the middle.
double median_ratio(std::vector<SimpleRun> members) {
  const auto middle = members.begin() + static_cast<std::ptrdiff_t>(members.size() / 2);
  std::nth_element(members.begin(), middle, members.end(),
                   [](const SimpleRun& a, const SimpleRun& b) { return a.ratio < b.ratio; });
  return middle->ratio;
}

}  // namespace

bool is_straight(const CalibrationRun& run, const DriveConstants& stated) {
  // Chosen by hand: a run of less than 0.3 m tells no length, and of 20 degrees no straight. A turn is told from half
  // of a quarter turn (kLeastTurn_rad) on.
  constexpr double kShortest_m = 0.3;
  constexpr double kMostTurn_rad = 0.35;
  const Arc arc = stated_arc(run, stated);
  return !run.whole_path && std::abs(arc.way_m) > kShortest_m && std::abs(turned_rad(run, arc)) < kMostTurn_rad;
}

SimpleRuns simple_runs(const CalibrationRuns& runs, const TapeSd& tape) {
  constexpr double kLeastTurn_rad = 0.7;  // 40 degrees, chosen by hand: half of a quarter turn, nearly
  const DriveConstants& stated = *runs.robot.drive;
  SimpleRuns kinds;
  for (std::size_t i = 0; i < runs.runs.size(); ++i) {
    const CalibrationRun& run = runs.runs[i];
    const Arc arc = stated_arc(run, stated);
    if (is_straight(run, stated) && run.forward_m) {
      kinds[kStraight].push_back(
          {i, *run.forward_m / arc.way_m, run.sd_m.value_or(tape.length_m) / std::abs(arc.way_m)});
    }
    if (run.turn_rad && std::abs(arc.turn_rad) > kLeastTurn_rad) {
      kinds[turn_on(run.surface)].push_back(
          {i, *run.turn_rad / arc.turn_rad, run.sd_rad.value_or(tape.turn_rad) / std::abs(arc.turn_rad)});
    }
  }
  return kinds;
}

void refuse_contradictions(const CalibrationRuns& runs, const SimpleRuns& kinds) {
  for (const auto& [kind, members] : kinds) {
    std::size_t most = 0;  // the largest number of runs that agree with one of them
    for (const SimpleRun& a : members) {
      const auto agree =
          std::count_if(members.begin(), members.end(), [&](const SimpleRun& b) { return !contradict(a, b); });
      most = std::max(most, static_cast<std::size_t>(agree));
    }
    if (2 * most > members.size()) continue;
    for (const SimpleRun& a : members) {
      for (const SimpleRun& b : members) {
        if (contradict(a, b)) throw_contradiction(runs, kind, a, b);
      }
    }
  }
}

Eigen::VectorXd start_values(const RunUnknowns& unknowns, const SimpleRuns& kinds) {
  Eigen::VectorXd start = Eigen::VectorXd::Ones(unknowns.count());
  const auto straight = kinds.find(kStraight);
  const double scale = straight != kinds.end() ? median_ratio(straight->second) : 1.0;
  start[RunUnknowns::kLeft] = start[RunUnknowns::kRight] = scale;
  for (const auto& [surface, index] : unknowns.widths) {
    const auto turns = kinds.find(turn_on(surface));
    start[index] = turns != kinds.end() ? scale / median_ratio(turns->second) : scale;
  }
  return start;
}

}  // namespace wainscot
