#include "graph/extend/same_robot.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "graph/constants.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

struct Statement {
  const char* key;
  double first = 0.0;
  double first_sd = 0.0;
  double other = 0.0;
  double other_sd = 0.0;

  double difference() const { return std::abs(first - other); }
  bool differs() const {
    constexpr double kMostInSd = 3.0;  // 0.3 % of equal robots: only a warning hangs on it
    return difference() > kMostInSd * std::hypot(first_sd, other_sd);
  }
};

void add_wheels(const DriveConstants& a, const DriveConstants& b, std::vector<Statement>& statements) {
  constexpr double kTicksUnstated = 0.01;  // relative, as constant_prior() has them
  constexpr double kWidthUnstated = 0.04;  // likewise
  const auto sd = [](const std::optional<double>& stated, double value, double unstated) {
    return stated.value_or(unstated * std::abs(value));
  };
  statements.push_back({"drive.left_m_per_tick", a.left_m_per_tick,
                        sd(a.left_sd_m_per_tick, a.left_m_per_tick, kTicksUnstated), b.left_m_per_tick,
                        sd(b.left_sd_m_per_tick, b.left_m_per_tick, kTicksUnstated)});
  statements.push_back({"drive.right_m_per_tick", a.right_m_per_tick,
                        sd(a.right_sd_m_per_tick, a.right_m_per_tick, kTicksUnstated), b.right_m_per_tick,
                        sd(b.right_sd_m_per_tick, b.right_m_per_tick, kTicksUnstated)});
  statements.push_back({"drive.track_width_m", a.track_width_m, sd(a.track_width_sd_m, a.track_width_m, kWidthUnstated),
                        b.track_width_m, sd(b.track_width_sd_m, b.track_width_m, kWidthUnstated)});
}

/// What both robot.yaml say of the constants that stay the same from day to day.
std::vector<Statement> statements_of(const Drive& first, const Drive& other) {
  const LidarConstants& a = first.robot.lidar;
  const LidarConstants& b = other.robot.lidar;
  const ConstantMatrix prior = constant_prior(first);
  const auto sd = [&prior](Eigen::Index constant) { return std::sqrt(prior(constant, constant)); };
  const double heading_sd_deg = kDegreesPerRadian * sd(kMountingHeading);
  std::vector<Statement> statements = {
      {"lidar.x_m", a.x_m, sd(kMountingX), b.x_m, sd(kMountingX)},
      {"lidar.y_m", a.y_m, sd(kMountingY), b.y_m, sd(kMountingY)},
      {"lidar.heading_deg", a.heading_deg, heading_sd_deg, b.heading_deg, heading_sd_deg},
      {"lidar.range_scale", a.range_scale, sd(kRangeScale), b.range_scale, sd(kRangeScale)},
      {"lidar.range_offset_m", a.range_offset_m, sd(kRangeOffset), b.range_offset_m, sd(kRangeOffset)},
  };
  if (first.robot.drive && other.robot.drive) add_wheels(*first.robot.drive, *other.robot.drive, statements);
  return statements;
}

struct Estimate {
  double value = 0.0;
  double sd = 0.0;
};

/// What a map's drives tell of a constant by themselves: without what their robot.yaml said of it before.
std::optional<Estimate> told_by(const Map& map, const std::string& key) {
  const auto c = std::find_if(map.constants.begin(), map.constants.end(),
                              [&key](const RefinedConstant& constant) { return constant.name == key; });
  if (c == map.constants.end() || c->found_sd <= 0.0) return std::nullopt;
  const double before = c->stated_sd > 0.0 ? 1.0 / (c->stated_sd * c->stated_sd) : 0.0;
  const double after = 1.0 / (c->found_sd * c->found_sd);
  if (after <= before) return std::nullopt;
  return Estimate{(c->found * after - c->stated * before) / (after - before), 1.0 / std::sqrt(after - before)};
}

}  // namespace

void require_same_form(const Drive& first, const Drive& other) {
  if (first.wheels.empty() == other.wheels.empty()) return;
  throw InputError(
      sentence("%s: the map's first drive has %s, and this one has not; one robot must have made all drives of a map, "
               "and logged them in one form",
               other.name.c_str(), first.wheels.empty() ? "odometry.csv" : "wheels.csv"));
}

std::vector<std::string> require_same_robot(const Drive& first, const Map& of_first, const Drive& other,
                                            const Map& of_other) {
  constexpr double kHalf = 0.5;       // of two answers, no difference and the stated one, the nearer
  constexpr double kTellsInSd = 4.0;  // the drives' own difference is known that much better than what it has to tell
  std::vector<std::string> warnings;
  for (const Statement& s : statements_of(first, other)) {
    if (!s.differs()) continue;
    const std::string stated = sentence("robot.yaml of %s: %s is %.6g, and %.6g in the map's first drive",
                                        other.name.c_str(), s.key, s.other, s.first);
    const std::optional<Estimate> a = told_by(of_first, s.key);
    const std::optional<Estimate> b = told_by(of_other, s.key);
    if (!a || !b || kTellsInSd * std::hypot(a->sd, b->sd) > s.difference()) {
      warnings.push_back(sentence(
          "%s; the drives do not tell which is right, so that the first drive's is kept: correct the file that "
          "is wrong; if another robot drove, map its drive by itself",
          stated.c_str()));
      continue;
    }
    if (std::abs(a->value - b->value) > kHalf * s.difference()) {
      throw InputError(
          sentence("%s, and the drives bear that out (%.6g and %.6g): one robot must have made all drives of a map, "
                   "unchanged; correct the file that is wrong, or map this drive by itself",
                   stated.c_str(), b->value, a->value));
    }
    warnings.push_back(
        sentence("%s; by what they show (%.6g and %.6g) one robot made both, so that they are mapped as one, beginning "
                 "with the first drive's: correct the file that is wrong",
                 stated.c_str(), b->value, a->value));
  }
  return warnings;
}

}  // namespace wainscot
