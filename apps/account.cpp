#include "apps/account.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <optional>

#include <fmt/format.h>

#include "apps/mapping/left_out.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "graph/mapping/wall_direction.hpp"
#include "io/number_text.hpp"
#include "io/results/line_account.hpp"
#include "io/results/marker_account.hpp"
#include "io/results/scale_account.hpp"
#include "io/robot/gyro_line.hpp"
#include "io/spelling.hpp"
#include "io/verdict_text.hpp"
#include "io/warnings.hpp"

namespace wainscot {
namespace {

std::string scan_line(const Quality& quality) {
  std::string line = count_text(static_cast<std::size_t>(quality.scans_used), "scan") + " used";
  if (quality.scans_outside_odometry > 0) {
    line += fmt::format(", {} left out because odometry does not cover them",
                        whole_text(static_cast<std::size_t>(quality.scans_outside_odometry)));
  }
  if (quality.scans_without_enough_returns > 0) {
    line += fmt::format(", {} left out with too few returns",
                        whole_text(static_cast<std::size_t>(quality.scans_without_enough_returns)));
  }
  if (quality.scans_while_carried > 0) {
    line += fmt::format(", {} left out because the robot was carried or slid",
                        whole_text(static_cast<std::size_t>(quality.scans_while_carried)));
  }
  return line + ".\n";
}

std::string closure_line(const Map& map, const MapOrigin& origin) {
  const std::string graph = fmt::format("Graph: {}, {}", count_text(map.graph.nodes.size(), "node"),
                                        count_text(map.graph.edges.size(), "edge"));
  if (!origin.loops_closed) return graph + "; loops were not closed (--no-loop-closure).\n";
  const auto accepted =
      static_cast<std::size_t>(std::count_if(map.candidates.begin(), map.candidates.end(),
                                             [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; }));
  return fmt::format("{}; {} accepted, {} rejected.\n", graph, count_text(accepted, "loop closure"),
                     count_text(map.candidates.size() - accepted, "candidate"));
}

/// Accepted candidates that join a drive to one before it.
std::size_t closures_to_earlier_drives(const Map& map, int drive) {
  const auto of = [&map](std::size_t node) { return map.graph.nodes[node].drive; };
  return static_cast<std::size_t>(
      std::count_if(map.candidates.begin(), map.candidates.end(), [&](const LoopCandidate& c) {
        return c.verdict == Verdict::accepted && std::max(of(c.from), of(c.to)) == drive && of(c.from) != of(c.to);
      }));
}

std::string constant_lines(const std::vector<RefinedConstant>& constants, const LeftOut& left_out, bool one_drive) {
  std::string refined;
  std::string unobserved;
  std::size_t widest = 0;
  for (const RefinedConstant& c : constants) widest = c.observed ? std::max(widest, c.name.size()) : widest;
  for (const RefinedConstant& c : constants) {
    if (is_left_out(left_out, c.name)) continue;
    if (c.observed) {
      const UncertainText found = uncertain_text(c.found, c.found_sd);
      const std::string unit = c.unit == "1" ? "" : " " + c.unit;
      fmt::format_to(std::back_inserter(refined), "  {:<{}}  {}{} stated, {}{} found (standard uncertainty {}{})\n",
                     c.name, widest, uncertain_text(c.stated, c.found_sd).value, unit, found.value, unit, found.sd,
                     unit);
    } else {
      unobserved += (unobserved.empty() ? "" : ", ") + c.name;
    }
  }
  std::string lines;
  if (!refined.empty()) {
    lines += fmt::format("Constants that {} refined:\n", one_drive ? "this drive" : "the drives") + refined;
  }
  if (!unobserved.empty()) {
    lines += fmt::format("Constants that {} did not settle: {}.\n", one_drive ? "it" : "they", unobserved);
  }
  return lines;
}

/// What a later drive saw otherwise, the largest first.
std::string between_lines(const std::vector<Change>& changes) {
  constexpr std::size_t kMostLines = 8;
  std::string lines;
  std::size_t count = 0;
  for (const Change& change : changes) {
    if (change.since_drive == 0 || ++count > kMostLines) continue;
    const Eigen::Vector2d middle = 0.5 * (change.from_m + change.to_m);
    lines += fmt::format("  drive {}: {} at x, y = ({:.1f}, {:.1f}) m, {} long{}\n", change.since_drive,
                         change.appeared ? "new" : "gone", middle.x(), middle.y(),
                         length_text((change.to_m - change.from_m).norm()), change.door ? ", perhaps a door" : "");
  }
  if (count == 0) return "";
  if (count > kMostLines) lines += fmt::format("  and {} more; report.html lists them.\n", count - kMostLines);
  return "Not as it was on the map before:\n" + lines;
}

std::string change_lines(const std::vector<Change>& changes) {
  constexpr std::size_t kMostPlaces = 6;
  std::string places;
  std::size_t doors = 0;
  std::size_t things = 0;
  for (const Change& change : changes) {
    if (change.since_drive != 0) continue;
    things += change.door ? 0 : 1;
    if (!change.door || ++doors > kMostPlaces) continue;
    const Eigen::Vector2d middle = 0.5 * (change.from_m + change.to_m);
    places += fmt::format("{}({:.1f}, {:.1f})", doors == 1 ? "" : ", ", middle.x(), middle.y());
  }
  std::string lines;
  if (doors > 0) {
    lines += fmt::format("Seen both open and closed: {} that {} like a door, at x, y = {}{} m.\n",
                         count_text(doors, "place"), doors == 1 ? "looks" : "look", places,
                         doors > kMostPlaces ? ", ..." : "");
  }
  if (things > 0) {
    lines += fmt::format("There at one time and gone at another: {}; report.html lists {}.\n",
                         count_text(things, "other thing"), things == 1 ? "it" : "them");
  }
  return lines;
}

/// Is it good? Where not? What now?
std::string verdict_lines(const MapVerdict& verdict, const std::string& next_command) {
  return fmt::format("Verdict: {}\nNext: {}\n", verdict_sentence(verdict),
                     verdict.next.empty() ? next_command : verdict.next + ".");
}

std::string scale_lines(const Map& map) {
  std::string text = fmt::format("Scale: set by {}, standard uncertainty {}.\n", map.quality.scale_set_by,
                                 percent_text(map.quality.scale_sd));
  if (const std::string tapes = tape_sentences(map.tapes); !tapes.empty()) text += "Tapes: " + tapes + "\n";
  if (const std::string remedies = remedy_sentence(map.scale_remedies); !remedies.empty()) text += remedies + "\n";
  return text;
}

std::string sureness_lines(const Quality& q) {
  return fmt::format(
      "How sure: a place is believed right within {} (worst {}) of the map as a whole, within {} (worst {}) of "
      "where it began, scale included; a heading within {} (worst {}); standard uncertainties.\n"
      "Odometry alone ends {} away from the end of the path found.\n",
      length_text(q.place_sd_m), length_text(q.place_sd_worst_m), length_text(q.position_sd_median_m),
      length_text(q.position_sd_worst_m), angle_text(q.heading_sd_median_rad), angle_text(q.heading_sd_worst_rad),
      length_text(q.start_to_end_odometry_m));
}

std::string frame_line(const Map& map, const MapOrigin& origin) {
  // The survey's frame is told with the markers.
  if (origin.frame == FrameSetBy::first_scan || origin.frame == FrameSetBy::survey) return "";
  const Pose2& first = map.trajectory.front().pose;
  const std::string begin = fmt::format("the drive begins at ({}, {}) m, heading {}", fixed_text(first.x_m, 2),
                                        fixed_text(first.y_m, 2), angle_text(wrap_angle(first.heading_rad)));
  if (origin.frame == FrameSetBy::user) return fmt::format("Frame: yours; {}.\n", begin);
  const std::optional<WallDirection> walls = wall_direction(map.wall_pieces);
  if (!walls) return "Frame: not turned, since the map has no walls.\n";
  return fmt::format("Frame: turned upright; {} of the walls run along its axes (to 5°); {}.\n",
                     percent_text(walls->share), begin);
}

std::string first_line(const Map& map, Drives drives, const MapOrigin& origin) {
  const char* simulated = origin.simulated ? " (simulated)" : "";
  if (map.shares.size() < 2) {
    return fmt::format("Mapped {}{}: {} driven in {}.\n", printable(drives.front().name, 100), simulated,
                       length_text(map.quality.path_length_m), duration_text(map.quality.duration_s));
  }
  std::string text = fmt::format("A map of {}{}: {} driven in {}.\n", count_text(drives.size(), "drive"), simulated,
                                 length_text(map.quality.path_length_m), duration_text(map.quality.duration_s));
  for (std::size_t i = 0; i < map.shares.size(); ++i) {
    const DriveShare& share = map.shares[i];
    text += fmt::format("  drive {}, {}: {} in {}, {}", i + 1, printable(drives[i].name, 100),
                        length_text(share.path_length_m), duration_text(share.duration_s),
                        count_text(static_cast<std::size_t>(share.scans_used), "scan"));
    const std::size_t closures = closures_to_earlier_drives(map, static_cast<int>(i) + 1);
    text += i == 0 ? "\n" : fmt::format(", {} to earlier drives\n", count_text(closures, "loop closure"));
  }
  return text;
}

/// What the drives tell of the robot, as lines for robot.yaml where that helps the next drive.
std::string found_lines(const Map& map, Drives drives, const std::filesystem::path& map_folder) {
  const bool one_drive = map.shares.size() < 2;
  const Robot& robot = drives.front().robot;
  std::string text = constant_lines(map.constants, robot.left_out, one_drive);
  text += left_out_lines(robot, map, map_folder);
  if (const std::string line = gyro_line(map, robot); !line.empty()) {
    text += fmt::format("For robot.yaml, the gyro as {} found it:\n  {}\n",
                        one_drive ? "this drive" : "the drives (the bias is that of drive 1)", line);
  }
  return text;
}

}  // namespace

std::string account(const Map& map, Drives drives, const MapOrigin& origin, const std::filesystem::path& drive_folder,
                    const std::filesystem::path& map_folder) {
  const MapVerdict verdict = map_verdict(map, drives);
  const std::string folder = shell_word(map_folder.string());
  const std::string command =
      drives.front().truth.empty() || drive_folder.empty()
          ? fmt::format("wainscot draw {} --out plan.png", folder)
          : fmt::format("wainscot compare {} --truth {}", folder, shell_word((drive_folder / "truth.csv").string()));
  std::string text = verdict_lines(verdict, command);
  text += first_line(map, drives, origin);
  text += scan_line(map.quality);
  text += closure_line(map, origin);
  text += frame_line(map, origin);
  // What a wreck found of the robot is no more to be trusted than its walls.
  if (verdict.grade != Grade::unusable) text += found_lines(map, drives, map_folder);
  if (const std::string markers = marker_sentences(map.markers); !markers.empty()) {
    text += "Markers: " + markers + "\n";
  }
  if (const std::string lines = line_sentences(map); !lines.empty()) text += "Lines: " + lines + "\n";
  text += change_lines(map.changes);
  text += between_lines(map.changes);
  if (verdict.grade != Grade::unusable) text += scale_lines(map) + sureness_lines(map.quality);
  for (const std::string& warning : all_warnings(drives, map)) text += "Warning: " + warning + "\n";
  text += fmt::format("Written to {}. Look at {}{}\n", folder, shell_word((map_folder / "report.html").string()),
                      verdict.next.empty() ? "" : ", or try: " + command);
  return text + "Caution: " + map_caution + "\n";
}

}  // namespace wainscot
