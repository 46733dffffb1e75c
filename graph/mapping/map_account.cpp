#include "graph/mapping/map_account.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>
#include <string>
#include <utility>

#include <Eigen/Dense>

#include "core/errors.hpp"
#include "core/median.hpp"
#include "graph/mapping/adjustment_warning.hpp"
#include "graph/mapping/map_grid.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

constexpr double kDegree = std::numbers::pi / 180.0;

// One number for the whole house cannot be truer than these, however many returns it rests on (common practice, no
// source): floors differ in effective track width by some per cent, and where the two sides slip unequally, the point
// that the robot turns about moves sideways, which is the same as a lidar that sits elsewhere.
constexpr double kWidthVaries = 0.01;
constexpr double kTurningCentreVaries = 0.012;  // of half the track width

double with_floor(double sd, double floor) { return std::sqrt(sd * sd + floor * floor); }

/// One row: `stated` and `change` in the unit of the file, `factor` from the unit of the adjustment.
RefinedConstant refined(const JointResult& adjusted, const ConstantMatrix& prior, Constant c, const char* name,
                        const char* unit, double stated, double factor) {
  RefinedConstant row;
  row.name = name;
  row.unit = unit;
  row.stated = stated;
  row.stated_sd = std::sqrt(prior(c, c)) * std::abs(factor);
  row.found = stated + adjusted.constants.change[c] * factor;
  row.found_sd = std::sqrt(adjusted.constant_covariance(c, c)) * std::abs(factor);
  row.observed = row.found_sd < 0.5 * row.stated_sd;
  return row;
}

/// Tick constants and track width from the correction's three terms: linear in small errors (see constant_prior()).
std::vector<RefinedConstant> wheel_constants(const DriveConstants& stated, const JointResult& adjusted,
                                             const ConstantMatrix& prior) {
  const double width = stated.track_width_m;
  // left error, right error, width error from (distance scale, turn scale, curvature)
  Eigen::Matrix3d by_terms;
  by_terms << 1.0, 0.0, -0.5 * width, 1.0, 0.0, 0.5 * width, 1.0, -1.0, 0.0;
  const Eigen::Vector3d change = by_terms * adjusted.constants.change.segment<3>(kDistanceScale);
  const Eigen::Matrix3d before = by_terms * prior.block<3, 3>(kDistanceScale, kDistanceScale) * by_terms.transpose();
  const Eigen::Matrix3d after =
      by_terms * adjusted.constant_covariance.block<3, 3>(kDistanceScale, kDistanceScale) * by_terms.transpose();
  const std::array<const char*, 3> names{"drive.left_m_per_tick", "drive.right_m_per_tick", "drive.track_width_m"};
  const std::array<const char*, 3> units{"m/tick", "m/tick", "m"};
  const std::array<double, 3> values{stated.left_m_per_tick, stated.right_m_per_tick, width};
  std::vector<RefinedConstant> rows;
  for (int i = 0; i < 3; ++i) {
    const auto k = static_cast<std::size_t>(i);
    RefinedConstant row;
    row.name = names[k];
    row.unit = units[k];
    row.stated = values[k];
    row.stated_sd = std::sqrt(before(i, i)) * std::abs(values[k]);
    row.found = values[k] * (1.0 + change[i]);
    row.found_sd = with_floor(std::sqrt(after(i, i)), i == 2 ? kWidthVaries : 0.0) * std::abs(values[k]);
    row.observed = row.found_sd < 0.5 * row.stated_sd;
    rows.push_back(row);
  }
  return rows;
}

