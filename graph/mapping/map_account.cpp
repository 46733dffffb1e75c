#include "graph/mapping/map_account.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>

#include <Eigen/Dense>

#include "core/errors.hpp"
#include "core/median.hpp"
#include "graph/mapping/adjustment_warning.hpp"
#include "graph/mapping/map_grid.hpp"
#include "graph/mapping/map_warnings.hpp"
#include "graph/mapping/path_jumps.hpp"
#include "graph/mapping/place_sureness.hpp"
#include "graph/mapping/refined_constants.hpp"
#include "graph/mapping/restated_edges.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

PoseGraph final_graph(const Drive& drive, const ClosedGraph& closed, const JointResult& adjusted,
                      const std::vector<ScanPose>& scans) {
  PoseGraph graph = closed.graph;
  for (std::size_t i = 0; i < graph.nodes.size(); ++i) {
    Node& node = graph.nodes[i];
    const auto row = std::lower_bound(scans.begin(), scans.end(), node.scan,
                                      [](const ScanPose& scan, std::size_t index) { return scan.scan < index; });
    node.pose = row->pose;
    node.time_s = row->time_s;
    node.covariance = adjusted.variance_factor * adjusted.covariances[i] + adjusted.loose_ties[i];
  }
  std::vector<AdjustedPair> pairs;
  const std::vector<std::size_t> sample = sampled_edges(graph);
  for (std::size_t i = 0; i < sample.size(); ++i) {
    const std::optional<Eigen::Matrix3d>& covariance = adjusted.pair_covariances[i];
    if (covariance) pairs.push_back({sample[i], adjusted.variance_factor * *covariance});
  }
  restate_edges(lidar_model(drive.robot.lidar).mounting, adjusted.constants.lidar(drive.robot.lidar).mounting, pairs,
                graph);
  return graph;
}

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

/// What measured lines say of it, the survey's frame being unknown: they tell where they are across, not along.
double information_on_scale(const MapLines& lines) {
  Eigen::Vector2d middle(0.0, 0.0);
  double count = 0.0;
  for (const MappedLine& line : lines.lines) {
    if (!line.measured) continue;
    middle += line.from_m + line.to_m;
    count += 2.0;
  }
  if (count == 0.0) return 0.0;
  middle /= count;
  // Unknowns: the frame's place (m), its heading (rad), and the scale.
  Eigen::Matrix4d information = 1e-9 * Eigen::Matrix4d::Identity();
  for (const MappedLine& line : lines.lines) {
    if (!line.measured) continue;
    const Eigen::Vector2d along = (line.to_m - line.from_m).normalized();
    const Eigen::Vector2d normal(-along.y(), along.x());
    for (const Eigen::Vector2d& end : {line.from_m, line.to_m}) {
      const Eigen::Vector2d away = end - middle;
      const Eigen::Vector4d by_unknowns(normal.x(), normal.y(), along.dot(away), normal.dot(away));
      information += by_unknowns * by_unknowns.transpose() / (2.0 * line.own_sd_m * line.own_sd_m);
    }
  }
  return 1.0 / information.inverse()(3, 3);
}

/// What was measured in the house and says something of the scale that counts beside the rest of it, in words.
std::string measured_text(const std::array<std::pair<const char*, double>, 3>& information) {
  // Information of a quarter: it makes the scale a tenth surer. Only the words depend on it.
  constexpr double kCounts = 0.25;
  double most = 0.0;
  for (const auto& [name, value] : information) most = std::max(most, value);
  std::vector<std::string> names;
  for (const auto& [name, value] : information) {
    if (value > kCounts * most) names.emplace_back(name);
  }
  std::string text;
  for (std::size_t i = 0; i < names.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
  }
  return text;
}

ScaleKnowledge scale_knowledge(const Drive& drive, const JointResult& adjusted) {
  constexpr std::array<Constant, 3> kOfLengths{kRangeScale, kRangeOffset, kDistanceScale};
  ScaleKnowledge scale;
  for (Eigen::Index i = 0; i < 3; ++i) {
    const Constant a = kOfLengths[static_cast<std::size_t>(i)];
    scale.change[i] = adjusted.constants.change[a];
    for (Eigen::Index j = 0; j < 3; ++j) {
      scale.covariance(i, j) = adjusted.constant_covariance(a, kOfLengths[static_cast<std::size_t>(j)]);
    }
  }
  scale.way_sd_m_per_sqrt_m = adjusted.odometry_noise_ratio.front() * odometry_noise(drive.robot).sd_along_m_per_sqrt_m;
  return scale;
}

/// Those that the stated uncertainties are of.
std::vector<std::size_t> told_nodes(const Map& map) {
  const std::vector<std::size_t>& unjoined = map.troubles.unjoined;
  std::vector<std::size_t> told;
  for (std::size_t i = 0; i < map.graph.nodes.size(); ++i) {
    if (!map.few_unjoined() || !std::binary_search(unjoined.begin(), unjoined.end(), i)) told.push_back(i);
  }
  return told;
}

void judge_places(Map& map) {
  map.place_sds_m = place_sds_m(map.graph, map.quality.scale_sd);
  const std::vector<std::size_t> told = told_nodes(map);
  double squares = 0.0;
  for (const std::size_t node : told) {
    const double sd_m = map.place_sds_m[node];
    squares += sd_m * sd_m;
    map.quality.place_sd_worst_m = std::max(map.quality.place_sd_worst_m, sd_m);
  }
  map.quality.place_sd_m = std::sqrt(squares / static_cast<double>(told.size()));
}

