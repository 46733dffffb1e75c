#include "graph/measure/tape_evidence.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <utility>

#include <Eigen/Dense>

#include "core/chi_squared.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

constexpr double kStandsOut = 3.3;  // standard uncertainties: one of a thousand, as in `measure`

/// A tape's end: the face that it touches, and how the distance grows when the face goes back.
struct TapeEnd {
  Eigen::Vector2d at_m;
  Eigen::Vector2d normal;
  double growth = 0.0;  ///< +1 for a face that looks at the other, -1 for one that looks away; 0: of a corner
};

std::array<TapeEnd, 2> ends_of(const TapeMeasure& measure) {
  const Eigen::Vector2d way = (measure.to_m - measure.from_m).normalized();
  const bool across = measure.kind == TapeKind::across;
  // Faces that look at one another, look away, or one of each (a niche), where the two ends' biases take opposite ways.
  const double looks = across ? std::clamp(0.5 * measure.by_range_offset, -1.0, 1.0) : 0.0;
  const double side = looks < -0.5 ? -1.0 : 1.0;
  const double growth = across && std::abs(looks) > 0.5 ? side : 0.0;
  return {{{measure.from_m, side * way, growth}, {measure.to_m, -side * way, growth}}};
}

bool touch_one_face(const TapeEnd& a, const TapeEnd& b) {
  // 11 degrees and three centimetres, as graph/measure/tape tells faces apart (chosen by hand there).
  constexpr double kSameWay = 0.98;
  constexpr double kStepM = 0.03;
  return a.growth * b.growth != 0.0 && a.normal.dot(b.normal) > kSameWay &&
         std::abs(a.normal.dot(b.at_m - a.at_m)) < kStepM;
}

/// The tapes that could be measured, as equations about what the map has found without them.
struct TapeEquations {
  std::vector<std::size_t> which;  ///< of the tapes
  std::vector<TapeMeasure> measures;
  Eigen::VectorXd tape_sds_m;
  Eigen::MatrixX2d by_scale_and_offset;
  Eigen::VectorXd differences_m;  ///< tape less map
  Eigen::MatrixXd covariance;     ///< of the differences if the map's scale and range offset were right
};

/// Rows and columns of those kept.
TapeEquations only(const TapeEquations& all, const std::vector<Eigen::Index>& kept) {
  TapeEquations some;
  for (const Eigen::Index i : kept) {
    some.which.push_back(all.which[static_cast<std::size_t>(i)]);
    some.measures.push_back(all.measures[static_cast<std::size_t>(i)]);
  }
  some.tape_sds_m = all.tape_sds_m(kept);
  some.by_scale_and_offset = all.by_scale_and_offset(kept, Eigen::all);
  some.differences_m = all.differences_m(kept);
  some.covariance = all.covariance(kept, kept);
  return some;
}

std::string place_name(std::size_t index, const LaidTape& tape) {
  return sentence("tape %zu (%s)", index + 1, tape.name.c_str());
}

std::string why_not_measured(const LaidTape& tape, const TapeAnswer& answer) {
  const double reach_m = TapeOptions().reach_m;
  const bool first = answer.nearest_m[0] > reach_m;
  if (!first && answer.nearest_m[1] <= reach_m) {
    return "no faces that such a tape would touch are near both its points; give points in front of two faces that "
           "the robot saw";
  }
  const Eigen::Vector2d& point = first ? tape.tape.from_m : tape.tape.to_m;
  return sentence(
      "there is no wall within %.1f m of its %s point (%.2f, %.2f) m; give points near two faces, in the "
      "map's frame",
      reach_m, first ? "first" : "second", point.x(), point.y());
}

TapeEquations measured(const MeasurableMap& map, const std::vector<LaidTape>& tapes, const ScaleKnowledge& scale,
                       std::vector<MappedTape>& told) {
  TapeEquations all;
  std::vector<double> sds_m;
  std::vector<double> differences_m;
  for (std::size_t i = 0; i < tapes.size(); ++i) {
    const LaidTape& tape = tapes[i];
    told.push_back({tape.name, tape.tape.from_m, tape.tape.to_m, tape.tape_m, tape.tape_sd_m, {}, ""});
    const TapeAnswer answer = measure_tape(map, tape.tape);
    if (!answer.measure) {
      told.back().left_out = why_not_measured(tape, answer);
      continue;
    }
    told.back().without_m = answer.measure->distance_m;
    if (answer.measure->kind == TapeKind::point_to_point) {
      told.back().left_out = "its faces are not parallel, so that it tells nothing of the map";
      continue;
    }
    all.which.push_back(i);
    all.measures.push_back(*answer.measure);
    sds_m.push_back(tape.tape_sd_m);
    differences_m.push_back(tape.tape_m - answer.measure->distance_m);
  }
  const auto count = static_cast<Eigen::Index>(all.which.size());
  all.tape_sds_m = Eigen::Map<const Eigen::VectorXd>(sds_m.data(), count);
  all.differences_m = Eigen::Map<const Eigen::VectorXd>(differences_m.data(), count);
  all.by_scale_and_offset.resize(count, 2);
  for (Eigen::Index i = 0; i < count; ++i) {
    const TapeMeasure& m = all.measures[static_cast<std::size_t>(i)];
    all.by_scale_and_offset.row(i) << m.distance_m / (1.0 + scale.change[0]), m.by_range_offset;
  }
  all.covariance = tape_covariance(all.measures, all.tape_sds_m);
  return all;
}

/// Of the differences, where scale and range offset have this covariance.
Eigen::MatrixXd with_constants(const TapeEquations& m, const Eigen::Matrix2d& constants) {
  return m.covariance + m.by_scale_and_offset * constants * m.by_scale_and_offset.transpose();
}