std::vector<RefinedConstant> refined_constants(const Drive& drive, const JointResult& adjusted) {
  const ConstantMatrix prior = constant_prior(drive);
  const LidarConstants& lidar = drive.robot.lidar;
  std::vector<RefinedConstant> rows;
  const auto add = [&](Constant c, const char* name, const char* unit, double stated, double factor) {
    rows.push_back(refined(adjusted, prior, c, name, unit, stated, factor));
  };
  add(kMountingX, "lidar.x_m", "m", lidar.x_m, 1.0);
  add(kMountingY, "lidar.y_m", "m", lidar.y_m, 1.0);
  rows.back().found_sd = with_floor(rows.back().found_sd, kTurningCentreVaries * 0.5 * track_width_m(drive.robot));
  add(kMountingHeading, "lidar.heading_deg", "deg", lidar.heading_deg, 1.0 / kDegree);
  add(kRangeScale, "lidar.range_scale", "1", lidar.range_scale, lidar.range_scale);
  add(kRangeOffset, "lidar.range_offset_m", "m", lidar.range_offset_m, 1.0);
  if (lidar.sweep_s && *lidar.sweep_s > 0.0) add(kSweepScale, "lidar.sweep_s", "s", *lidar.sweep_s, *lidar.sweep_s);
  add(kTimeOffset, "lidar.time_offset_s", "s", lidar.time_offset_s, 1.0);
  add(kClockRate, "lidar.clock_rate", "1", lidar.clock_rate, 1.0);
  if (drive.robot.drive && !drive.wheels.empty()) {
    for (RefinedConstant& row : wheel_constants(*drive.robot.drive, adjusted, prior)) rows.push_back(row);
  } else {
    // robot.yaml has no key for these: the robot integrates its odometry itself.
    add(kDistanceScale, "odometry's way, true / recorded", "1", 1.0, 1.0);
    add(kTurnScale, "odometry's turns, true / recorded", "1", 1.0, 1.0);
  }
  add(kSlipInTurns, "slip in turns, way / recorded way - 1", "1", 0.0, 1.0);
  if (const std::optional<double> bias = gyro_bias_rad_s(drive)) {
    add(kGyroBias, "gyro.bias_rad_s", "rad/s", drive.robot.gyro.bias_rad_s, 1.0);
    // The adjustment's correction acts on what is left once the bias of the whole drive is taken off.
    const double off = *bias * (1.0 + adjusted.constants.change[kGyroScale]);
    rows.back().found += off - drive.robot.gyro.bias_rad_s;
    add(kGyroScale, "gyro.scale", "1", drive.robot.gyro.scale, drive.robot.gyro.scale);
  }
  return rows;
}

/// What the adjustment leaves out (tilt, mixed returns, errors that neighbouring wall pieces share) makes its poses
/// less sure than it says: by itself its 95 % regions held the truth in 35 of 40 simulated homes, with this factor of
/// the variance in 291 of 300 (tests/bench/accuracy).
constexpr double kVarianceFactor = 1.35;

PoseGraph final_graph(const ClosedGraph& closed, const JointResult& adjusted, const std::vector<ScanPose>& scans) {
  PoseGraph graph = closed.graph;
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
    Node& node = graph.nodes[i];
    const auto row = std::lower_bound(scans.begin(), scans.end(), node.scan,
                                      [](const ScanPose& scan, std::size_t index) { return scan.scan < index; });
    node.pose = row->pose;
    node.time_s = row->time_s;
    node.covariance = kVarianceFactor * adjusted.covariances[i];
  }
  return graph;
}

/// What is left of a surface's range bias once the adjustment has estimated it. With this the 95 % intervals of
/// distances between walls held the truth in 969 of 1000 simulated homes (tests/bench/accuracy).
constexpr double kSurfaceSdM = 0.0025;

/// What the survey says of the scale: 1 / variance of the ratio of its distances to the map's.
double information_on_scale(const MapMarkers& markers) {
  Eigen::Vector2d sum(0.0, 0.0);
  int count = 0;
  for (const MappedMarker& m : markers.markers) {
    if (!m.surveyed) continue;
    sum += m.place.translation();
    ++count;
  }
  if (count < 2) return 0.0;
  double information = 0.0;
  const double survey_sd_m = MarkerAgreementOptions().survey_sd_m;
  for (const MappedMarker& m : markers.markers) {
    if (!m.surveyed) continue;
    const double sighted_variance = m.residual_rms_m * m.residual_rms_m / m.sightings;
    information += (m.place.translation() - sum / count).squaredNorm() / (survey_sd_m * survey_sd_m + sighted_variance);
  }
  return information;
}

