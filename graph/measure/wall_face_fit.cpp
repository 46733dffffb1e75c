#include "graph/measure/wall_face_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <set>
#include <utility>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// The direction along a face in which its slope counts: the normal turned by -90 degrees.
Eigen::Vector2d tangent_of(const FacePlace& place) { return {place.normal.y(), -place.normal.x()}; }

double along_of(const FacePlace& place, const Eigen::Vector2d& p) { return tangent_of(place).dot(p - place.foot_m); }

double across_of(const FacePlace& place, const Eigen::Vector2d& p) { return place.normal.dot(p - place.foot_m); }

/// The face once its line is across = offset + slope * along.
FacePlace moved(const FacePlace& place, double offset_m, double slope) {
  return {place.foot_m + offset_m * place.normal, (place.normal - slope * tangent_of(place)).normalized()};
}

/// Whether a return lies on the face, `reach_m` along at most.
bool is_on(const FacePlace& place, const PlacedReturn& r, double reach_m, const WallFaceFitOptions& options) {
  return r.normal.dot(place.normal) > options.same_way && std::abs(across_of(place, r.at_m)) < options.gate_m &&
         std::abs(along_of(place, r.at_m)) < reach_m;
}

double cauchy(double residual_m, double variance_m2, double ratio) {
  return 1.0 / (1.0 + residual_m * residual_m / (variance_m2 * ratio * ratio));
}

/// The returns that lie on the face, `reach_m` along at most, with their nodes.
template <typename Visit>
void for_each_on(const PlacedReturns& returns, const FacePlace& place, double reach_m,
                 const WallFaceFitOptions& options, const Visit& visit) {
  for (std::size_t node = 0; node < returns.of_node.size(); ++node) {
    for (const PlacedReturn& r : returns.of_node[node]) {
      if (is_on(place, r, reach_m, options)) visit(node, r);
    }
  }
}

/// A first line through the returns near the place, nodes taken as exact: so that those further along are found.
std::optional<FacePlace> first_line(const PlacedReturns& returns, FacePlace place, const WallFaceFitOptions& options) {
  constexpr int kRounds = 4;         // each finds returns further along by the line of the one before (chosen by hand)
  constexpr double kSlopeSd = 0.05;  // of the piece of wall that the place was found with
  for (int round = 0; round < kRounds; ++round) {
    Eigen::Matrix2d matrix = Eigen::Vector2d(0.0, 1.0 / (kSlopeSd * kSlopeSd)).asDiagonal();
    Eigen::Vector2d right = Eigen::Vector2d::Zero();
    int count = 0;
    for_each_on(returns, place, options.near_m, options, [&](std::size_t, const PlacedReturn& r) {
      const double across = across_of(place, r.at_m);
      const double weight = cauchy(across, r.variance_m2, options.model.robust_ratio) / r.variance_m2;
      const Eigen::Vector2d by_line(1.0, along_of(place, r.at_m));
      matrix += weight * by_line * by_line.transpose();
      right += weight * across * by_line;
      ++count;
    });
    if (count < options.least_returns) return std::nullopt;
    const Eigen::Vector2d line = matrix.inverse() * right;
    place = moved(place, line[0], line[1]);
  }
  return place;
}

/// A return, the face that it is on and the stretch of it: 0 is the place itself.
struct Measured {
  const PlacedReturn* at;
  std::size_t node;
  std::size_t face;
  int stretch;
};

/// Weight of each node's returns near the places: `by_face[face][node]`.
using Weights = std::vector<std::vector<double>>;

void take_surest(const std::vector<double>& weights, std::size_t most, std::set<std::size_t>& chosen) {
  std::vector<std::size_t> order(weights.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return weights[a] > weights[b]; });
  for (std::size_t i = 0; i < std::min(most, order.size()) && weights[order[i]] > 0.0; ++i) chosen.insert(order[i]);
}

/// The nodes that tell most: of each face, and of all faces at once, in which the pose plays no part.
std::vector<std::size_t> choose_nodes(const Weights& by_face, std::size_t most) {
  std::set<std::size_t> chosen;
  std::vector<double> together(by_face.front().size(), 0.0);
  for (std::size_t node = 0; node < together.size(); ++node) {
    double inverse_sum = 0.0;
    for (const std::vector<double>& weights : by_face) inverse_sum += 1.0 / std::max(weights[node], 1e-12);
    const bool sees_all = std::all_of(by_face.begin(), by_face.end(), [&](const auto& w) { return w[node] > 0.0; });
    together[node] = sees_all ? 1.0 / inverse_sum : 0.0;
  }
  take_surest(together, most, chosen);
  for (const std::vector<double>& weights : by_face) take_surest(weights, most, chosen);
  return {chosen.begin(), chosen.end()};
}

