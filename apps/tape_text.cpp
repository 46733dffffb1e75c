#include "apps/tape_text.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr int kDecimals = 4;  // a tenth of a millimetre

std::string place_text(const Eigen::Vector2d& p) {
  return fmt::format("({}, {})", fixed_text(p.x(), 2), fixed_text(p.y(), 2));
}

const char* way_of(TapeKind kind) {
  switch (kind) {
    case TapeKind::across:
      return "square across from wall face to wall face";
    case TapeKind::corner_to_corner:
      return "from corner to corner";
    case TapeKind::point_to_point:
      break;
  }
  return "straight from point to point, since the faces there are not parallel: it depends on where the points lie";
}

/// Parallel faces, but points that do not lie opposite each other.
bool is_askew(const AnsweredTape& tape) {
  const TapeMeasure& m = *tape.answer.measure;
  if (m.kind != TapeKind::across) return false;
  const Eigen::Vector2d asked = (tape.asked.tape.to_m - tape.asked.tape.from_m).normalized();
  return asked.dot((m.to_m - m.from_m).normalized()) < std::cos(TapeOptions().askew_rad);
}

/// "0.31 % (standard uncertainty 0.05 %)", with as many digits as the uncertainty has.
std::string with_sd(double value, double sd, const char* unit) {
  const UncertainText text = uncertain_text(value, sd);
  return fmt::format("{} {} (standard uncertainty {} {})", text.value, unit, text.sd, unit);
}

std::string figure_text(const TapeFigure& figure, double factor, const char* unit, std::string_view subject) {
  const std::string size = with_sd(factor * std::abs(figure.value), factor * figure.sd, unit);
  const char* sign = figure.value > 0.0 ? "long" : "short";
  const std::string interval =
      fmt::format("95 % interval {} to {} {}",
                  uncertain_text(factor * (figure.value - figure.half_interval_95), factor * figure.sd).value,
                  uncertain_text(factor * (figure.value + figure.half_interval_95), factor * figure.sd).value, unit);
  const bool told = std::abs(figure.value) > figure.half_interval_95;
  return fmt::format("{} too {} by {}; {}{}.\n", subject, sign, size, interval,
                     told ? "" : ", so that it cannot be told from 0");
}

std::string agreement_text(double agreement, std::size_t count) {
  constexpr double kHardlyEver = 0.001;
  const bool hardly_ever = agreement < kHardlyEver;
  return fmt::format(
      "{}: if both are as uncertain as stated, differences as large as these come by chance in {} of cases (chi "
      "squared "
      "test, p {} {}, {}).\n",
      agreement < least_agreement ? "Map and tape do not agree" : "Map and tape agree",
      hardly_ever ? "less than 0.1 %" : percent_text(agreement), hardly_ever ? "below" : "=",
      fixed_text(hardly_ever ? kHardlyEver : agreement, 3), count_text(count, "tape"));
}

double found_or(const Map& map, std::string_view name, double stated) {
  const auto found = std::find_if(map.constants.begin(), map.constants.end(),
                                  [name](const RefinedConstant& c) { return c.name == name; });
  return found == map.constants.end() ? stated : found->found;
}

}  // namespace

std::string tape_table(const std::vector<AnsweredTape>& tapes, bool with_tape) {
  std::string text = "name,distance_m,standard_uncertainty_m";
  text += with_tape ? ",tape_m,difference_m\n" : "\n";
  for (const AnsweredTape& tape : tapes) {
    const std::optional<TapeMeasure>& measure = tape.answer.measure;
    text += measure ? fmt::format("{},{},{}", tape.asked.name, fixed_text(measure->distance_m, kDecimals),
                                  fixed_text(measure->sd_m, kDecimals))
                    : tape.asked.name + ",,";
    if (with_tape) {
      const std::optional<double>& tape_m = tape.asked.tape_m;
      text += "," + (tape_m ? short_text(*tape_m, 6) : std::string());
      text += "," + (tape_m && measure ? fixed_text(measure->distance_m - *tape_m, kDecimals) : std::string());
    }
    text += "\n";
  }
  return text;
}

bool is_odd(const AnsweredTape& tape) { return tape.answer.measure->kind != TapeKind::across || is_askew(tape); }

