#include "apps/calibration_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "graph/calibrate/missing_drives.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

using Text = std::back_insert_iterator<std::string>;

/// One row of a table of constants.
struct Row {
  std::string name;
  std::string unit;
  std::optional<double> before;  // nullopt: robot.yaml leaves it out
  double found = 0.0;
  double sd = 0.0;
  double half_width = 0.0;
  bool observed = true;
};

std::string table(const std::vector<Row>& rows) {
  std::string text = fmt::format("{:<34}{:>14}{:>14}{:>13}{:>13}  {}\n", "constant", "robot.yaml", "found", "std. unc.",
                                 "95 % ±", "unit");
  for (const Row& row : rows) {
    if (!row.observed) {
      fmt::format_to(Text(text), "{:<34}{:>14}{:>14}\n", row.name,
                     row.before ? short_text(*row.before, 9) : std::string("left out"), "not shown");
      continue;
    }
    const UncertainText found = uncertain_text(row.found, row.sd);
    fmt::format_to(Text(text), "{:<34}{:>14}{:>14}{:>13}{:>13}  {}\n", row.name,
                   row.before ? uncertain_text(*row.before, row.sd).value : std::string("left out"), found.value,
                   found.sd, uncertain_text(row.half_width, row.sd).value, row.unit);
  }
  return text;
}

Row row_of(const std::string& name, const std::string& unit, double before, const Estimate& found) {
  return {name, unit, before, found.value, found.sd, found.half_width, true};
}

std::string cell(const std::optional<double>& value, double factor, int decimals) {
  return value ? fixed_text(factor * *value, decimals) : std::string("-");
}

std::string residual_text(const RunCalibration& found) {
  std::size_t widest = 4;
  for (const RunResidual& r : found.residuals) widest = std::max(widest, r.run.size());
  std::string text = fmt::format("\nMeasured less expected of each run\n{:<{}}{:>13}{:>13}{:>13}{:>12}\n", "run",
                                 widest, "forward, mm", "left, mm", "turn, deg", "stands out");
  for (const RunResidual& r : found.residuals) {
    fmt::format_to(Text(text), "{:<{}}{:>13}{:>13}{:>13}{:>12}{}\n", r.run, widest, cell(r.forward_m, 1e3, 1),
                   cell(r.left_m, 1e3, 1), cell(r.turn_rad, 1.0 / kDegree, 2),
                   r.worst.empty() ? "unchecked" : fixed_text(r.worst_ratio, 1), r.odd() ? "  odd" : "");
  }
  text += "(stands out: the largest of the run's deviations in standard deviations, as all other runs have them)\n";
  for (const RunResidual& r : found.residuals) {
    if (!r.odd()) continue;
    fmt::format_to(
        Text(text),
        "Odd: {}, whose {} is {} standard deviations off, where the largest of so many good ones stays below "
        "{} in 19 of 20 sets. Measure it again, or see what it changes with --leave-out {}.\n",
        r.run, r.worst, fixed_text(r.worst_ratio, 1), fixed_text(r.limit, 1), r.run);
  }
  return text;
}

std::string surface_text(const RunCalibration& found) {
  if (!found.surface_test) return {};
  const SurfaceTest& test = *found.surface_test;
  std::string text = fmt::format("\nDo the surfaces differ? F({}, {}) = {}, p = {}: ", fixed_text(test.above, 0),
                                 fixed_text(test.below, 1), fixed_text(test.f, 2),
                                 test.p < 0.001 ? "less than 0.001" : fixed_text(test.p, 3));
  text += test.p < 0.05 ? "yes, use a width for each.\n"
                        : "not that these runs could tell; one width, the mean, serves as well.\n";
  return text;
}