/// The faces' unknowns (offset, slope, bias and oblique bias of each; offset and slope of each further stretch) and the
/// chosen nodes' pose errors.
class FaceSystem {
 public:
  FaceSystem(const PlacedReturns& returns, const NodeCovariance& poses, const std::vector<FacePlace>& places,
             const WallFaceFitOptions& options)
      : returns_(returns), options_(options), places_(places) {
    further_ = static_cast<int>(std::ceil((options.reach_m - options.near_m) / kStretchM));
    gather();
    if (nodes_.empty()) return;
    prior_ = Eigen::MatrixXd::Zero(size(), size());
    prior_.topLeftCorner(node_column(0), node_column(0)).diagonal().setConstant(kFree);
    add_bias_prior();
    Eigen::MatrixXd covariance = poses.of(nodes_);
    for (Eigen::Index i = 0; i < covariance.rows(); ++i) {
      const double sd = i % 3 == 2 ? options.scan_sd_rad : options.scan_sd_m;
      covariance(i, i) += sd * sd;
    }
    const Eigen::Index rows = covariance.rows();
    prior_.bottomRightCorner(rows, rows) = covariance.llt().solve(Eigen::MatrixXd::Identity(rows, rows));
  }

  bool has_returns() const {
    return std::all_of(near_.begin(), near_.end(), [&](int n) { return n >= options_.least_returns; });
  }

  FittedFaces solve() {
    constexpr int kRounds = 6;  // of the robust weights
    Eigen::LLT<Eigen::MatrixXd> factor;
    solution_ = Eigen::VectorXd::Zero(size());
    for (int round = 0; round < kRounds; ++round) {
      Eigen::MatrixXd matrix = prior_;
      Eigen::VectorXd right = Eigen::VectorXd::Zero(size());
      for (const Measured& m : measured_) add(m, matrix, right);
      factor.compute(matrix);
      solution_ = factor.solve(right);
    }
    return result(factor);
  }

 private:
  // Walls bend: each half metre further along a face has an offset of its own. Chosen by hand; half as much has twice
  // the unknowns, twice as much takes a bend for noise.
  static constexpr double kStretchM = 0.5;
  static constexpr double kFree = 1e-2;  // what keeps the matrix regular: 10 m, as in the adjustment

  int unknowns_of_face() const { return 4 + 4 * further_; }
  Eigen::Index face_column(std::size_t face) const { return unknowns_of_face() * static_cast<Eigen::Index>(face); }
  Eigen::Index node_column(std::size_t slot) const {
    return face_column(places_.size()) + 3 * static_cast<Eigen::Index>(slot);
  }
  Eigen::Index size() const { return node_column(nodes_.size()); }

  /// 0 near the place; then, going away from it, odd numbers on one side and even ones on the other.
  int stretch_of(double along_m) const {
    const double beyond = std::abs(along_m) - options_.near_m;
    if (beyond < 0.0) return 0;
    return 1 + 2 * std::min(static_cast<int>(beyond / kStretchM), further_ - 1) + (along_m < 0.0 ? 1 : 0);
  }

  void gather() {
    std::vector<Measured> all;
    Weights weights(places_.size(), std::vector<double>(returns_.of_node.size(), 0.0));
    for (std::size_t face = 0; face < places_.size(); ++face) {
      for_each_on(returns_, places_[face], options_.reach_m, options_, [&](std::size_t node, const PlacedReturn& r) {
        const int stretch = stretch_of(along_of(places_[face], r.at_m));
        all.push_back({&r, node, face, stretch});
        if (stretch == 0) weights[face][node] += 1.0 / r.variance_m2;
      });
    }
    nodes_ = choose_nodes(weights, options_.most_nodes);
    near_.assign(places_.size(), 0);
    for (const Measured& m : all) {
      if (!std::binary_search(nodes_.begin(), nodes_.end(), m.node)) continue;
      if (m.stretch == 0) ++near_[m.face];
      measured_.push_back(m);
    }
  }