std::string tape_sentence(const AnsweredTape& tape, double scale_sd) {
  constexpr const char* askew = ", though the points do not lie opposite each other: put them so for a surer answer";
  const TapeMeasure& m = *tape.answer.measure;
  return fmt::format(
      "{}: {} from {} to {} m, {}, seen from {}; standard uncertainty {}, of which the map's scale gives {} and faces, "
      "poses and noise {}.\n",
      printable(tape.asked.name), fixed_text(m.distance_m, 3) + " m", place_text(m.from_m), place_text(m.to_m),
      way_of(m.kind) + std::string(is_askew(tape) ? askew : ""), count_text(static_cast<std::size_t>(m.nodes), "place"),
      length_text(m.sd_m), length_text(scale_sd * m.distance_m), length_text(m.own_sd_m));
}

std::string no_wall_sentence(const AnsweredTape& tape) {
  const auto& [from_m, to_m] = tape.answer.nearest_m;
  const double reach_m = TapeOptions().reach_m;
  const std::string name = printable(tape.asked.name);
  if (std::max(from_m, to_m) <= reach_m) {
    return fmt::format(
        "{}: walls stand {} and {} from its points, but not with the faces that such a tape would touch, or with too "
        "few "
        "returns on them; give points in front of two faces that the robot saw",
        name, length_text(from_m), length_text(to_m));
  }
  const bool first = from_m > reach_m;
  const double nearest = first ? from_m : to_m;
  if (!std::isfinite(nearest)) return name + ": the map has no walls";
  return fmt::format("{}: no wall within {} of its {} point {} m; the nearest is {} away", name, length_text(reach_m),
                     first ? "first" : "second", place_text(first ? tape.asked.tape.from_m : tape.asked.tape.to_m),
                     length_text(nearest));
}

std::string verdict_text(const TapeCheck& check, const std::vector<std::string>& names) {
  constexpr double kStandsOut = 3.3;  // one of a thousand
  std::string text = agreement_text(check.agreement, names.size());
  if (check.scale && check.bias_m) {
    text += figure_text(*check.scale, 100.0, "%", "By the tapes alone the map's lengths are");
    text += figure_text(*check.bias_m, 1000.0, "mm", "Besides, every distance across a room is");
  } else {
    text +=
        "Three tapes or more of different lengths would tell the map's scale from a shift that all distances share.\n";
  }
  const auto worst = std::max_element(check.standardised.begin(), check.standardised.end(),
                                      [](double a, double b) { return std::abs(a) < std::abs(b); });
  if (std::abs(*worst) > kStandsOut) {
    text += fmt::format("Measure {} again: it is {} standard uncertainties off{}.\n",
                        printable(names[static_cast<std::size_t>(worst - check.standardised.begin())]),
                        fixed_text(std::abs(*worst), 1), check.scale ? " what the others say" : "");
  }
  return text;
}

std::string robot_lines(const Map& map, const Robot& stated, const MapCorrection& correction) {
  const double shrink = 1.0 / (1.0 + correction.scale);
  std::string text;
  if (stated.drive) {
    const auto wheel = [&](const char* key, double value) {
      return fmt::format("  {}: {:.7g}\n", key, shrink * found_or(map, fmt::format("drive.{}", key), value));
    };
    const DriveConstants& d = *stated.drive;
    const double left = shrink * found_or(map, "drive.left_m_per_tick", d.left_m_per_tick);
    const double right = shrink * found_or(map, "drive.right_m_per_tick", d.right_m_per_tick);
    text += "drive:\n" + wheel("left_m_per_tick", d.left_m_per_tick) + wheel("right_m_per_tick", d.right_m_per_tick) +
            wheel("track_width_m", d.track_width_m);
    text += fmt::format("  left_sd_m_per_tick: {:.2g}\n  right_sd_m_per_tick: {:.2g}\n",
                        correction.scale_sd * std::abs(left), correction.scale_sd * std::abs(right));
  }
  const double range_scale = found_or(map, "lidar.range_scale", stated.lidar.range_scale);
  const double offset = found_or(map, "lidar.range_offset_m", stated.lidar.range_offset_m);
  text += fmt::format("lidar:\n  range_scale: {}\n  range_offset_m: {}\n", fixed_text(shrink * range_scale, 5),
                      fixed_text(shrink * (offset - correction.range_offset_m), 4));
  return text;
}

}  // namespace wainscot