std::string worth_text(const RunCalibration& found) {
  std::string text =
      "\nWhat that is worth: standard deviations of the end, by the constants, and by the wheels' scatter anew each "
      "time\n";
  std::size_t widest = 0;
  for (const ExpectedError& e : found.expected) widest = std::max(widest, e.drive.size());
  for (const ExpectedError& e : found.expected) {
    // "°" is two bytes and one column.
    const auto pad = static_cast<int>(widest - e.drive.size()) + (e.drive.find("°") == std::string::npos ? 0 : 1);
    fmt::format_to(Text(text), "  {}{:{}}  {} along, {} across, {}; scatter {}, {}\n", e.drive, "", pad,
                   length_text(e.along_m), length_text(e.across_m), angle_text(e.turn_rad), length_text(e.scatter_m),
                   angle_text(e.scatter_rad));
  }
  const MoreRuns& more = found.more;
  fmt::format_to(Text(text), "The least sure is {} ({}). ", more.constant, percent_text(more.relative_sd));
  if (more.count == 0) {
    text += "More runs of one kind would not halve that; measure more exactly.\n";
  } else {
    fmt::format_to(Text(text), "Half of that would take {} more {}.\n", more.count, more.kind);
  }
  return text;
}

std::string point_text(const Eigen::Vector2d& p) {
  return fmt::format("({}, {}) mm", fixed_text(1e3 * p.x(), 1), fixed_text(1e3 * p.y(), 1));
}

}  // namespace

std::string calibration_text(const CalibrationRuns& runs, const RunCalibration& found) {
  const DriveConstants& before = *runs.robot.drive;
  std::vector<Row> rows{row_of("left_m_per_tick", "m/tick", before.left_m_per_tick, found.left_m_per_tick),
                        row_of("right_m_per_tick", "m/tick", before.right_m_per_tick, found.right_m_per_tick)};
  for (const SurfaceWidth& surface : found.surfaces) {
    const auto stated = before.track_width_by_surface_m.find(surface.surface);
    rows.push_back(row_of("track_width_m on " + surface.surface, "m",
                          stated != before.track_width_by_surface_m.end() ? stated->second : before.track_width_m,
                          surface.width_m));
  }
  rows.push_back(row_of("track_width_m, mean of surfaces", "m", before.track_width_m, found.mean_width_m));
  std::string text = fmt::format("The wheels' constants from {} on {}\n\n", count_text(runs.runs.size(), "run"),
                                 count_text(found.surfaces.size(), "surface"));
  text += table(rows);
  fmt::format_to(Text(text),
                 "{} measurements more than unknowns. Against what sd_m, sd_deg and motion_noise state, straights "
                 "scatter {}-fold, turns {}-fold, other ends {}-fold.\n",
                 fixed_text(found.surplus, 0), fixed_text(found.way_scatter, 2), fixed_text(found.turn_scatter, 2),
                 fixed_text(found.place_scatter, 2));
  return text + surface_text(found) + residual_text(found) + worth_text(found);
}

std::string square_text(const CalibrationRuns& runs, const SquareTest& test, const RunCalibration& found) {
  const SquarePathResult& r = test.found;
  const WheelGeometry all{found.left_m_per_tick.value, found.right_m_per_tick.value, found.width_m(test.surface)};
  std::string text = fmt::format(
      "\nSquare-path test (Borenstein & Feng 1996) on {}: {} clockwise, {} counter-clockwise, sides of {}\n",
      test.surface, count_text(static_cast<std::size_t>(test.clockwise), "square"), test.counter_clockwise,
      length_text(test.side_m));
  fmt::format_to(Text(text), "  centres of the return errors   clockwise {}, counter-clockwise {}\n",
                 point_text(r.clockwise_centre_m), point_text(r.counter_clockwise_centre_m));
  fmt::format_to(Text(text), "  turns too wide or too narrow   {} each: E_b {} (true by stated track width)\n",
                 angle_text(r.alpha_rad), fixed_text(r.width_ratio, 5));
  fmt::format_to(Text(text), "  straights that bend            {} each: E_d {} (right by left wheel)\n",
                 angle_text(r.beta_rad), fixed_text(r.diameter_ratio, 5));
  fmt::format_to(Text(text), "  corrections                    c_L {}, c_R {}: {:.6g} and {:.6g} m/tick, width {} m\n",
                 fixed_text(r.left_factor, 5), fixed_text(r.right_factor, 5), test.corrected.left_m_per_tick,
                 test.corrected.right_m_per_tick, fixed_text(test.corrected.track_width_m, 5));
  fmt::format_to(
      Text(text),
      "  E_max,syst                     {} before, {} with these corrections, {} with the constants from all "
      "runs (on these same squares)\n",
      length_text(r.largest_systematic_m), length_text(largest_systematic_m(runs, test, test.corrected)),
      length_text(largest_systematic_m(runs, test, all)));
  if (std::min(test.clockwise, test.counter_clockwise) < 5) {
    text += "  The procedure asks for five squares each way; with fewer, chance is a part of these figures.\n";
  }
  return text;
}