void warn_of_left_out_sightings(const std::vector<DrivePart>& parts, Map& map) {
  if (map.markers.left_out.empty()) return;
  const LeftOutSighting& first = map.markers.left_out.front();
  const std::size_t count = map.markers.left_out.size();
  const DrivePart part = parts.empty() ? DrivePart{} : parts[part_at(parts, first.time_s)];
  map.warnings.push_back(sentence("%zu row%s of markers.csv %s left out, %sat %.1f s%s%s (marker %s: %s)%s", count,
                                  count == 1 ? "" : "s", count == 1 ? "was" : "were", count == 1 ? "" : "the first ",
                                  first.time_s - part.shift_s, parts.empty() ? "" : " of ", part.name.c_str(),
                                  first.marker.c_str(), first.reason.c_str(),
                                  count == 1 ? "" : "; summary.json has them all"));
}

void judge(const Drive& drive, const ClosedGraph& closed, const JointResult& adjusted,
           const std::vector<ScanPose>& scans, const BeamsOfScan& beams_of, Map& map) {
  Quality& q = map.quality;
  q.cost_before = closed.cost_before;
  q.cost_after = closed.cost_after;
  q.residual_rms_m = adjusted.residual_rms_m;
  q.matched_fraction = fraction_on_walls(map.grid, scans, beams_of);
  std::vector<double> position;
  std::vector<double> heading;
  for (const Node& node : map.graph.nodes) {
    position.push_back(std::sqrt(std::max(0.0, node.covariance(0, 0) + node.covariance(1, 1))));
    heading.push_back(std::sqrt(std::max(0.0, node.covariance(2, 2))));
  }
  q.position_sd_worst_m = *std::max_element(position.begin(), position.end());
  q.heading_sd_worst_rad = *std::max_element(heading.begin(), heading.end());
  q.position_sd_median_m = median(position);
  q.heading_sd_median_rad = median(heading);
  const ConstantMatrix prior = constant_prior(drive);
  q.scale_sd = std::sqrt(adjusted.constant_covariance(kRangeScale, kRangeScale));
  const double lidar_weight = 1.0 / prior(kRangeScale, kRangeScale);
  const double wheel_weight = 1.0 / prior(kDistanceScale, kDistanceScale);
  const std::string rolling = drive.wheels.empty() ? "odometry" : "wheels";
  const double survey_weight = information_on_scale(adjusted.markers);
  if (survey_weight > 4.0 * (lidar_weight + wheel_weight)) {
    q.scale_set_by = "surveyed markers";
    return;
  }
  q.scale_set_by = lidar_weight > 4.0 * wheel_weight   ? "lidar"
                   : wheel_weight > 4.0 * lidar_weight ? rolling
                                                       : rolling + " and lidar together";
  if (4.0 * survey_weight > lidar_weight + wheel_weight) {
    const bool one = q.scale_set_by.find(' ') == std::string::npos;
    q.scale_set_by = (one ? "surveyed markers and " : "surveyed markers, ") + q.scale_set_by;
  }
}

/// A constant that was found far from what robot.yaml allows: either the file is wrong, or the map is.
void warn_of_constants(Map& map) {
  constexpr double kFarInSd = 4.0;
  for (const RefinedConstant& c : map.constants) {
    const double sds = std::abs(c.found - c.stated) / c.stated_sd;
    if (c.stated_sd <= 0.0 || sds < kFarInSd || c.name == "gyro.bias_rad_s") continue;
    const std::string unit = c.unit == "1" ? "" : " " + c.unit;
    const bool has_key = c.name.find(' ') == std::string::npos;
    map.warnings.push_back(sentence(
        "%s was found to be %.5g%s, %.0f standard uncertainties away from %s %.5g: %s if that is plausible; if not, "
        "do not trust this map",
        c.name.c_str(), c.found, unit.c_str(), sds, has_key ? "robot.yaml's" : "the expected", c.stated,
        has_key ? "correct the file" : "leave it"));
  }
}

