// Maps random simulated houses whose robot follows lines on the floor, with and without telling of it, and prints what
// that brings: errors of the path and of the scale, what became of misnamed rows, and whether stated uncertainties
// held. The drives are the same in each row of the table. All figures are simulated.
//
//   build/tests/bench/lines --seeds 20
//   build/tests/bench/lines --only measured --seeds 3

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

#include "apps/simulator/lines.hpp"
#include "apps/simulator/motion.hpp"
#include "apps/simulator/random_house.hpp"
#include "core/errors.hpp"
#include "graph/mapping/mapper.hpp"
#include "tests/bench/house_score.hpp"
#include "tests/bench/survey_score.hpp"

namespace wainscot::bench {
namespace {

struct Options {
  std::uint64_t first = 1;
  int seeds = 20;
  int lines = 6;
  std::vector<std::string> only;
};

/// What the mapper is told of lines that are always there and always followed.
struct Telling {
  const char* name;
  bool told = true;
  bool measured = false;
  double misnamed_rate = 0.0;
  double range_scale = 1.0;  ///< other than 1: the wheels are those of a data sheet, and cannot make up for it
};

const std::vector<Telling>& all_tellings() {
  static const std::vector<Telling> all = {
      {"not told", false},
      {"told"},
      {"told, 10 % misnamed", true, false, 0.1},
      {"measured", true, true},
      {"measured, 10 % misnamed", true, true, 0.1},
      {"range 0.5 % long, not told", false, false, 0.0, 1.005},
      {"range 0.5 % long, told", true, false, 0.0, 1.005},
      {"range 0.5 % long, measured", true, true, 0.0, 1.005},
      {"range 0.5 % long, measured, 10 % misnamed", true, true, 0.1, 1.005},
  };
  return all;
}

simulator::Plan plan_of(std::uint64_t house, int lines, const Telling& telling) {
  simulator::Plan plan = simulator::random_house(house);
  if (telling.range_scale == 1.0) {
    plan.defects = simulator::calibrated(plan.defects);
    plan.uncertainties_stated = true;
  }
  plan.defects.range_scale = simulator::Knob::fixed(telling.range_scale);
  plan.defects.line_misnamed_rate = simulator::Knob::fixed(telling.misnamed_rate);
  plan.lines = simulator::lay_out_lines(plan, lines);
  plan.lines_measured = telling.measured;
  return plan;
}

struct Case {
  std::uint64_t house = 0;
  double ate_m = 0.0;
  double frame_m = 0.0;  ///< root mean square of the path's error without any alignment, house frame
  bool in_house_frame = false;
  double scale_error = 0.0;  ///< found range scale * true one - 1
  double scale_sd = 0.0;     ///< as stated
  int misnamed = 0;          ///< rows that have another line's name,
  int misnamed_used = 0;     ///< and those of them that the map was made with
  int right = 0;
  int right_left_out = 0;
};

/// Which rows were misnamed the same drive without misnaming tells.
void score_rows(const std::vector<FollowedStretch>& told, const std::vector<FollowedStretch>& right, const Map& map,
                Case& score) {
  std::set<std::size_t> left_out;
  for (const LeftOutStretch& s : map.lines.left_out) left_out.insert(s.stretch);
  for (std::size_t i = 0; i < told.size(); ++i) {
    const bool used = left_out.count(i) == 0;
    const bool misnamed = told[i].line != right[i].line;
    score.misnamed += misnamed ? 1 : 0;
    score.misnamed_used += misnamed && used ? 1 : 0;
    score.right += misnamed ? 0 : 1;
    score.right_left_out += !misnamed && !used ? 1 : 0;
  }
}

/// The rows as they are where none is misnamed.
std::vector<FollowedStretch> right_rows(simulator::Plan plan, std::uint64_t house) {
  plan.defects.line_misnamed_rate = simulator::Knob::fixed(0.0);
  return simulator::follow_lines(plan, simulator::drive_route(plan, house), house);
}

Case scored(std::uint64_t house, const Options& bench, const Telling& telling) {
  const simulator::Plan plan = plan_of(house, bench.lines, telling);
  simulator::SimulatedDrive simulated = simulator::simulate(plan, house);
  if (!telling.told) simulated.followed.clear();
  const Drive drive = written_and_read(simulated, plan.robot);
  MapperOptions options;
  options.threads = 1;
  const Map map = build_map(drive, options);
  Case score;
  score.house = house;
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.pose});
  score.ate_m = absolute_trajectory_error(path, simulated.truth.trajectory).position_rmse_m;
  score.frame_m = without_alignment_m(map, simulated.truth.trajectory);
  score.in_house_frame = map.markers.frame_by_survey;
  for (const RefinedConstant& c : map.constants) {
    if (c.name != "lidar.range_scale") continue;
    score.scale_error = c.found * simulated.truth.lidar.range_scale - 1.0;
    score.scale_sd = c.found_sd / c.found;
  }
  if (telling.told) score_rows(drive.followed, right_rows(plan, house), map, score);
  fmt::print(stderr,
             "{}, house {}: {:.2f} mm, in the house's frame {}, scale {:+.3f} % ({:.3f} % stated), {} rows, {} "
             "misnamed, {} of them used, {} right ones left out, noise {:.1f} mm, aside {:+.1f} mm\n",
             telling.name, house, 1e3 * score.ate_m,
             score.in_house_frame ? fmt::format("{:.1f} mm", 1e3 * score.frame_m) : "-", 100.0 * score.scale_error,
             100.0 * score.scale_sd, score.misnamed + score.right, score.misnamed, score.misnamed_used,
             score.right_left_out, 1e3 * map.lines.noise_m, 1e3 * map.lines.aside_m);
  return score;
}