  void add_bias_prior() {
    const WallModel& model = options_.model;
    const auto count = static_cast<Eigen::Index>(places_.size());
    const double own = model.face_bias_sd_m * model.face_bias_sd_m + model.piece_bias_sd_m * model.piece_bias_sd_m;
    const double shared = returns_.range_offset_sd_m * returns_.range_offset_sd_m;
    Eigen::MatrixXd covariance = Eigen::MatrixXd::Constant(count, count, shared);
    covariance.diagonal().array() += own;
    const Eigen::MatrixXd information = covariance.inverse();
    const double oblique = 1.0 / (options_.oblique_bias_sd_m * options_.oblique_bias_sd_m);
    for (Eigen::Index a = 0; a < count; ++a) {
      const Eigen::Index own_row = face_column(static_cast<std::size_t>(a)) + 3;
      prior_(own_row, own_row) += oblique;
      for (Eigen::Index b = 0; b < count; ++b) {
        const Eigen::Index row = face_column(static_cast<std::size_t>(a)) + 2;
        prior_(row, face_column(static_cast<std::size_t>(b)) + 2) += information(a, b);
      }
    }
  }

  void add(const Measured& m, Eigen::MatrixXd& matrix, Eigen::VectorXd& right) const {
    const FacePlace& place = places_[m.face];
    const std::size_t slot =
        static_cast<std::size_t>(std::lower_bound(nodes_.begin(), nodes_.end(), m.node) - nodes_.begin());
    const Pose2& pose = returns_.graph.nodes[m.node].pose;
    const Eigen::Index f = face_column(m.face);
    const Eigen::Index line = m.stretch == 0 ? f : f + 4 + 2 * (m.stretch - 1);
    const Eigen::Index k = node_column(slot);
    const double square = place.normal.dot(m.at->beam);  // -1 for a beam square to the face
    const double across = across_of(place, m.at->at_m);
    // Derivatives are taken where the beam meets the line found so far: at the measured place they would hold the
    // range's noise, which `across` holds too, and the two together would turn the line.
    constexpr double kGrazing = 0.17;
    const double off = across - solution_[line] - solution_[line + 1] * along_of(place, m.at->at_m);
    const Eigen::Vector2d met = m.at->at_m - (std::abs(square) > kGrazing ? off / square : 0.0) * m.at->beam;
    const Eigen::Vector2d n = pose.rotation().transpose() * place.normal;
    const Eigen::Vector2d local = pose.rotation().transpose() * (met - pose.translation());
    // across = offset + slope * along + (bias + oblique bias * (1 + square)) * square + what the pose's error does
    const std::array<std::pair<Eigen::Index, double>, 7> terms{{{line, 1.0},
                                                                {line + 1, along_of(place, met)},
                                                                {f + 2, square},
                                                                {f + 3, square * (1.0 + square)},
                                                                {k, n.x()},
                                                                {k + 1, n.y()},
                                                                {k + 2, n.y() * local.x() - n.x() * local.y()}}};
    double residual = across;
    for (const auto& [column, value] : terms) residual -= value * solution_[column];
    const double weight = cauchy(residual, m.at->variance_m2, options_.model.robust_ratio) / m.at->variance_m2;
    for (const auto& [row, a] : terms) {
      right[row] += weight * across * a;
      for (const auto& [column, b] : terms) matrix(row, column) += weight * a * b;
    }
  }

  FittedFaces result(const Eigen::LLT<Eigen::MatrixXd>& factor) const {
    FittedFaces fitted;
    const auto rows = 2 * static_cast<Eigen::Index>(places_.size());
    Eigen::MatrixXd unit = Eigen::MatrixXd::Zero(size(), rows);
    for (std::size_t face = 0; face < places_.size(); ++face) {
      unit.block<2, 2>(face_column(face), 2 * static_cast<Eigen::Index>(face)).setIdentity();
    }
    fitted.covariance = unit.transpose() * factor.solve(unit);
    for (std::size_t face = 0; face < places_.size(); ++face) {
      const Eigen::Index f = face_column(face);
      fitted.faces.push_back(moved(places_[face], solution_[f], solution_[f + 1]));
    }
    fitted.returns = near_;
    fitted.nodes = static_cast<int>(nodes_.size());
    return fitted;
  }

  const PlacedReturns& returns_;
  const WallFaceFitOptions& options_;
  std::vector<FacePlace> places_;
  int further_ = 0;  ///< stretches on each side of the place
  std::vector<std::size_t> nodes_;
  std::vector<Measured> measured_;
  std::vector<int> near_;
  Eigen::MatrixXd prior_;
  Eigen::VectorXd solution_;
};

}  // namespace

std::optional<FittedFaces> fit_faces(const PlacedReturns& returns, const NodeCovariance& poses,
                                     std::vector<FacePlace> places, const WallFaceFitOptions& options) {
  for (FacePlace& place : places) {
    const std::optional<FacePlace> found = first_line(returns, place, options);
    if (!found) return std::nullopt;
    place = *found;
  }
  FaceSystem system(returns, poses, places, options);
  if (!system.has_returns()) return std::nullopt;
  return system.solve();
}

}  // namespace wainscot