/// Whether another drive begins at a node.
bool begins_part(const Map& map, std::size_t node, const std::vector<DrivePart>& parts) {
  return part_of_scan(parts, map.graph.nodes[node - 1].scan) != part_of_scan(parts, map.graph.nodes[node].scan);
}

void warn_of_loose_edges(Map& map, const std::vector<DrivePart>& parts) {
  const auto loose = std::count_if(map.graph.edges.begin(), map.graph.edges.end(), [&](const Edge& edge) {
    return edge.kind == EdgeKind::odometry && !begins_part(map, edge.to, parts);
  });
  if (loose == 0) return;
  map.warnings.push_back(
      sentence("%d of %zu nodes fit no wall that was seen before them: there the path rests on odometry "
               "alone; drive slower, or nearer to walls",
               static_cast<int>(loose), map.graph.nodes.size()));
}

void warn_of_jumps(const OdometryPath& path, std::vector<std::size_t> jumps, const std::vector<DrivePart>& parts,
                   Map& map) {
  constexpr std::size_t kMostTold = 5;
  std::erase_if(jumps, [&](std::size_t node) { return begins_part(map, node, parts); });
  for (std::size_t i = 0; i < std::min(jumps.size(), kMostTold); ++i) {
    const Node& before = map.graph.nodes[jumps[i] - 1];
    const Node& after = map.graph.nodes[jumps[i]];
    const Pose2 error =
        between(between(path.pose_at(before.time_s), path.pose_at(after.time_s)), between(before.pose, after.pose));
    const DrivePart part = parts.empty() ? DrivePart{} : parts[part_of_scan(parts, after.scan)];
    map.warnings.push_back(sentence(
        "%sbetween %.1f and %.1f s odometry went wrong by %.2f m and %.0f degrees (the robot was lifted, or slid): "
        "there the path rests on the scans alone",
        parts.empty() ? "" : (part.name + ": ").c_str(), before.time_s - part.shift_s, after.time_s - part.shift_s,
        error.translation().norm(), std::abs(wrap_angle(error.heading_rad)) / kDegree));
  }
  if (jumps.size() > kMostTold) {
    map.warnings.push_back(sentence("so it did %zu times more: look for wheels that slip, and for gaps in the log",
                                    jumps.size() - kMostTold));
  }
}

void warn(const Drive& drive, const std::vector<DrivePart>& parts, Map& map) {
  const Quality& q = map.quality;
  map.warnings = drive.warnings;
  warn_of_constants(map);
  warn_of_loose_edges(map, parts);
  if (!q.trustworthy()) {
    map.warnings.push_back(sentence(
        "only %.0f %% of the returns end on a wall of the finished grid: something in robot.yaml or in the log is "
        "wrong (mirrored, heading_deg, a wheel that counts backwards, degrees for radians, ranges in millimetres)",
        100.0 * q.matched_fraction));
  } else if (q.matched_fraction < 0.85) {
    map.warnings.push_back(sentence(
        "only %.0f %% of the returns end on a wall of the finished grid, the others where something was seen to be "
        "free: the map is wrong in places, or much of the house moved; look for walls drawn twice",
        100.0 * q.matched_fraction));
  }
  constexpr double kMuchM = 3.0;
  if (q.way_left_open_m > kMuchM) {
    map.warnings.push_back(
        sentence("along %.0f m of the way the walls told nothing of one direction (a bare corridor's length) or of the "
                 "heading (a "
                 "round room): odometry's word was kept there, and distances are no better than it",
                 q.way_left_open_m));
  }
  constexpr double kNotJoinedM = 5.0;
  if (q.position_sd_worst_m > kNotJoinedM) {
    map.warnings.push_back(
        "a part of the map is not joined to the rest: odometry broke before it and no place was recognised for sure, "
        "so "
        "that its place means nothing; drive back through known rooms, or say in hints.csv where you were");
  } else if (q.position_sd_worst_m > 0.10) {
    map.warnings.push_back(
        sentence("the place of the least certain part is known to %.2f m only: drive back through known "
                 "rooms so that loops can be closed",
                 q.position_sd_worst_m));
  }
  if (q.scans_outside_odometry > 0) {
    map.warnings.push_back(
        sentence("%d scans lie outside of odometry's times and were left out", q.scans_outside_odometry));
  }
}

}  // namespace

