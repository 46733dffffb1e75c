// How near one match comes to the Cramer-Rao bound of two noisy scans, over the share that the two have in common and
// over the incidence of the beams: of two scans of a room that is known, and of one that nobody knows. All simulated,
// in rooms whose ranges have closed forms.
//
//   build/tests/bench/match_bound --trials 2000 --seed 1

#include <cmath>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>
#include <Eigen/Dense>

#include "core/angles.hpp"
#include "core/chi_squared.hpp"
#include "scanmatch/icp.hpp"
#include "tests/outside/range_information.hpp"
#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

const RangeNoise kNoise{0.015, 0.0};

/// A sector of directions in the room, from `from` over `width` counter-clockwise.
struct Sector {
  double from_rad = 0.0;
  double width_rad = 2.0 * std::numbers::pi;
  bool holds(const Eigen::Vector2d& direction) const {
    const double turns = (std::atan2(direction.y(), direction.x()) - from_rad) / (2.0 * std::numbers::pi);
    return (turns - std::floor(turns)) * 2.0 * std::numbers::pi <= width_rad;
  }
};

struct Case {
  std::string name;
  Room room;
  double common = 1.0;                      ///< share of each scan's sector that the other has seen as well
  double reach_x_m = 0.8, reach_y_m = 0.5;  ///< how far from the room's middle the places are
  double roughness_m = 0.0;                 ///< of the walls
};

/// Removes the points outside of a sector of the room.
std::vector<ScanPoint> inside(const std::vector<ScanPoint>& points, const Pose2& pose, const Sector& sector) {
  std::vector<ScanPoint> kept;
  for (const ScanPoint& p : points) {
    if (sector.holds(pose.rotation() * Eigen::Vector2d(p.beam_x, p.beam_y))) kept.push_back(p);
  }
  return kept;
}

double mean_incidence_deg(const Room& room, const Pose2& pose, const RoomScan& scan) {
  double sum = 0.0;
  int count = 0;
  visit_beams(room, pose, scan, [&](const Hit& hit, const Eigen::Vector2d& beam) {
    sum += std::acos(std::min(1.0, std::abs(hit.normal.dot(beam)))) / kDegree;
    ++count;
  });
  return sum / count;
}

struct Totals {
  Eigen::Array3d squared_errors = Eigen::Array3d::Zero();
  Eigen::Array3d bounds = Eigen::Array3d::Zero();
  Eigen::Array3d unknown_bounds = Eigen::Array3d::Zero();  ///< where nobody knows the room
  double incidence_deg = 0.0;
  double squared_normalised = 0.0;  ///< error^T information error: 3 on the average where what is stated is true
  int held = 0;
};

/// Both scans see three quarters of a turn, or all of it where they have all in common.
void add_trial(const Case& one, const RoomScan& scan, std::mt19937& random, Totals& totals) {
  std::uniform_real_distribution<double> unit(-1.0, 1.0);
  const Pose2 place{one.reach_x_m * unit(random), one.reach_y_m * unit(random), 3.0 * unit(random)};
  const Pose2 pose = place * Pose2{0.15 * unit(random), 0.15 * unit(random), 0.2 * unit(random)};
  Sector first;
  Sector second;
  if (one.common < 1.0) {
    first = {3.0 * unit(random), 1.1 * std::numbers::pi};
    second = {first.from_rad + (1.0 - one.common) * first.width_rad, first.width_rad};
  }
  std::vector<ScanPoint> reference = inside(scan_points(one.room, place, scan, &random), place, first);
  std::vector<ScanPoint> points = inside(scan_points(one.room, pose, scan, &random), pose, second);
  estimate_normals(reference, kNoise);
  estimate_normals(points, kNoise);
  LineMap map;
  add_points(map, reference, place, kNoise, 0);
  const Pose2 predicted = pose * Pose2{0.04 * unit(random), 0.04 * unit(random), 0.03 * unit(random)};
  const IcpResult match = match_icp(points, map, kNoise, predicted, Eigen::Matrix3d::Zero());

  const auto common = [&](const Hit&, const Eigen::Vector2d& beam) { return first.holds(beam) && second.holds(beam); };
  // The reference's error, as it shows where the second scan was taken.
  const Eigen::Matrix3d there = adjoint(between(pose, place));
  const Eigen::Matrix3d bound =
      there * fisher_information(one.room, place, scan, kNoise.near_m, common).inverse() * there.transpose() +
      fisher_information(one.room, pose, scan, kNoise.near_m, common).inverse();
  const Eigen::Matrix3d unknown_bound =
      fisher_information_between(one.room, place, pose, scan, kNoise.near_m, common).inverse();
  const Tangent2 error = log(between(pose, match.pose));
  const double normalised = error.dot(match.information * error);
  totals.squared_errors += error.array().square();
  totals.bounds += bound.diagonal().array();
  totals.unknown_bounds += unknown_bound.diagonal().array();
  totals.incidence_deg += mean_incidence_deg(one.room, pose, scan);
  totals.squared_normalised += normalised;
  totals.held += normalised < chi_squared_quantile(0.95, 3) ? 1 : 0;
}