void judge(const Drive& drive, const ClosedGraph& closed, const JointResult& adjusted,
           const std::vector<ScanPose>& scans, const BeamsOfScan& beams_of, const LengthEvidence& lengths, Map& map) {
  Quality& q = map.quality;
  q.cost_before = closed.cost_before;
  q.cost_after = closed.cost_after;
  q.residual_rms_m = adjusted.residual_rms_m;
  q.matched_fraction = fraction_on_walls(map.grid, scans, beams_of);
  std::vector<double> position;
  std::vector<double> heading;
  for (const std::size_t i : told_nodes(map)) {
    Eigen::Matrix3d covariance = map.graph.nodes[i].covariance;
    if (map.few_unjoined()) covariance -= adjusted.loose_ties[i];  // the first node may be one of the few
    position.push_back(std::sqrt(std::max(0.0, covariance(0, 0) + covariance(1, 1))));
    heading.push_back(std::sqrt(std::max(0.0, covariance(2, 2))));
  }
  q.position_sd_worst_m = *std::max_element(position.begin(), position.end());
  q.heading_sd_worst_rad = *std::max_element(heading.begin(), heading.end());
  q.position_sd_median_m = median(position);
  q.heading_sd_median_rad = median(heading);
  const ConstantMatrix prior = constant_prior(drive);
  q.scale_sd = std::sqrt(adjusted.constant_covariance(kRangeScale, kRangeScale));
  judge_places(map);
  const double believed = 1.0 / (lengths.widening * lengths.widening);
  const double lidar_weight = believed / prior(kRangeScale, kRangeScale);
  const double wheel_weight = believed / prior(kDistanceScale, kDistanceScale);
  const std::string rolling = drive.wheels.empty() ? "odometry" : "wheels";
  const double marker_weight = information_on_scale(adjusted.markers);
  const double line_weight = information_on_scale(adjusted.lines);
  const double measured_weight = marker_weight + line_weight + lengths.on_scale;
  const std::string measured = measured_text(
      {{{"surveyed markers", marker_weight}, {"measured lines", line_weight}, {"tapes", lengths.on_scale}}});
  if (measured_weight > 4.0 * (lidar_weight + wheel_weight)) {
    q.scale_set_by = measured;
    return;
  }
  q.scale_set_by = lidar_weight > 4.0 * wheel_weight   ? "lidar"
                   : wheel_weight > 4.0 * lidar_weight ? rolling
                                                       : rolling + " and lidar together";
  if (4.0 * measured_weight > lidar_weight + wheel_weight) {
    const bool one = q.scale_set_by.find(' ') == std::string::npos && measured.find(" and ") == std::string::npos;
    q.scale_set_by = measured + (one ? " and " : ", ") + q.scale_set_by;
  }
}

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
  for (std::size_t j = 0; j < adjusted.pieces.lines().size(); ++j) {
    const Line& line = adjusted.pieces.lines()[j];
    if (line.nodes < 2) continue;
    const Eigen::Vector2d tangent(line.normal.y(), -line.normal.x());
    const double middle = 0.5 * (line.first_along_m + line.last_along_m);
    const Eigen::Vector2d& normal = line.fitted_normal;
    WallPiece piece;
    piece.middle_m = line.anchor + middle * tangent + (line.offset_m + line.slope * middle) * line.normal;
    piece.normal_rad = std::atan2(normal.y(), normal.x());
    piece.half_length_m = 0.5 * (line.last_along_m - line.first_along_m);
    piece.sd_m = std::sqrt(adjusted.variance_factor * adjusted.piece_variances_m2[j]);
    piece.returns = line.returns;
    piece.nodes = line.nodes;
    pieces.push_back(piece);
  }
  return pieces;
}

void give_account(const Drive& drive, const OdometryPath& path, const std::vector<std::size_t>& jumps,
                  const ClosedGraph& closed, const JointResult& adjusted, const std::vector<ScanPose>& scans,
                  const LengthEvidence& lengths, const std::vector<DrivePart>& parts, Map& map) {
  map.graph = final_graph(drive, closed, adjusted, scans);
  map.candidates = closed.candidates;
  map.constants = refined_constants(drive, adjusted);
  map.wall_pieces = wall_pieces(adjusted);
  map.markers = adjusted.markers;
  map.lines = adjusted.lines;
  for (const ScanPose& scan : scans) map.trajectory.push_back({scan.time_s, scan.pose, scan.odometry, 1});
  share_out(path, scans, parts, map);
  map.quality.start_to_end_odometry_m = (scans.back().odometry.translation() - scans.back().pose.translation()).norm();
  map.scale = scale_knowledge(drive, adjusted);
  judge(drive, closed, adjusted, scans, beams_of_scans(drive, path, adjusted), lengths, map);
  map.troubles.unconfirmed = unconfirmed_jumps(jumps, path, map);
  map.warnings = map_warnings(drive, path, jumps, parts, map);
  if (const auto warning = adjustment_warning(adjusted)) map.warnings.push_back(*warning);
}

}  // namespace wainscot
