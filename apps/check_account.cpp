#include "apps/check_account.hpp"

#include <cctype>
#include <iterator>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

std::string pace_line(const std::string& file, const Pace& pace, const std::string& more) {
  std::string line = fmt::format("  {}: {}", file, count_text(pace.rows, "row"));
  if (pace.interval_s > 0.0) line += fmt::format(", {} a second", short_text(1.0 / pace.interval_s, 1));
  line += more;
  if (pace.steady && pace.lost > 0) {
    line += fmt::format(", {} lost ({})", whole_text(pace.lost),
                        percent_text(static_cast<double>(pace.lost) / static_cast<double>(pace.lost + pace.rows)));
  }
  return line +
         fmt::format("; longest gap {} s at {} s\n", fixed_text(pace.longest_s, 2), fixed_text(pace.longest_at_s, 1));
}

std::string contents_lines(const LogContents& c, const Drive& drive, bool simulated) {
  std::string text = fmt::format("{}{}: {}, {} driven, {} turned in all.\n", printable(drive.name, 100),
                                 simulated ? " (simulated)" : "", duration_text(c.duration_s), length_text(c.way_m),
                                 angle_text(c.turned_rad));
  text += pace_line(drive.wheels.empty() ? "odometry" : "wheels", c.motion, "");
  text += pace_line("scans", c.scans, fmt::format(", {} returns each (median)", short_text(c.returns_per_scan, 0)));
  if (c.gyro_rows > 0) text += fmt::format("  gyro: {}\n", count_text(c.gyro_rows, "row"));
  return text + fmt::format("  Fastest {} m/s and {}°/s; standing {} of the time.\n", fixed_text(c.most_m_s, 2),
                            fixed_text(kDegreesPerRadian * c.most_rad_s, 0), percent_text(c.standing_share));
}

/// "lidar.mirrored: true" as people find it in the file.
std::string yaml_line(const std::string& line) {
  const std::size_t dot = line.find('.');
  return fmt::format("   robot.yaml, under {}:   {}\n", line.substr(0, dot), line.substr(dot + 1));
}

std::string begun_large(std::string text) {
  if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  return text;
}

std::string finding_lines(std::size_t number, const Finding& finding) {
  std::string text = fmt::format("{}. {} (confidence {} %).\n   {}.\n", number, begun_large(finding.what),
                                 short_text(100.0 * finding.confidence, 2), begun_large(finding.figure));
  if (finding.time_s) {
    text += fmt::format("   At {} s", fixed_text(*finding.time_s, 1));
    if (finding.place) {
      text += fmt::format(", by odometry {} m ahead and {} m to the left of the start",
                          fixed_text(finding.place->x_m, 2), fixed_text(finding.place->y_m, 2));
    }
    text += ".\n";
  }
  for (const std::string& line : finding.lines) text += yaml_line(line);
  if (!finding.act.empty()) text += fmt::format("   {}.\n", begun_large(finding.act));
  return text;
}

std::string constant_lines(const std::vector<MeasuredConstant>& constants) {
  if (constants.empty()) return "";
  std::string text = "\nConstants by wheels and scans (build refines what is only a little off):\n";
  for (const MeasuredConstant& c : constants) {
    const UncertainText found = uncertain_text(c.found, c.found_sd);
    fmt::format_to(std::back_inserter(text), "  {:<24}{} {} stated, {} {} found (standard uncertainty {} {})\n", c.name,
                   uncertain_text(c.stated, c.found_sd).value, c.unit, found.value, c.unit, found.sd, c.unit);
  }
  return text;
}

std::string pose_cells(const Pose2& pose) {
  return fmt::format("{:>9} m {:>9} m {:>9}°\n", fixed_text(pose.x_m, 3), fixed_text(pose.y_m, 3),
                     fixed_text(kDegreesPerRadian * pose.heading_rad, 2));
}

std::string closing_lines(const ClosingError& closing) {
  std::string text = fmt::format("\nThe drive ends {} from its start, by its scans. Odometry is off there by\n",
                                 length_text(closing.true_end.translation().norm()));
  text += fmt::format("  {:<44}{:>11} {:>11} {:>10}\n", "", "ahead", "left", "heading");
  const auto row = [](const char* name, const Pose2& pose) {
    return fmt::format("  {:<44}{}", name, pose_cells(pose));
  };
  text += row("with robot.yaml's constants", closing.error);
  text += row("with the constants found above", closing.error_as_found);
  text += row("expected of the constants' uncertainty (sd)", closing.sd_of_constants);
  text += row("expected of ordinary slip (sd)", closing.sd_of_noise);
  if (closing.cause == ClosingCause::constants) return text + "More than expected, and the constants are to blame.\n";
  if (closing.cause == ClosingCause::slip) {
    return text + "More than expected, and other constants do not cure it: the wheels slipped.\n";
  }
  return text + "That is within what is to be expected.\n";
}

}  // namespace

std::string check_account(const LogCheck& check, const Drive& drive, bool simulated,
                          const std::filesystem::path& drive_folder) {
  std::string text = contents_lines(check.contents, drive, simulated);
  if (check.findings.empty()) {
    text += "\nNothing is wrong that this log could show.\n";
  } else {
    text += fmt::format("\nFound {}, gross ones first. Mend the first one, then check again:\n",
                        count_text(check.findings.size(), "fault"));
  }
  for (std::size_t i = 0; i < check.findings.size(); ++i) text += finding_lines(i + 1, check.findings[i]);
  for (const std::string& note : check.notes) text += note + ".\n";
  text += constant_lines(check.constants);
  if (check.closing) text += closing_lines(*check.closing);
  const std::string folder = printable(drive_folder.string(), 200);
  if (check.findings.empty()) return text + fmt::format("Next: wainscot build {} --out my-map\n", folder);
  text += fmt::format("\nThen: wainscot check {}\n", folder);
  return text +
         "Caution: before you drive again, lift the wheels and check their direction and the stop switch; then drive "
         "slowly, a hand at the switch, people and pets away.\n";
}

}  // namespace wainscot
