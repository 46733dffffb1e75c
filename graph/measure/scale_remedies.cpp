#include "graph/measure/scale_remedies.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

#include <Eigen/Dense>

#include "graph/compare/standing_pieces.hpp"
#include "graph/markers/marker_agreement.hpp"
#include "graph/measure/room_tapes.hpp"

namespace wainscot {
namespace {

/// The scale's standard uncertainty after measurements that depend on what all lengths hang on like these rows.
double scale_sd_after(const ScaleKnowledge& scale, const Eigen::MatrixX3d& rows, const Eigen::MatrixXd& covariance) {
  const Eigen::MatrixXd known = scale.covariance * rows.transpose();
  const Eigen::MatrixXd seen = rows * known + covariance;
  const Eigen::Matrix3d after = scale.covariance - known * seen.llt().solve(known.transpose());
  return std::sqrt(std::max(0.0, after(0, 0)));
}

double length_m(const Tape& tape) { return (tape.to_m - tape.from_m).norm(); }

/// Whether two tapes lie between much the same places of the same faces.
bool is_like(const Tape& a, const Tape& b) {
  constexpr double kBesideM = 1.0;  // chosen by hand: closer together a second tape tells of the same surfaces
  const auto near = [](const Eigen::Vector2d& p, const Eigen::Vector2d& q) { return (p - q).norm() < kBesideM; };
  return (near(a.from_m, b.from_m) && near(a.to_m, b.to_m)) || (near(a.from_m, b.to_m) && near(a.to_m, b.from_m));
}

/// Across the rooms that the robot was in, over free floor, the longest first, no two alike and none that was laid.
std::vector<Tape> tapes_to_lay(const Map& map, const OccupancyGrid& grid) {
  constexpr double kBeforeWallsM = 0.15;   // chosen by hand: skirting, and the wall's own cells, three of them
  constexpr std::size_t kMostPlaces = 60;  // chosen by hand: spread over the drive, some for each room of a home
  std::vector<Tape> all;
  const std::size_t step = std::max<std::size_t>(1, map.graph.nodes.size() / kMostPlaces);
  for (std::size_t i = 0; i < map.graph.nodes.size(); i += step) {
    const RoomTapes tapes = room_tapes(map.wall_pieces, map.graph.nodes[i].pose.translation());
    for (const std::optional<Tape>& tape : {tapes.width, tapes.depth}) {
      if (tape && is_free_between(tape->from_m, tape->to_m, kBeforeWallsM, grid)) all.push_back(*tape);
    }
  }
  std::stable_sort(all.begin(), all.end(), [](const Tape& a, const Tape& b) { return length_m(a) > length_m(b); });
  std::vector<Tape> chosen;
  for (const Tape& tape : all) {
    const bool like = std::any_of(chosen.begin(), chosen.end(), [&](const Tape& c) { return is_like(c, tape); });
    const bool was_laid = std::any_of(map.tapes.begin(), map.tapes.end(), [&](const MappedTape& t) {
      return t.left_out.empty() && is_like({t.from_m, t.to_m}, tape);
    });
    if (!like && !was_laid) chosen.push_back(tape);
  }
  return chosen;
}

/// Tapes as the map would measure them.
std::vector<TapeMeasure> measured_tapes(const std::vector<Tape>& tapes, const MeasurableMap& measurable, int most) {
  // How sure a tape would be is needed in two digits. Half of the nodes take an eighth of the time that goes into
  // solving for them.
  TapeOptions roughly;
  roughly.fit.most_nodes = 20;
  std::vector<TapeMeasure> measures;
  for (std::size_t i = 0; i < std::min(tapes.size(), static_cast<std::size_t>(most)); ++i) {
    const TapeAnswer answer = measure_tape(measurable, tapes[i], roughly);
    if (answer.measure && answer.measure->kind == TapeKind::across) measures.push_back(*answer.measure);
  }
  return measures;
}

double scale_sd_with(const ScaleKnowledge& scale, const std::vector<TapeMeasure>& tapes, double tape_sd_m) {
  const auto count = static_cast<Eigen::Index>(tapes.size());
  Eigen::MatrixX3d rows(count, 3);
  for (Eigen::Index i = 0; i < count; ++i) {
    const TapeMeasure& m = tapes[static_cast<std::size_t>(i)];
    rows.row(i) << m.distance_m / (1.0 + scale.change[0]), m.by_range_offset, 0.0;
  }
  return scale_sd_after(scale, rows, tape_covariance(tapes, Eigen::VectorXd::Constant(count, tape_sd_m)));
}

/// One tape more, the one that makes the scale surest beside those there.
void add_best(const ScaleKnowledge& scale, const std::vector<TapeMeasure>& left, double tape_sd_m,
              std::vector<TapeMeasure>& chosen) {
  std::optional<TapeMeasure> best;
  double least = 0.0;
  for (const TapeMeasure& tape : left) {
    const auto same = [&tape](const TapeMeasure& c) { return c.from_m == tape.from_m && c.to_m == tape.to_m; };
    if (std::any_of(chosen.begin(), chosen.end(), same)) continue;
    std::vector<TapeMeasure> with = chosen;
    with.push_back(tape);
    const double sd = scale_sd_with(scale, with, tape_sd_m);
    if (best && sd >= least) continue;
    best = tape;
    least = sd;
  }
  if (best) chosen.push_back(*best);
}

void add_tapes(const ScaleKnowledge& scale, const std::vector<TapeMeasure>& measures, const ScaleRemedyOptions& options,
               std::vector<ScaleRemedy>& remedies) {
  std::vector<TapeMeasure> chosen;
  for (const int count : {1, 3}) {
    while (static_cast<int>(chosen.size()) < count) {
      const std::size_t before = chosen.size();
      add_best(scale, measures, options.tape_sd_m, chosen);
      if (chosen.size() == before) return;
    }
    ScaleRemedy remedy{ScaleRemedy::Kind::tapes, count, chosen.front().distance_m, options.tape_sd_m,
                       scale_sd_with(scale, chosen, options.tape_sd_m)};
    for (const TapeMeasure& tape : chosen) remedy.between_m.push_back({tape.from_m, tape.to_m});
    remedies.push_back(std::move(remedy));
  }
}

/// Straight runs as `calibrate` takes them, in the longest room, where the robot and some floor before the walls have
/// their place.
void add_runs(const Map& map, const std::vector<Tape>& tapes, const ScaleRemedyOptions& options,
              std::vector<ScaleRemedy>& remedies) {
  // The robot itself, and 0.3 m to the walls at both ends (README); shorter runs are not worth laying a tape for. Both
  // chosen by hand.
  constexpr double kRobotsPlaceM = 1.0;
  constexpr double kShortestM = 1.0;
  const bool by_wheels = std::any_of(map.constants.begin(), map.constants.end(),
                                     [](const RefinedConstant& c) { return c.name == "drive.left_m_per_tick"; });
  const double run_m = tapes.empty() ? 0.0 : length_m(tapes.front()) - kRobotsPlaceM;
  if (!by_wheels || run_m < kShortestM) return;
  Eigen::MatrixX3d row(1, 3);
  row << 0.0, 0.0, run_m;
  const double slip_m2 = std::pow(map.scale.way_sd_m_per_sqrt_m, 2) * run_m;
  const Eigen::MatrixXd variance =
      Eigen::MatrixXd::Constant(1, 1, (options.run_sd_m * options.run_sd_m + slip_m2) / options.runs);
  remedies.push_back({ScaleRemedy::Kind::straight_run, options.runs, run_m, options.run_sd_m,
                      scale_sd_after(map.scale, row, variance)});
}

/// Two markers that the robot saw, surveyed: those furthest apart.
void add_markers(const Map& map, std::vector<ScaleRemedy>& remedies) {
  const double survey_sd_m = MarkerAgreementOptions().survey_sd_m;
  const std::vector<MappedMarker>& markers = map.markers.markers;
  ScaleRemedy remedy{ScaleRemedy::Kind::surveyed_markers, 2, 0.0, survey_sd_m};
  double variance_m2 = 0.0;
  for (std::size_t i = 0; i < markers.size(); ++i) {
    if (markers[i].surveyed) return;
    for (std::size_t j = 0; j < i; ++j) {
      const double apart_m = (markers[i].place.translation() - markers[j].place.translation()).norm();
      if (apart_m <= remedy.length_m) continue;
      remedy.length_m = apart_m;
      variance_m2 = 2.0 * survey_sd_m * survey_sd_m;
      for (const MappedMarker& m : {markers[i], markers[j]}) {
        variance_m2 += m.residual_rms_m * m.residual_rms_m / std::max(1, m.sightings);
      }
    }
  }
  if (remedy.length_m == 0.0) return;
  Eigen::MatrixX3d row(1, 3);
  row << remedy.length_m, 0.0, 0.0;
  remedy.scale_sd = scale_sd_after(map.scale, row, Eigen::MatrixXd::Constant(1, 1, variance_m2));
  remedies.push_back(remedy);
}

}  // namespace

std::vector<ScaleRemedy> scale_remedies(const Map& map, const OccupancyGrid& grid, const MeasurableMap& measurable,
                                        const ScaleRemedyOptions& options) {
  const double now = std::sqrt(map.scale.covariance(0, 0));
  std::vector<ScaleRemedy> remedies;
  if (map.graph.nodes.empty() || !(now > 0.0)) return remedies;
  const std::vector<Tape> tapes = tapes_to_lay(map, grid);
  add_tapes(map.scale, measured_tapes(tapes, measurable, options.most_tried), options, remedies);
  add_runs(map, tapes, options, remedies);
  add_markers(map, remedies);
  std::erase_if(remedies, [&](const ScaleRemedy& r) { return r.scale_sd > options.worthwhile * now; });
  std::stable_sort(remedies.begin(), remedies.end(),
                   [](const ScaleRemedy& a, const ScaleRemedy& b) { return a.scale_sd < b.scale_sd; });
  return remedies;
}

}  // namespace wainscot