/// Each difference against what the others foretell of it, by its standard uncertainty.
Eigen::VectorXd standardised(const TapeEquations& m, const Eigen::MatrixXd& covariance) {
  const Eigen::MatrixXd inverse = covariance.inverse();
  return (inverse * m.differences_m).cwiseQuotient(inverse.diagonal().cwiseSqrt());
}

struct Worst {
  Eigen::Index which = 0;
  double sds = 0.0;
};

/// The tape that fits worst. Several say of one another which is wrong, whatever the map's scale is; of two that
/// contradict one another it is the one that is further off the map.
Worst worst_of(const TapeEquations& m, const Eigen::Matrix2d& constants) {
  constexpr double kAnyScale = 0.03;  // as odometry that nobody calibrated
  Eigen::Matrix2d free = constants;
  if (m.which.size() > 1) free(0, 0) += kAnyScale * kAnyScale;
  Eigen::VectorXd off = standardised(m, with_constants(m, free)).cwiseAbs();
  Worst worst;
  worst.sds = off.maxCoeff(&worst.which);
  if (m.which.size() == 2) {
    off = m.differences_m.cwiseAbs().cwiseQuotient(with_constants(m, constants).diagonal().cwiseSqrt());
    off.maxCoeff(&worst.which);
  }
  return worst;
}

/// Leaves out, one after the other, what stands out.
TapeEquations agreeing(TapeEquations m, const Eigen::Matrix2d& constants, std::vector<MappedTape>& told) {
  while (!m.which.empty()) {
    const Worst worst = worst_of(m, constants);
    if (worst.sds <= kStandsOut) break;
    MappedTape& tape = told[m.which[static_cast<std::size_t>(worst.which)]];
    tape.left_out = sentence(
        "it says %.3f m where the map has %.3f m, %.1f standard uncertainties off what %s; "
        "measure it again",
        tape.tape_m, *tape.without_m, worst.sds, m.which.size() > 1 ? "the others say" : "robot.yaml lets expect");
    std::vector<Eigen::Index> kept;
    for (Eigen::Index i = 0; i < m.differences_m.size(); ++i) {
      if (i != worst.which) kept.push_back(i);
    }
    m = only(m, kept);
  }
  return m;
}

/// Tapes that agree with one another are believed though they contradict the map; both count with less (R. T. Birge,
/// Physical Review 40, 1932).
void weigh_contradiction(const TapeEquations& m, const Eigen::Matrix2d& constants, TapeEvidence& evidence) {
  constexpr double kByChance = 0.001;  // as rare as a single tape that is left out (kStandsOut)
  const int count = static_cast<int>(m.which.size());
  if (count < 2) return;
  const Eigen::MatrixXd covariance = with_constants(m, constants);
  const double squares = m.differences_m.dot(covariance.llt().solve(m.differences_m));
  if (1.0 - chi_squared_probability(squares, count) >= kByChance) return;
  evidence.lengths.widening = std::sqrt(squares / count);
  evidence.warnings.push_back(
      sentence("the tapes agree with one another, but differ from the map without them by %.1f times what robot.yaml's "
               "uncertainties let expect; they are believed: calibrate the wheels, or state larger uncertainties",
               evidence.lengths.widening));
}

}  // namespace

Eigen::MatrixXd tape_covariance(const std::vector<TapeMeasure>& measures, const Eigen::VectorXd& tape_sds_m) {
  const auto count = static_cast<Eigen::Index>(measures.size());
  std::vector<TapeEnd> faces;
  // What a face's bias adds to each tape, at most as much as the tape's own uncertainty holds.
  Eigen::MatrixXd by_faces = Eigen::MatrixXd::Zero(count, 2 * count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const TapeMeasure& m = measures[static_cast<std::size_t>(i)];
    for (const TapeEnd& end : ends_of(m)) {
      const auto same =
          std::find_if(faces.begin(), faces.end(), [&](const TapeEnd& f) { return touch_one_face(f, end); });
      const auto face = static_cast<Eigen::Index>(same - faces.begin());
      if (same == faces.end()) faces.push_back(end);
      by_faces(i, face) = end.growth * std::min(WallModel().face_bias_sd_m, m.own_sd_m * std::sqrt(0.5));
    }
  }
  Eigen::MatrixXd covariance = by_faces * by_faces.transpose();
  for (Eigen::Index i = 0; i < count; ++i) {
    covariance(i, i) = std::pow(measures[static_cast<std::size_t>(i)].own_sd_m, 2) + std::pow(tape_sds_m[i], 2);
  }
  return covariance;
}

TapeEvidence tape_evidence(const Map& map, const MeasurableMap& measurable, const std::vector<LaidTape>& tapes) {
  TapeEvidence evidence;
  const Eigen::Matrix2d constants = map.scale.covariance.topLeftCorner<2, 2>();
  const TapeEquations kept =
      agreeing(measured(measurable, tapes, map.scale, evidence.tapes), constants, evidence.tapes);
  const LengthEquations equations{kept.by_scale_and_offset,
                                  kept.differences_m + kept.by_scale_and_offset * map.scale.change.head<2>(),
                                  kept.covariance};
  evidence.lengths = length_evidence(equations, constants(1, 1));
  for (std::size_t i = 0; i < tapes.size(); ++i) {
    const std::string& why = evidence.tapes[i].left_out;
    if (!why.empty()) evidence.warnings.push_back(place_name(i, tapes[i]) + " is left out: " + why);
  }
  weigh_contradiction(kept, constants, evidence);
  return evidence;
}

}  // namespace wainscot