std::string calibration_text(const Drive& drive, const DriveCalibration& found,
                             const std::optional<MappedCalibration>& mapped) {
  const DriveConstants& before = *drive.robot.drive;
  const LidarConstants& lidar = drive.robot.lidar;
  const LeftOut& left_out = drive.robot.left_out;
  const auto row = [&](DriveConstant c, const char* name, const char* unit, double stated, double value,
                       double factor) {
    const bool is_out = c < kLidarX ? left_out.wheels : c != kClockOffset && left_out.mounting;
    return Row{name,
               unit,
               is_out ? std::nullopt : std::optional(stated),
               value,
               factor * found.sd(c),
               factor * found.half_width(c),
               found.observed[static_cast<std::size_t>(c)]};
  };
  const double offset = lidar.time_offset_s + found.found[kClockOffset];
  std::string text = fmt::format(
      "Constants from the drive {}: {} of the lidar over {} of way, {} of turns to the left "
      "and {} to the right\n\n",
      drive.name, count_text(static_cast<std::size_t>(found.increments), "increment"), length_text(found.way_m),
      angle_text(found.left_turn_rad), angle_text(found.right_turn_rad));
  text +=
      table({row(kLeftPerTick, "left_m_per_tick", "m/tick", before.left_m_per_tick, found.found[kLeftPerTick], 1.0),
             row(kRightPerTick, "right_m_per_tick", "m/tick", before.right_m_per_tick, found.found[kRightPerTick], 1.0),
             row(kTrackWidth, "track_width_m", "m", before.track_width_m, found.found[kTrackWidth], 1.0),
             row(kLidarX, "lidar.x_m", "m", lidar.x_m, found.found[kLidarX], 1.0),
             row(kLidarY, "lidar.y_m", "m", lidar.y_m, found.found[kLidarY], 1.0),
             row(kLidarHeading, "lidar.heading_deg", "deg", lidar.heading_deg, found.found[kLidarHeading] / kDegree,
                 1.0 / kDegree),
             row(kClockOffset, "lidar.time_offset_s", "s", lidar.time_offset_s, offset, 1.0)});
  fmt::format_to(Text(text),
                 "The lidar's metre sets all lengths here (0.5 % of them is in their uncertainties); straights with a "
                 "tape (wainscot calibrate RUNS) set them better.\nFrom scan to scan the wheels are {} and {} off the "
                 "lidar (RMS).\n",
                 length_text(found.residual_m), angle_text(found.residual_rad));
  if (mapped) {
    fmt::format_to(Text(text), "In the map that these constants give, {} of the returns lie on walls{}.\n",
                   percent_text(mapped->matched_fraction),
                   mapped->trustworthy ? "; where the lidar sits is from there" : ", too few to believe it");
  }
  for (const std::string& sentence : missing_drives(found)) text += sentence + "\n";
  return text;
}