namespace {

/// Each part's way and time; of all parts together the sums, without the gaps between.
void share_out(const OdometryPath& path, const std::vector<ScanPose>& scans, const std::vector<DrivePart>& parts,
               Map& map) {
  std::vector<DriveShare> shares(std::max<std::size_t>(1, parts.size()));
  for (std::size_t i = 0; i < scans.size(); ++i) {
    const std::size_t part = part_of_scan(parts, scans[i].scan);
    ++shares[part].scans_used;
    if (i == 0 || part_of_scan(parts, scans[i - 1].scan) != part) continue;
    shares[part].path_length_m += path.way_at_m(scans[i].time_s) - path.way_at_m(scans[i - 1].time_s);
    shares[part].duration_s += scans[i].time_s - scans[i - 1].time_s;
  }
  map.quality.path_length_m = map.quality.duration_s = 0.0;
  for (const DriveShare& share : shares) {
    map.quality.path_length_m += share.path_length_m;
    map.quality.duration_s += share.duration_s;
  }
  if (!parts.empty()) map.shares = std::move(shares);
}

}  // namespace

void throw_too_few_scans(const Drive& drive, const Quality& quality) {
  const char* what_to_do =
      quality.scans_without_enough_returns > quality.scans_outside_odometry
          ? "look at range_unit_m, min_range_m, max_range_m and blind_deg in robot.yaml, or record "
            "again where the lidar sees walls"
          : "record a longer drive";
  throw PoorData(sentence(
      "a map needs at least two scans with 20 returns or more inside odometry's times; the drive has %zu, of which "
      "%d lie outside of those times and %d hold fewer returns: %s",
      drive.scans.size(), quality.scans_outside_odometry, quality.scans_without_enough_returns, what_to_do));
}

std::vector<WallPiece> wall_pieces(const JointResult& adjusted) {
  std::vector<WallPiece> pieces;
  for (const Line& line : adjusted.pieces.lines()) {
    if (line.nodes < 2) continue;
    const Eigen::Vector2d tangent(line.normal.y(), -line.normal.x());
    const double middle = 0.5 * (line.first_along_m + line.last_along_m);
    const Eigen::Vector2d& normal = line.fitted_normal;
    WallPiece piece;
    piece.middle_m = line.anchor + middle * tangent + (line.offset_m + line.slope * middle) * line.normal;
    piece.normal_rad = std::atan2(normal.y(), normal.x());
    piece.half_length_m = 0.5 * (line.last_along_m - line.first_along_m);
    piece.sd_m = std::sqrt(1.0 / line.weight + kSurfaceSdM * kSurfaceSdM);
    piece.returns = line.returns;
    piece.nodes = line.nodes;
    pieces.push_back(piece);
  }
  return pieces;
}

void give_account(const Drive& drive, const OdometryPath& path, const std::vector<std::size_t>& jumps,
                  const ClosedGraph& closed, const JointResult& adjusted, const std::vector<ScanPose>& scans,
                  const std::vector<DrivePart>& parts, Map& map) {
  map.graph = final_graph(closed, adjusted, scans);
  map.candidates = closed.candidates;
  map.constants = refined_constants(drive, adjusted);
  map.wall_pieces = wall_pieces(adjusted);
  map.markers = adjusted.markers;
  for (const ScanPose& scan : scans) map.trajectory.push_back({scan.time_s, scan.pose, scan.odometry, 1});
  share_out(path, scans, parts, map);
  map.quality.start_to_end_odometry_m = (scans.back().odometry.translation() - scans.back().pose.translation()).norm();
  judge(drive, closed, adjusted, scans, beams_of_scans(drive, path, adjusted), map);
  warn(drive, parts, map);
  if (const auto warning = adjustment_warning(adjusted)) map.warnings.push_back(*warning);
  warn_of_jumps(path, jumps, parts, map);
  warn_of_left_out_sightings(parts, map);
}

}  // namespace wainscot
