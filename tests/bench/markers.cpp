// Maps random simulated houses with and without markers and a gyro, and prints what they bring: errors of the path and
// of the scale, wrong closures, what became of misread numbers, and whether stated uncertainties held. All figures are
// simulated.
//
//   build/tests/bench/markers --seeds 20
//   build/tests/bench/markers --only surveyed --seeds 3
//   build/tests/bench/markers --hard-place lifted-robot --seeds 3

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "apps/simulator/gallery.hpp"
#include "apps/simulator/markers.hpp"
#include "apps/simulator/random_house.hpp"
#include "core/angles.hpp"
#include "core/errors.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/bench/house_score.hpp"
#include "tests/bench/survey_score.hpp"
#include "tests/bench/true_pose.hpp"

namespace wainscot::bench {
namespace {

constexpr int kMarkers = 6;

struct Options {
  std::uint64_t first = 1;
  int seeds = 20;
  std::string place;
  std::vector<std::string> only;
};

/// One way of equipping robot and house.
struct Equipment {
  const char* name;
  bool markers = false;
  bool surveyed = false;
  double misread_rate = 0.0;
  bool gyro = false;
  double range_scale = 1.0;  ///< other than 1: the wheels are those of a data sheet, and cannot make up for it
};

const std::vector<Equipment>& all_equipment() {
  static const std::vector<Equipment> all = {
      {"neither"},
      {"markers", true},
      {"markers, 2 % misread", true, false, 0.02},
      {"surveyed", true, true},
      {"surveyed, 2 % misread", true, true, 0.02},
      {"gyro", false, false, 0.0, true},
      {"gyro and surveyed", true, true, 0.0, true},
      {"range 0.5 % long, neither", false, false, 0.0, false, 1.005},
      {"range 0.5 % long, surveyed", true, true, 0.0, false, 1.005},
      {"range 0.5 % long, surveyed, 2 % misread", true, true, 0.02, false, 1.005},
  };
  return all;
}

simulator::Plan plan_of(const std::string& place, std::uint64_t house, const Equipment& with) {
  simulator::Plan plan = place.empty() ? simulator::random_house(house) : simulator::hard_place(place, house);
  if (with.range_scale == 1.0) {
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
  }
  plan.defects.range_scale = simulator::Knob::fixed(with.range_scale);
  plan.defects.marker_misread_rate = simulator::Knob::fixed(with.misread_rate);
  plan.robot.gyro = with.gyro;
  if (with.markers) plan.markers = simulator::lay_out_markers(plan, kMarkers);
  plan.markers_surveyed = with.surveyed;
  return plan;
}

struct Case {
  double ate_m = 0.0;
  double heading_rad = 0.0;
  double frame_m = 0.0;            ///< root mean square of the path's error without any alignment, house frame
  double scale_error = 0.0;        ///< found range scale * true one - 1
  double scale_sd = 0.0;           ///< as stated
  std::optional<double> bias_sds;  ///< gyro: errors in stated standard uncertainties
  std::optional<double> gyro_scale_sds;
  ClosureScore closures;
  int misread = 0;       ///< sightings that have another marker's number,
  int misread_used = 0;  ///< and those of them that the map was made with
  int right_left_out = 0;
  int right_sightings = 0;
};

void score_sightings(const simulator::Plan& plan, const simulator::SimulatedDrive& simulated, const Map& map,
                     Case& score) {
  constexpr double kOther_m = 0.25;  // markers lie at least half a metre apart
  std::map<std::string, Eigen::Vector2d> places;
  for (const simulator::Marker& marker : plan.markers) places[marker.name] = {marker.at.x_m, marker.at.y_m};
  std::set<std::size_t> left_out;
  for (const LeftOutSighting& s : map.markers.left_out) left_out.insert(s.sighting);
  for (std::size_t i = 0; i < simulated.markers.size(); ++i) {
    const MarkerSighting& s = simulated.markers[i];
    const Eigen::Vector2d seen = true_pose(simulated.truth.trajectory, s.time_s) * Eigen::Vector2d(s.x_m, s.y_m);
    const bool right = (seen - places.at(s.marker)).norm() < kOther_m;
    const bool used = left_out.count(i) == 0;
    score.misread += right ? 0 : 1;
    score.misread_used += !right && used ? 1 : 0;
    score.right_sightings += right ? 1 : 0;
    score.right_left_out += right && !used ? 1 : 0;
  }
}

void score_constants(const simulator::Truth& truth, const Map& map, Case& score) {
  for (const RefinedConstant& c : map.constants) {
    if (c.name == "lidar.range_scale") {
      score.scale_error = c.found * truth.lidar.range_scale - 1.0;
      score.scale_sd = c.found_sd / c.found;
    }
    // robot.yaml's constants make the rate from the reading, the simulator's the reading from the rate.
    if (c.name == "gyro.bias_rad_s") score.bias_sds = (c.found - truth.gyro.bias_rad_s / truth.gyro.scale) / c.found_sd;
    if (c.name == "gyro.scale") score.gyro_scale_sds = (c.found - 1.0 / truth.gyro.scale) / c.found_sd;
  }
}

Case scored(const std::string& place, std::uint64_t house, const Equipment& with) {
  const simulator::Plan plan = plan_of(place, house, with);
  const simulator::SimulatedDrive simulated = simulator::simulate(plan, house);
  const Drive drive = written_and_read(simulated, plan.robot);
  MapperOptions options;
  options.threads = 1;
  const Map map = build_map(drive, options);
  Case score;
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  const TrajectoryError error = absolute_trajectory_error(path, simulated.truth.trajectory);
  score.ate_m = error.position_rmse_m;
  score.heading_rad = error.heading_rmse_rad;
  score.frame_m = without_alignment_m(map, simulated.truth.trajectory);
  score.closures = score_closures(map, simulated.truth);
  score_sightings(plan, simulated, map, score);
  score_constants(simulated.truth, map, score);
  fmt::print(stderr,
             "{}, house {}: {:.1f} mm, {:.3f} deg, scale {:+.3f} % ({:.3f} % stated), {} misread, {} of them used, {} "
             "right ones left out\n",
             with.name, house, 1e3 * score.ate_m, kDegreesPerRadian * score.heading_rad, 100.0 * score.scale_error,
             100.0 * score.scale_sd, score.misread, score.misread_used, score.right_left_out);
  return score;
}

std::string row(const Equipment& with, const std::vector<Case>& cases) {
  const Spread ate = spread_of(cases, [](const Case& c) { return 1e3 * c.ate_m; });
  const Spread heading = spread_of(cases, [](const Case& c) { return kDegreesPerRadian * c.heading_rad; });
  const Spread frame = spread_of(cases, [](const Case& c) { return 1e3 * c.frame_m; });
  const Spread scale = spread_of(cases, [](const Case& c) { return 100.0 * c.scale_error; });
  const Spread sd = spread_of(cases, [](const Case& c) { return 100.0 * c.scale_sd; });
  Case sum;
  for (const Case& c : cases) {
    sum.closures.right += c.closures.right;
    sum.closures.wrong += c.closures.wrong;
    sum.misread += c.misread;
    sum.misread_used += c.misread_used;
    sum.right_sightings += c.right_sightings;
    sum.right_left_out += c.right_left_out;
  }
  const std::string in_house = with.surveyed ? fmt::format("{:.1f} {:.1f}", frame.median, frame.worst) : "-";
  const std::string misread = with.markers ? fmt::format("{}/{}", sum.misread_used, sum.misread) : "-";
  const std::string right = with.markers ? fmt::format("{}/{}", sum.right_left_out, sum.right_sightings) : "-";
  return fmt::format(
      "{:<40}{:>7.1f}{:>7.1f}{:>8.3f}{:>7.3f}{:>13}{:>8.3f}{:>7.3f}{:>8.3f}{:>8}{:>8}{:>8}{:>7}{:>4}{:>8}{:>9}\n",
      with.name, ate.median, ate.worst, heading.median, heading.worst, in_house, scale.median, scale.worst, sd.median,
      held_text(cases, [](const Case& c) { return std::optional(c.scale_error / c.scale_sd); }),
      held_text(cases, [](const Case& c) { return c.bias_sds; }),
      held_text(cases, [](const Case& c) { return c.gyro_scale_sds; }), sum.closures.right, sum.closures.wrong, misread,
      right);
}

void print_heading(const Options& options) {
  fmt::print(
      "Simulated {} {} to {}, {} markers each. Median and worst of absolute values. ATE: root mean square of the "
      "path's error after rigid alignment; in the house: without any alignment. Scale: range scale found against the "
      "true one; held: cases whose 95 % interval holds the truth. Misread: numbers that the map was made with, of all "
      "misread ones; right: rightly read ones that were left out.\n",
      options.place.empty() ? "houses" : options.place, options.first,
      options.first + static_cast<std::uint64_t>(options.seeds) - 1, kMarkers);
  fmt::print("{:<40}{:>14}{:>15}{:>13}{:>15}{:>8}{:>24}{:>11}{:>8}{:>9}\n", "", "ATE, mm", "heading, deg", "in the",
             "scale, %", "stated", "held: scale  bias  scale", "closures", "misread", "right");
  fmt::print("{:<40}{:>7}{:>7}{:>8}{:>7}{:>13}{:>8}{:>7}{:>8}{:>8}{:>8}{:>8}{:>7}{:>4}{:>8}{:>9}\n", "equipment",
             "median", "worst", "median", "worst", "house, mm", "median", "worst", "sd, %", "", "gyro", "gyro", "right",
             "bad", "used", "left out");
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("Maps random houses (simulated) with and without markers and a gyro and scores the maps.");
  app.add_option("--first", options.first, "the first house")->capture_default_str();
  app.add_option("--seeds", options.seeds, "how many houses")->capture_default_str()->check(CLI::PositiveNumber);
  app.add_option("--hard-place", options.place, "drives of this place of the gallery instead of random houses");
  app.add_option("--only", options.only, "this equipment only, named as in the table; may be given often")
      ->allow_extra_args(false);
  CLI11_PARSE(app, argc, argv);
  print_heading(options);
  for (const Equipment& with : all_equipment()) {
    const bool wanted =
        options.only.empty() || std::find(options.only.begin(), options.only.end(), with.name) != options.only.end();
    if (!wanted) continue;
    std::vector<Case> cases;
    for (int i = 0; i < options.seeds; ++i) {
      const std::uint64_t house = options.first + static_cast<std::uint64_t>(i);
      try {
        cases.push_back(scored(options.place, house, with));
      } catch (const PoorData& poor) {
        fmt::print(stderr, "{}, house {}: {}\n", with.name, house, poor.what());
      } catch (const InputError& wrong) {
        fmt::print(stderr, "{}\n", wrong.what());
        return 2;
      }
    }
    fmt::print("{}", row(with, cases));
    std::fflush(stdout);
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