/// How the error of each house changes against that of the same drive of which nothing was told.
std::string change_text(const std::vector<Case>& cases, const std::vector<Case>* plain) {
  if (plain == nullptr) return fmt::format("{:>8}{:>8}", "-", "-");
  std::vector<double> changes_mm;
  for (const Case& c : cases) {
    for (const Case& p : *plain) {
      if (p.house == c.house) changes_mm.push_back(1e3 * (c.ate_m - p.ate_m));
    }
  }
  if (changes_mm.empty()) return fmt::format("{:>8}{:>8}", "-", "-");
  std::sort(changes_mm.begin(), changes_mm.end());
  return fmt::format("{:>+8.2f}{:>+8.2f}", changes_mm[(changes_mm.size() - 1) / 2], changes_mm.back());
}

std::string row(const Telling& telling, const std::vector<Case>& cases, const std::vector<Case>* plain) {
  const Spread ate = spread_of(cases, [](const Case& c) { return 1e3 * c.ate_m; });
  const Spread scale = spread_of(cases, [](const Case& c) { return 100.0 * c.scale_error; });
  std::vector<Case> framed;
  Case sum;
  for (const Case& c : cases) {
    if (c.in_house_frame) framed.push_back(c);
    sum.misnamed += c.misnamed;
    sum.misnamed_used += c.misnamed_used;
    sum.right += c.right;
    sum.right_left_out += c.right_left_out;
  }
  const Spread frame = spread_of(framed, [](const Case& c) { return 1e3 * c.frame_m; });
  const std::string in_house =
      framed.empty() ? "-" : fmt::format("{} {:.1f} {:.1f}", framed.size(), frame.median, frame.worst);
  return fmt::format("{:<44}{:>7.2f}{:>7.2f}{}{:>14}{:>8.3f}{:>7.3f}{:>8}{:>8}{:>9}\n", telling.name, ate.median,
                     ate.worst, change_text(cases, plain), in_house, scale.median, scale.worst,
                     held_text(cases, [](const Case& c) { return std::optional(c.scale_error / c.scale_sd); }),
                     fmt::format("{}/{}", sum.misnamed_used, sum.misnamed),
                     fmt::format("{}/{}", sum.right_left_out, sum.right));
}

void print_heading(const Options& options) {
  fmt::print(
      "Simulated: houses {} to {}, up to {} lines each. ATE: median and worst, mm; change: of the same drive's ATE "
      "against not telling, median and worst, mm; house: maps in the house's frame and their error there, median and "
      "worst, mm;\nscale error: median and worst, %; held: 95 % intervals of the scale; misnamed rows used of all; "
      "right rows left out of all.\n",
      options.first, options.first + static_cast<std::uint64_t>(options.seeds) - 1, options.lines);
  fmt::print("{:<44}{:>14}{:>16}{:>14}{:>15}{:>8}{:>8}{:>9}\n", "", "ATE", "change", "house", "scale", "held", "misn.",
             "right");
}

int run(int argc, char** argv) {
  Options options;
  CLI::App app("What following lines on the floor brings, over simulated houses");
  app.add_option("--first", options.first, "first house")->capture_default_str();
  app.add_option("--seeds", options.seeds, "how many houses")->check(CLI::Range(1, 10000))->capture_default_str();
  app.add_option("--lines", options.lines, "how many lines a house")->check(CLI::Range(1, 200))->capture_default_str();
  app.add_option("--only", options.only, "one way of telling, by its name in the table; may be given often");
  CLI11_PARSE(app, argc, argv);
  print_heading(options);
  std::map<double, std::vector<Case>> plain;  // by range scale
  for (const Telling& telling : all_tellings()) {
    const bool asked =
        options.only.empty() || std::find(options.only.begin(), options.only.end(), telling.name) != options.only.end();
    if (!asked) continue;
    std::vector<Case> cases;
    for (int i = 0; i < options.seeds; ++i) {
      const std::uint64_t house = options.first + static_cast<std::uint64_t>(i);
      try {
        cases.push_back(scored(house, options, telling));
      } catch (const PoorData& poor) {
        fmt::print(stderr, "{}, house {}: {}\n", telling.name, house, poor.what());
      }
    }
    const auto same_drives = plain.find(telling.range_scale);
    fmt::print("{}", row(telling, cases, same_drives == plain.end() ? nullptr : &same_drives->second));
    std::fflush(stdout);
    if (!telling.told) plain[telling.range_scale] = std::move(cases);
  }
  return 0;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) { return wainscot::bench::run(argc, argv); }