namespace {

struct ToldConstant {
  DriveConstant constant;
  const char* name;
  const char* unit;
  double factor;
};

constexpr std::array<ToldConstant, kDriveConstants> kToldConstants{
    {{kLeftPerTick, "left_m_per_tick", "m/tick", 1.0},
     {kRightPerTick, "right_m_per_tick", "m/tick", 1.0},
     {kTrackWidth, "track_width_m", "m", 1.0},
     {kLidarX, "lidar.x_m", "m", 1.0},
     {kLidarY, "lidar.y_m", "m", 1.0},
     {kLidarHeading, "lidar.heading_deg", "deg", 1.0 / kDegree},
     {kClockOffset, "lidar.time_offset_s", "s", 1.0}}};

/// Who knows a constant best, metre and all; nullptr: nobody.
const Witness* who_knows_best(const std::vector<Witness>& witnesses, DriveConstant c) {
  const Witness* best = nullptr;
  double least = 0.0;
  for (const Witness& witness : witnesses) {
    if (!witness.knows[static_cast<std::size_t>(c)]) continue;
    const double metre = c <= kTrackWidth ? witness.metre_sd * witness.value[c] : 0.0;
    const double variance = witness.covariance(c, c) + metre * metre;
    if (best != nullptr && variance >= least) continue;
    best = &witness;
    least = variance;
  }
  return best;
}

std::string contradiction_text(const Contradiction& c, const Robot& before) {
  const ToldConstant& told = kToldConstants.at(static_cast<std::size_t>(c.constant));
  const double base = c.constant == kClockOffset ? before.lidar.time_offset_s : 0.0;
  const std::string others = c.others.empty() ? "the others" : c.others;
  const std::string figures = fmt::format("{} is {:.6g} {} by {} and {:.6g} {} by {}, {} standard uncertainties apart",
                                          told.name, told.factor * (base + c.says), told.unit, c.witness,
                                          told.factor * (base + c.others_say), told.unit, others, fixed_text(c.sds, 1));
  if (c.constant == kClockOffset) {
    return "Not the same each time: " + figures +
           ". A clock's delay may be another after each start; build finds it in every drive.\n";
  }
  return "Contradiction: " + figures +
         ". Both count, with wider uncertainties. Look for a slip with the tape, and which of them has other wheels, "
         "another load or another floor; then calibrate without it.\n";
}

/// What a tape beside a drive tells of the lidar's metre.
std::string metre_text(const CombinedCalibration& found, const Robot& before) {
  if (const double off = std::abs(found.lidar_metre - 1.0); off >= kMostMetreOff && found.lidar_metre_sd < 0.5 * off) {
    return fmt::format(
        "Tape and lidar are {} apart, more than a lidar's metre usually is off: measure a straight again before you "
        "believe either.\n",
        percent_text(off));
  }
  if (!found.tells_metre()) return "";
  const UncertainText metre = uncertain_text(found.lidar_metre, found.lidar_metre_sd);
  return fmt::format(
      "The lidar's ranges are {} times the true ones (standard uncertainty {}), by the tape. With range_scale: {} "
      "under lidar they are right; --write puts that in.\n",
      metre.value, metre.sd, short_text(before.lidar.range_scale / found.lidar_metre, 5));
}

}  // namespace

std::string combined_text(const std::vector<Witness>& witnesses, const CombinedCalibration& found,
                          const Robot& before) {
  std::string names;
  for (const Witness& witness : witnesses) names += (names.empty() ? "" : ", ") + witness.name;
  std::string text =
      fmt::format("All together ({}): each constant by how well each knows it\n\n{:<24}{:>14}{:>13}{:>13}  {:<8}{}\n",
                  names, "constant", "found", "std. unc.", "95 % ±", "unit", "known best to");
  for (const ToldConstant& row : kToldConstants) {
    const Witness* who = who_knows_best(witnesses, row.constant);
    if (who == nullptr) continue;
    const double base = row.constant == kClockOffset ? before.lidar.time_offset_s : 0.0;
    const double sd = row.factor * found.all.sd(row.constant);
    const UncertainText value = uncertain_text(row.factor * (base + found.all.found[row.constant]), sd);
    fmt::format_to(Text(text), "{:<24}{:>14}{:>13}{:>13}  {:<8}{}\n", row.name, value.value, value.sd,
                   uncertain_text(row.factor * found.half_width(row.constant), sd).value, row.unit, who->name);
  }
  text += metre_text(found, before);
  for (const Contradiction& c : found.contradictions) text += contradiction_text(c, before);
  return text;
}

}  // namespace wainscot