void print_row(const Case& one, int trials, unsigned seed) {
  RoomScan scan{360, 8.0, kNoise.near_m};
  scan.roughness_m = one.roughness_m;
  std::mt19937 random(seed);
  Totals totals;
  for (int trial = 0; trial < trials; ++trial) add_trial(one, scan, random, totals);
  // Positions turn with the heading from trial to trial, so along and across are taken together.
  const auto ratio = [&](int first, int count, const Eigen::Array3d& bounds) {
    return std::sqrt(totals.squared_errors.segment(first, count).sum() / bounds.segment(first, count).sum());
  };
  fmt::print("{:<30}{:>6.0f}{:>8.0f}{:>11.1f}{:>9.2f}{:>7.2f}{:>10.2f}{:>9.2f}{:>10.2f}{:>9.2f}{:>12.2f}{:>9.1f}\n",
             one.name, 1e3 * one.roughness_m, 100.0 * one.common, totals.incidence_deg / trials,
             1e3 * std::sqrt(totals.bounds.head<2>().sum() / trials), 1e3 * std::sqrt(totals.bounds[2] / trials),
             ratio(0, 2, totals.bounds), ratio(2, 1, totals.bounds), ratio(0, 2, totals.unknown_bounds),
             ratio(2, 1, totals.unknown_bounds), totals.squared_normalised / trials, 100.0 * totals.held / trials);
}

int run(int argc, char** argv) {
  int trials = 1000;
  unsigned seed = 5;
  CLI::App app("One match against the Cramer-Rao bound of two noisy scans (simulated).");
  app.add_option("--trials", trials, "for each row")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--seed", seed, "of the random numbers of each row; 5 was for developing")->capture_default_str();
  CLI11_PARSE(app, argc, argv);
  fmt::print("Simulated: 360 beams, noise 15 mm, two single scans, {} trials a row, seed {}.\n", trials, seed);
  fmt::print("{:<30}{:>6}{:>8}{:>11}{:>16}{:>19}{:>19}{:>12}{:>9}\n", "", "rough", "common", "incidence", "bound",
             "RMSE / bound", "(unknown room)", "normalised", "95 %");
  fmt::print("{:<30}{:>6}{:>8}{:>11}{:>9}{:>7}{:>10}{:>9}{:>10}{:>9}{:>12}{:>9}\n", "room", "mm", "%", "mean, deg",
             "mm", "mrad", "position", "heading", "position", "heading", "error^2", "held, %");
  for (const double common : {1.0, 0.9, 0.75, 0.6}) {
    print_row({"furnished, 6 x 4 m", furnished_room(), common}, trials, seed);
  }
  // Flat to the atom, and rough by what across_variance() expects of walls.
  for (const double rough_m : {0.0, 0.004}) {
    print_row({"square, 4 x 4 m", rectangle(4.0, 4.0), 1.0, 0.5, 0.5, rough_m}, trials, seed);
    print_row({"long, 8 x 2.4 m", rectangle(8.0, 2.4), 1.0, 0.8, 0.4, rough_m}, trials, seed);
    print_row({"end of a corridor, 10 x 1.4 m", rectangle(10.0, 1.4), 1.0, 0.8, 0.2, rough_m}, trials, seed);
  }
  return 0;
}

}  // namespace
}  // namespace wainscot

int main(int argc, char** argv) { return wainscot::run(argc, argv); }
