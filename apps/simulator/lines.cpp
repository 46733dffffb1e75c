#include "apps/simulator/lines.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>

#include "apps/simulator/motion.hpp"

namespace wainscot::simulator {

namespace {

constexpr double kCaught_m = 0.04;                  // a sensor under the robot sees a line so far aside
constexpr double kCaught_rad = 12.0 * kDegree_rad;  // and follows it where the way goes along it

/// The angle between two lines, whose two ways are the same, 0 to a right angle.
double between_lines_rad(Point a, Point b) { return std::abs(std::remainder(angle_of(a) - angle_of(b), kPi)); }

Point middle_of(const FloorLine& line) { return 0.5 * (line.from + line.to); }

double ahead_m(const FloorLine& line, Point place) { return dot(place - line.from, unit(line.to - line.from)); }

double left_m(const FloorLine& line, Point place) { return cross(unit(line.to - line.from), place - line.from); }

/// The route's straights, without their ends, where the robot turns in.
std::vector<FloorLine> straights(const Plan& plan) {
  constexpr double kLeast_m = 1.5;
  constexpr double kEnd_m = 0.2;
  std::vector<FloorLine> lines;
  for (std::size_t i = 1; i < plan.route.size(); ++i) {
    const Point from = plan.route[i - 1].point;
    const Point to = plan.route[i].point;
    if (norm(to - from) < kLeast_m) continue;
    const Point along = unit(to - from);
    lines.push_back({"", rounded(from + kEnd_m * along), rounded(to - kEnd_m * along)});
  }
  return lines;
}

/// Where the robot would not know which of the two it is on.
bool too_near(const FloorLine& a, const FloorLine& b) {
  constexpr double kApart_m = 0.15;
  if (between_lines_rad(a.to - a.from, b.to - b.from) > 2.0 * kCaught_rad) return false;
  return std::min({distance_m(a.from, b.from, b.to), distance_m(a.to, b.from, b.to), distance_m(b.from, a.from, a.to),
                   distance_m(b.to, a.from, a.to)}) < kApart_m;
}

/// How much a line adds to those that are laid: its distance from them, or its own length where there are none.
double worth(const FloorLine& line, const std::vector<FloorLine>& laid) {
  constexpr double kParallel_rad = 30.0 * kDegree_rad;
  if (laid.empty()) return norm(line.to - line.from);
  double nearest = kInfinity;
  for (const FloorLine& other : laid) {
    if (too_near(line, other)) return 0.0;
    nearest = std::min(nearest, norm(middle_of(line) - middle_of(other)));
  }
  const bool parallel = between_lines_rad(line.to - line.from, laid[0].to - laid[0].from) < kParallel_rad;
  return laid.size() == 1 && parallel ? 1e-3 * nearest : nearest;
}

std::vector<double> draw_bows_m(const Plan& plan, std::uint64_t seed) {
  Random random(seed, "line_bow_m");
  std::vector<double> bows;
  for (std::size_t i = 0; i < plan.lines.size(); ++i) bows.push_back(plan.defects.line_bow_m.draw(random));
  return bows;
}

}  // namespace

std::vector<FloorLine> lay_out_lines(const Plan& plan, int count) {
  const std::vector<FloorLine> candidates = straights(plan);
  std::vector<FloorLine> laid;
  while (laid.size() < static_cast<std::size_t>(count) && !candidates.empty()) {
    const auto best = std::max_element(candidates.begin(), candidates.end(),
                                       [&](const auto& a, const auto& b) { return worth(a, laid) < worth(b, laid); });
    if (worth(*best, laid) <= 0.0) break;
    laid.push_back(*best);
    laid.back().name = std::to_string(laid.size());
  }
  return laid;
}

LineFollower::LineFollower(const Plan& plan, std::uint64_t seed)
    : lines_(plan.lines),
      bows_m_(draw_bows_m(plan, seed)),
      noise_m_(plan.defects.follower_noise_m.mean()),
      aside_m_(plan.defects.follower_aside_m.draw(seed, "follower_aside_m")),
      error_(Random(seed, "follower"), plan.defects.follower_correlation_m.draw(seed, "follower_correlation_m")) {}

const FloorLine* LineFollower::line_at(Point place, Point way) const {
  for (const FloorLine& line : lines_) {
    const double at = ahead_m(line, place);
    if (at < 0.0 || at > norm(line.to - line.from)) continue;
    if (std::abs(left_m(line, place)) > kCaught_m) continue;
    if (between_lines_rad(way, line.to - line.from) < kCaught_rad) return &line;
  }
  return nullptr;
}

Point LineFollower::drawn_to(const FloorLine& line, Point ahead, Point way, double step_m) {
  const double length = norm(line.to - line.from);
  const Point along = unit(line.to - line.from);
  const double at = ahead_m(line, ahead);
  const double part = std::clamp(2.0 * at / length - 1.0, -1.0, 1.0);
  const double bow = bows_m_[static_cast<std::size_t>(&line - lines_.data())] * (1.0 - part * part);
  const double sense = dot(way, along) < 0.0 ? -1.0 : 1.0;
  const double left = bow + sense * aside_m_ + noise_m_ * error_.next(step_m);
  return line.from + at * along + left * left_of(along);
}

std::vector<FollowedStretch> follow_lines(const Plan& plan, const Motion& motion, std::uint64_t seed) {
  constexpr double kPeriod_s = 0.02;
  constexpr double kLeastWay_m = 0.8;
  const LineFollower follower(plan, seed);
  Random wrong(seed, "line_misnamed_rate");
  const double misnamed_rate = plan.defects.line_misnamed_rate.mean();
  std::vector<FollowedStretch> rows;
  const FloorLine* on = nullptr;
  FollowedStretch row;
  double way = 0.0;
  const auto finish = [&] {
    if (on == nullptr || way < kLeastWay_m) return;
    const std::size_t others = plan.lines.size() - 1;
    if (others > 0 && wrong.chance(misnamed_rate)) {
      const auto other = static_cast<std::size_t>(wrong.below(static_cast<int>(others)));
      const auto own = static_cast<std::size_t>(on - plan.lines.data());
      row.line = plan.lines[other < own ? other : other + 1].name;
    }
    rows.push_back(row);
  };
  const int samples = static_cast<int>(motion.duration_s() / kPeriod_s);
  for (int i = 0; i <= samples; ++i) {
    const double time_s = i * kPeriod_s;
    const MotionState state = motion.at(time_s);
    const FloorLine* line =
        motion.is_carried(time_s) ? nullptr : follower.line_at(state.position, direction(state.heading_rad));
    if (line != on) {
      finish();
      on = line;
      way = 0.0;
      if (line != nullptr) row = {time_s, time_s, line->name};
    }
    row.to_s = time_s;
    way += std::abs(state.speed_m_s) * kPeriod_s;
  }
  finish();
  return rows;
}

std::vector<MeasuredLine> measure_lines(const Plan& plan, std::uint64_t seed) {
  std::vector<MeasuredLine> lines;
  if (!plan.lines_measured) return lines;
  Random noise(seed, "line_map_noise_m");
  const double sd_m = plan.defects.line_map_noise_m.mean();
  for (const FloorLine& line : plan.lines) {
    MeasuredLine measured{line.name, line.from.x_m, line.from.y_m, line.to.x_m, line.to.y_m};
    for (double* metres : {&measured.x1_m, &measured.y1_m, &measured.x2_m, &measured.y2_m}) {
      *metres += sd_m * noise.normal();
    }
    lines.push_back(measured);
  }
  return lines;
}

}  // namespace wainscot::simulator
