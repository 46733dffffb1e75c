#include "graph/adjust/joint_adjustment.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "graph/adjust/thinning.hpp"
#include "graph/adjust/wall_faces.hpp"
#include "graph/markers/marker_factors.hpp"
#include "graph/parallel.hpp"
#include "scanmatch/icp.hpp"

namespace wainscot {
namespace {

constexpr int kLidarConstants = kSweepScale + 1;  // those that act on every return come first
using Vector6 = Eigen::Matrix<double, kLidarConstants, 1>;
using Matrix6 = Eigen::Matrix<double, kLidarConstants, kLidarConstants>;
using Matrix36 = Eigen::Matrix<double, 3, kLidarConstants>;
using Matrix63 = Eigen::Matrix<double, kLidarConstants, 3>;

/// Normal equations of one node with one wall piece.
struct Coupling {
  std::int32_t piece;
  std::int32_t node;
  Eigen::Matrix3d pose_piece = Eigen::Matrix3d::Zero();
};

/// Normal equations of one wall piece (offset, slope, bias).
struct PieceBlock {
  Eigen::Matrix3d piece = Eigen::Matrix3d::Zero();
  Matrix63 lidar_piece = Matrix63::Zero();
  Eigen::Vector3d gradient = Eigen::Vector3d::Zero();
};

struct NodeBlock {
  Eigen::Matrix3d pose = Eigen::Matrix3d::Zero();
  Matrix36 pose_lidar = Matrix36::Zero();
  Eigen::Vector3d gradient = Eigen::Vector3d::Zero();
};

struct NormalEquations {
  std::vector<NodeBlock> nodes;
  std::vector<PieceBlock> pieces;
  std::vector<Coupling> couplings;
  Matrix6 lidar = Matrix6::Zero();
  Vector6 lidar_gradient = Vector6::Zero();
  double weighted_squares = 0.0;
  double weights = 0.0;
};

class Adjustment {
 public:
  Adjustment(const Drive& drive, const std::vector<OdometryStep>& steps, std::vector<Keyframe> keyframes,
             std::vector<Pose2> poses, MarkerEvidence markers, const JointOptions& options)
      : drive_(drive),
        steps_(steps),
        options_(options),
        noise_(odometry_noise(drive.robot)),
        range_noise_(range_noise(drive.robot.lidar)),
        prior_information_(constant_prior(drive).inverse()),
        keyframes_(std::move(keyframes)),
        poses_(std::move(poses)),
        markers_(std::move(markers), poses_) {
    lidar_times_s_.reserve(keyframes_.size());
    for (const Keyframe& k : keyframes_) lidar_times_s_.push_back(drive_.scans[k.scan].time_s);
    middle_s_ = 0.5 * (lidar_times_s_.front() + lidar_times_s_.back());
  }

  void round(bool last) {
    correct_scans();
    if (markers_.unknowns() > 0) {
      markers_.begin_round(drive_, OdometryPath(steps_, constants_.odometry()), node_times_s(), poses_);
    }
    pair_with_pieces();
    faces_ = wall_faces(pieces_);
    NormalEquations equations = measure_walls();
    build_system(equations);
    solve(equations);
    result_.residual_rms_m = std::sqrt(equations.weighted_squares / std::max(equations.weights, 1e-9));
    if (last) find_covariances();
  }

  JointResult take() {
    result_.keyframes = std::move(keyframes_);
    result_.poses = std::move(poses_);
    result_.constants = constants_;
    result_.middle_s = middle_s_;
    result_.odometry_noise_ratio = noise_ratio_;
    result_.pieces = std::move(pieces_);
    result_.markers = markers_.account(result_.poses, marker_covariance_);
    return std::move(result_);
  }

 private:
  std::size_t unknowns() const { return static_cast<std::size_t>(markers_column() + markers_.unknowns()); }
  static Eigen::Index column(std::size_t node) { return 3 * (static_cast<Eigen::Index>(node) - 1); }
  Eigen::Index constants_column() const { return 3 * (static_cast<Eigen::Index>(poses_.size()) - 1); }
  Eigen::Index markers_column() const { return constants_column() + kConstants + faces_.count; }
  /// Of the face that the piece is part of; -1: of none.
  Eigen::Index face_column(std::int32_t piece) const {
    const std::int32_t face = faces_.of_piece[static_cast<std::size_t>(piece)];
    return face == WallFaces::kNone ? -1 : constants_column() + kConstants + face;
  }

  std::vector<double> node_times_s() const {
    std::vector<double> times_s;
    for (const Keyframe& k : keyframes_) times_s.push_back(k.time_s);
    return times_s;
  }

  /// The constant velocity that bends odometry's path from node i to where node i + 1 was found.
  Tangent2 extra_velocity(const OdometryPath& path, std::size_t i) const {
    constexpr double kLongestS = 3.0;  // over a longer stretch the mean says little about one sweep
    const std::size_t from = i + 1 < poses_.size() ? i : i - 1;
    if (poses_.size() < 2) return Tangent2::Zero();
    const double duration = keyframes_[from + 1].time_s - keyframes_[from].time_s;
    if (duration > kLongestS || duration <= 0.0) return Tangent2::Zero();
    const Pose2 driven = between(path.pose_at(keyframes_[from].time_s), path.pose_at(keyframes_[from + 1].time_s));
    return log(between(driven, between(poses_[from], poses_[from + 1]))) / duration;
  }

  void correct_scans() {
    const OdometryPath path(steps_, constants_.odometry());
    const LidarModel lidar = constants_.lidar(drive_.robot.lidar);
    for (std::size_t i = 0; i < keyframes_.size(); ++i) {
      keyframes_[i].time_s = constants_.wheel_time_s(lidar_times_s_[i], middle_s_);
    }
    for (std::size_t i = 0; i < keyframes_.size(); ++i) {
      keyframes_[i].points = prepare_scan(drive_.scans[keyframes_[i].scan], keyframes_[i].time_s, lidar,
                                          drive_.robot.lidar, path, extra_velocity(path, i));
    }
  }

  void pair_with_pieces() {
    pieces_ = LineMap();
    pairs_.assign(keyframes_.size(), {});
    for (std::size_t k = 0; k < keyframes_.size(); ++k) {
      const Eigen::Matrix2d rotation = poses_[k].rotation();
      pairs_[k].assign(keyframes_[k].points.size(), LineMap::kNone);
      for (std::size_t i = 0; i < keyframes_[k].points.size(); ++i) {
        const ScanPoint& p = keyframes_[k].points[i];
        if (!p.has_normal()) continue;
        pairs_[k][i] =
            pieces_.add(poses_[k] * Eigen::Vector2d(p.x_m, p.y_m), rotation * Eigen::Vector2d(p.normal_x, p.normal_y),
                        1.0 / across_variance(p, range_noise_), static_cast<int>(k), 0);
      }
      pieces_.fit();
    }
  }

  NormalEquations measure_walls() {
    NormalEquations equations;
    equations.nodes.resize(poses_.size());
    equations.pieces.resize(pieces_.lines().size());
    const LidarModel lidar = constants_.lidar(drive_.robot.lidar);
    std::vector<std::int32_t> slot(pieces_.lines().size(), -1);
    for (std::size_t k = 0; k < poses_.size(); ++k) measure_node(k, lidar, slot, equations);
    return equations;
  }

  /// Adds the returns of node k. `slot`: where the coupling of a piece with this node stands.
  void measure_node(std::size_t k, const LidarModel& lidar, std::vector<std::int32_t>& slot,
                    NormalEquations& equations) {
    const Pose2& pose = poses_[k];
    const Eigen::Matrix2d to_robot = pose.rotation().transpose();
    const Tangent2 velocity = sweep_velocity(k);
    const std::size_t first = equations.couplings.size();
    for (std::size_t i = 0; i < keyframes_[k].points.size(); ++i) {
      const ScanPoint& p = keyframes_[k].points[i];
      if (!p.has_normal()) continue;
      const std::int32_t piece = pairs_[k][i];
      const Line& line = pieces_.lines()[static_cast<std::size_t>(piece)];
      if (line.nodes < 2) continue;
      std::int32_t& place = slot[static_cast<std::size_t>(piece)];
      if (place < static_cast<std::int32_t>(first)) {
        place = static_cast<std::int32_t>(equations.couplings.size());
        equations.couplings.push_back({piece, static_cast<std::int32_t>(k)});
      }
      add_return(p, line, pose, to_robot, velocity, lidar, equations.nodes[k],
                 equations.couplings[static_cast<std::size_t>(place)], equations);
    }
  }

  /// Mean velocity during the sweep of node k, robot frame.
  Tangent2 sweep_velocity(std::size_t k) const {
    const std::size_t from = k + 1 < poses_.size() ? k : k - 1;
    const double duration = keyframes_[from + 1].time_s - keyframes_[from].time_s;
    if (duration <= 0.0 || duration > 3.0) return Tangent2::Zero();
    return log(between(poses_[from], poses_[from + 1])) / duration;
  }

  /// What noise added to the range; an outlier's is not its range's noise alone.
  static double range_error_m(double residual, double along_beam, double variance) {
    constexpr double kMostSd = 3.0;
    if (along_beam == 0.0) return 0.0;
    const double most = kMostSd * std::sqrt(variance) / std::abs(along_beam);
    return std::clamp(residual / along_beam, -most, most);
  }

  void add_return(const ScanPoint& p, const Line& line, const Pose2& pose, const Eigen::Matrix2d& to_robot,
                  const Tangent2& velocity, const LidarModel& lidar, NodeBlock& node, Coupling& coupling,
                  NormalEquations& equations) {
    const Eigen::Vector2d local(p.x_m, p.y_m);
    const Eigen::Vector2d world = pose * local;
    const Eigen::Vector2d& normal = line.fitted_normal;
    const Eigen::Vector2d n = to_robot * normal;
    const Eigen::Vector2d beam(p.beam_x, p.beam_y);
    const double along_beam = n.dot(beam);
    const double across = normal.dot(world - line.anchor);
    const double variance = across_variance(p, range_noise_);
    const double residual = line.distance_of(world);
    // Where the beam would have ended without its noise: derivatives at the noisy point are correlated with the noise,
    // which tilts each piece by what the beams' slant and the noise make of it, and shortens all ranges to fit.
    const Eigen::Vector2d from_noise = range_error_m(residual, along_beam, variance) * beam;
    const Eigen::Vector2d on_wall = local - from_noise;
    const Eigen::Vector2d world_on_wall = pose * on_wall;
    const double along =
        normal.y() * (world_on_wall.x() - line.anchor.x()) - normal.x() * (world_on_wall.y() - line.anchor.y());

    const Eigen::Vector3d by_pose(n.x(), n.y(), n.y() * on_wall.x() - n.x() * on_wall.y());
    const Eigen::Vector3d by_piece(-1.0, -along, -along_beam);
    const Eigen::Vector2d from_lidar = on_wall - lidar.mounting.translation();
    // With the range scale the whole house grows, and with it the way driven during the sweep: from_lidar, not the
    // range alone; on the wall, outliers too: else a smaller house would seem to fit better.
    const double by_scale = n.dot(local - lidar.mounting.translation()) - residual;
    Vector6 by_lidar;
    by_lidar << n.x(), n.y(), n.y() * from_lidar.x() - n.x() * from_lidar.y(), by_scale, along_beam,
        p.time_offset_s * by_pose.dot(velocity);

    const double ratio2 = residual * residual / (variance * options_.robust_ratio * options_.robust_ratio);
    const double weight = 1.0 / (variance * (1.0 + ratio2));
    node.pose.noalias() += weight * by_pose * by_pose.transpose();
    node.pose_lidar.noalias() += weight * by_pose * by_lidar.transpose();
    node.gradient.noalias() += weight * across * by_pose;
    coupling.pose_piece.noalias() += weight * by_pose * by_piece.transpose();
    PieceBlock& block = equations.pieces[static_cast<std::size_t>(coupling.piece)];
    block.piece.noalias() += weight * by_piece * by_piece.transpose();
    block.lidar_piece.noalias() += weight * by_lidar * by_piece.transpose();
    block.gradient.noalias() += weight * across * by_piece;
    equations.lidar.noalias() += weight * by_lidar * by_lidar.transpose();
    equations.lidar_gradient.noalias() += weight * across * by_lidar;
    equations.weighted_squares += residual * residual / (1.0 + ratio2);
    equations.weights += 1.0 / (1.0 + ratio2);
  }

  /// Fills system_ and right_side_: nodes, then constants, then the biases of faces, then what belongs to markers, with
  /// the pieces eliminated.
  void build_system(NormalEquations& equations) {
    const auto size = static_cast<Eigen::Index>(unknowns());
    system_.setZero(size, size);
    right_side_.setZero(size);
    const Eigen::Index c0 = constants_column();
    for (std::size_t k = 1; k < poses_.size(); ++k) {
      system_.block<3, 3>(column(k), column(k)) += equations.nodes[k].pose;
      system_.block<kLidarConstants, 3>(c0, column(k)) += equations.nodes[k].pose_lidar.transpose();
      right_side_.segment<3>(column(k)) -= equations.nodes[k].gradient;
    }
    system_.block<kLidarConstants, kLidarConstants>(c0, c0) += equations.lidar;
    right_side_.segment<kLidarConstants>(c0) -= equations.lidar_gradient;
    system_.block<kConstants, kConstants>(c0, c0) += prior_information_;
    right_side_.segment<kConstants>(c0) -= prior_information_ * constants_.change;
    add_faces(equations);
    eliminate_pieces(equations);
    add_odometry();
    markers_.add_to({system_, right_side_, [](std::size_t node) { return column(node); },
                     constants_column() + kRangeScale, markers_column()},
                    poses_);
  }

  /// A face's bias acts on a return like its piece's: the third of the piece's own unknowns.
  void add_faces(const NormalEquations& equations) {
    const Eigen::Index c0 = constants_column();
    for (std::size_t j = 0; j < equations.pieces.size(); ++j) {
      const Eigen::Index face = face_column(static_cast<std::int32_t>(j));
      if (face < 0) continue;
      const PieceBlock& block = equations.pieces[j];
      system_(face, face) += block.piece(2, 2);
      system_.block<1, kLidarConstants>(face, c0) += block.lidar_piece.col(2).transpose();
      right_side_[face] -= block.gradient[2];
    }
    for (const Coupling& c : equations.couplings) {
      const Eigen::Index face = face_column(c.piece);
      if (face < 0 || c.node == 0) continue;
      system_.block<1, 3>(face, column(static_cast<std::size_t>(c.node))) += c.pose_piece.col(2).transpose();
    }
    for (Eigen::Index face = c0 + kConstants; face < markers_column(); ++face) {
      system_(face, face) += 1.0 / (options_.face_bias_sd_m * options_.face_bias_sd_m);
    }
  }

  /// Subtracts coupling * piece^-1 * coupling^T for each piece from the lower half.
  void eliminate_pieces(NormalEquations& equations) {
    std::stable_sort(equations.couplings.begin(), equations.couplings.end(),
                     [](const Coupling& a, const Coupling& b) { return a.piece < b.piece; });
    const Eigen::Index c0 = constants_column();
    for (std::size_t begin = 0, end = 0; begin < equations.couplings.size(); begin = end) {
      const std::int32_t piece = equations.couplings[begin].piece;
      while (end < equations.couplings.size() && equations.couplings[end].piece == piece) ++end;
      const PieceBlock& block = equations.pieces[static_cast<std::size_t>(piece)];
      const Eigen::Matrix3d inverse = with_prior(piece, block).inverse();
      const Eigen::Index face = face_column(piece);
      const Eigen::RowVector3d face_side = block.piece.row(2) * inverse;
      if (face >= 0) {
        system_(face, face) -= face_side.dot(block.piece.row(2));
        system_.block<1, kLidarConstants>(face, c0).noalias() -= face_side * block.lidar_piece.transpose();
        right_side_[face] += face_side.dot(block.gradient);
      }
      const Matrix63 lidar_side = block.lidar_piece * inverse;
      system_.block<kLidarConstants, kLidarConstants>(c0, c0).noalias() -= lidar_side * block.lidar_piece.transpose();
      right_side_.segment<kLidarConstants>(c0) += lidar_side * block.gradient;
      for (std::size_t i = begin; i < end; ++i) {
        const Coupling& a = equations.couplings[i];
        if (a.node == 0) continue;
        const Eigen::Index row = column(static_cast<std::size_t>(a.node));
        const Eigen::Matrix3d side = a.pose_piece * inverse;
        right_side_.segment<3>(row) += side * block.gradient;
        system_.block<kLidarConstants, 3>(c0, row).noalias() -= block.lidar_piece * side.transpose();
        if (face >= 0) system_.block<1, 3>(face, row).noalias() -= face_side * a.pose_piece.transpose();
        for (std::size_t j = begin; j <= i; ++j) {
          const Coupling& b = equations.couplings[j];
          if (b.node == 0) continue;
          system_.block<3, 3>(row, column(static_cast<std::size_t>(b.node))).noalias() -=
              side * b.pose_piece.transpose();
        }
      }
    }
  }

  /// Offset and slope are free but for what keeps the matrix regular: a prior about the anchor would hold the house's
  /// size. Only the bias has one.
  Eigen::Matrix3d with_prior(std::int32_t piece, const PieceBlock& block) const {
    constexpr double kFree = 1e-2;
    const double bias_sd_m = face_column(piece) < 0 ? options_.face_bias_sd_m : options_.piece_bias_sd_m;
    Eigen::Matrix3d matrix = block.piece;
    matrix.diagonal() += Eigen::Vector3d(kFree, kFree, 1.0 / (bias_sd_m * bias_sd_m));
    return matrix;
  }

  /// What odometry says of the way from node i to node i + 1 with given constants.
  Pose2 driven(const OdometryPath& path, std::size_t i, const Constants& constants) const {
    return between(path.pose_at(constants.wheel_time_s(lidar_times_s_[i], middle_s_)),
                   path.pose_at(constants.wheel_time_s(lidar_times_s_[i + 1], middle_s_)));
  }

  /// Across a break any number of turns may lie between the two.
  static Tangent2 odometry_error(const Pose2& measured, const Pose2& actual) {
    Pose2 error = between(measured, actual);
    error.heading_rad = wrap_angle(error.heading_rad);
    return log(error);
  }

  /// Share of turning in the wheels' rolling from node i to node i + 1.
  double turn_share(const OdometryPath& path, std::size_t i) const {
    const double half_width = 0.5 * track_width_m(drive_.robot);
    const double turning =
        half_width * (path.turned_at_rad(keyframes_[i + 1].time_s) - path.turned_at_rad(keyframes_[i].time_s));
    const double way = path.way_at_m(keyframes_[i + 1].time_s) - path.way_at_m(keyframes_[i].time_s);
    return way + turning > 0.0 ? turning / (way + turning) : 0.0;
  }

  using ByConstants = Eigen::Matrix<double, 3, kConstants>;

  /// How the residuals between consecutive nodes change with odometry's constants, one constant after the other: a path
  /// for each of them at once would be the most memory that a long drive needs.
  std::vector<ByConstants> odometry_by_constants(const std::vector<Tangent2>& residuals) const {
    std::vector<ByConstants> derivatives(residuals.size(), ByConstants::Zero());
    for (int c = kDistanceScale; c < kConstants; ++c) {
      const double delta = c == kClockRate ? 1e-5 : 1e-4;
      Constants changed = constants_;
      changed.change[c] += delta;
      const OdometryPath path(steps_, changed.odometry());
      for (std::size_t i = 0; i < residuals.size(); ++i) {
        const Pose2 actual = between(poses_[i], poses_[i + 1]);
        derivatives[i].col(c) = (odometry_error(driven(path, i, changed), actual) - residuals[i]) / delta;
      }
    }
    return derivatives;
  }

  void add_odometry() {
    const OdometryPath path(steps_, constants_.odometry());
    std::vector<Tangent2> residuals;
    for (std::size_t i = 0; i + 1 < poses_.size(); ++i) {
      residuals.push_back(odometry_error(driven(path, i, constants_), between(poses_[i], poses_[i + 1])));
    }
    std::vector<ByConstants> derivatives = odometry_by_constants(residuals);
    std::array<std::vector<double>, 3> ratios;
    for (std::size_t i = 0; i < residuals.size(); ++i) {
      ByConstants& by_constants = derivatives[i];
      // As with the range scale: the noise is that of the wheels' own measure.
      by_constants.col(kDistanceScale).head<2>() -= residuals[i].head<2>();
      by_constants(2, kTurnScale) -= residuals[i][2];
      // Where the robot turns on the spot, the recorded way is noise alone: its share must not count as way.
      by_constants.col(kSlipInTurns) = turn_share(path, i) * by_constants.col(kDistanceScale);
      add_odometry_factor(i, residuals[i], by_constants, ratios);
    }
    renew_noise_ratio(ratios);
  }

  void add_odometry_factor(std::size_t i, const Tangent2& residual, const ByConstants& by_constants,
                           std::array<std::vector<double>, 3>& ratios) {
    Eigen::Matrix3d covariance = stretch_covariance(steps_, noise_, keyframes_[i].time_s, keyframes_[i + 1].time_s);
    covariance.diagonal() += Eigen::Vector3d(1e-6, 1e-6, 1e-6);
    const Eigen::Vector3d scale(noise_ratio_[0], noise_ratio_[1], noise_ratio_[2]);
    covariance = scale.asDiagonal() * covariance * scale.asDiagonal();
    for (int c = 0; c < 3; ++c) {
      ratios[static_cast<std::size_t>(c)].push_back(std::abs(residual[c]) / std::sqrt(covariance(c, c)));
    }
    Eigen::Matrix3d information = covariance.inverse();
    constexpr double kRobustSquared = 9.0;  // Cauchy: a slip of three standard deviations counts half
    information /= 1.0 + residual.dot(information * residual) / kRobustSquared;
    const Eigen::Matrix3d by_to = right_jacobian_inverse(residual);
    const Eigen::Matrix3d by_from = -by_to * adjoint(inverse(between(poses_[i], poses_[i + 1])));
    const Eigen::Index c0 = constants_column();
    const Eigen::Index to = column(i + 1);
    system_.block<3, 3>(to, to) += by_to.transpose() * information * by_to;
    right_side_.segment<3>(to) -= by_to.transpose() * information * residual;
    system_.block<kConstants, 3>(c0, to) += by_constants.transpose() * information * by_to;
    system_.block<kConstants, kConstants>(c0, c0) += by_constants.transpose() * information * by_constants;
    right_side_.segment<kConstants>(c0) -= by_constants.transpose() * information * residual;
    if (i == 0) return;
    const Eigen::Index from = column(i);
    system_.block<3, 3>(from, from) += by_from.transpose() * information * by_from;
    system_.block<3, 3>(to, from) += by_to.transpose() * information * by_from;
    system_.block<kConstants, 3>(c0, from) += by_constants.transpose() * information * by_from;
    right_side_.segment<3>(from) -= by_from.transpose() * information * residual;
  }

  /// The noise that odometry really has, from its residuals: the median is not misled by slips.
  void renew_noise_ratio(std::array<std::vector<double>, 3>& ratios) {
    constexpr double kNormalMedian = 0.6745;  // median of |x| for a standard normal x
    constexpr std::size_t kEnough = 30;
    if (ratios[0].size() < kEnough) return;
    for (std::size_t c = 0; c < 3; ++c) {
      const auto middle = ratios[c].begin() + static_cast<std::ptrdiff_t>(ratios[c].size() / 2);
      std::nth_element(ratios[c].begin(), middle, ratios[c].end());
      next_noise_ratio_[c] = std::clamp(noise_ratio_[c] * *middle / kNormalMedian, 0.15, 5.0);
    }
  }

  void solve(const NormalEquations& equations) {
    // In place: the matrix of a large building is most of the memory in use. Below, system_ holds its factor.
    const Eigen::LLT<Eigen::Ref<Eigen::MatrixXd>> factor(system_);
    const Eigen::VectorXd step = factor.solve(right_side_);
    move_pieces(equations, step);
    for (std::size_t k = 1; k < poses_.size(); ++k) {
      poses_[k] = poses_[k] * exp(step.segment<3>(column(k)));
    }
    constants_.change += step.segment<kConstants>(constants_column());
    markers_.move(step.tail(markers_.unknowns()));
    // Only while the nodes are held by the walls: once odometry weighs more, its residuals shrink by its own doing.
    constexpr int kRoundsThatRenew = 2;
    if (++rounds_done_ <= kRoundsThatRenew) noise_ratio_ = next_noise_ratio_;
  }

  /// Back substitution: where the pieces lie once the nodes have moved.
  void move_pieces(const NormalEquations& equations, const Eigen::VectorXd& step) {
    std::vector<Eigen::Vector3d> right(equations.pieces.size());
    const Vector6 lidar_step = step.segment<kLidarConstants>(constants_column());
    for (std::size_t j = 0; j < right.size(); ++j) {
      right[j] = -equations.pieces[j].gradient - equations.pieces[j].lidar_piece.transpose() * lidar_step;
    }
    for (const Coupling& c : equations.couplings) {
      if (c.node == 0) continue;
      right[static_cast<std::size_t>(c.piece)] -=
          c.pose_piece.transpose() * step.segment<3>(column(static_cast<std::size_t>(c.node)));
    }
    for (std::size_t j = 0; j < right.size(); ++j) {
      Line& line = pieces_.mutable_lines()[j];
      if (line.nodes < 2) continue;
      const auto piece = static_cast<std::int32_t>(j);
      const Eigen::Index face = face_column(piece);
      const double face_bias_m = face < 0 ? 0.0 : step[face];
      right[j] -= equations.pieces[j].piece.col(2) * face_bias_m;
      const Eigen::Vector3d found = with_prior(piece, equations.pieces[j]).inverse() * right[j];
      line.normal = line.fitted_normal;
      line.set_fit(found[0], found[1]);
      line.range_bias_m = face_bias_m + found[2];
    }
  }

  void find_covariances() {
    const auto size = static_cast<Eigen::Index>(unknowns());
    const auto lower = [&](Eigen::Index first, Eigen::MatrixXd& columns) {
      const Eigen::Index rest = size - first;
      system_.bottomRightCorner(rest, rest).triangularView<Eigen::Lower>().solveInPlace(columns);
    };
    const Eigen::Index c0 = constants_column();
    Eigen::MatrixXd columns = Eigen::MatrixXd::Zero(size - c0, kConstants);
    columns.topRows<kConstants>().setIdentity();
    lower(c0, columns);
    result_.constant_covariance = columns.transpose() * columns;
    Eigen::MatrixXd markers = Eigen::MatrixXd::Identity(markers_.unknowns(), markers_.unknowns());
    if (markers.size() > 0) lower(markers_column(), markers);
    marker_covariance_ = markers.transpose() * markers;
    result_.covariances.assign(poses_.size(), Eigen::Matrix3d::Zero());
    // L^-1 e_k is zero above its own row: only the lower right corner of L takes part. Several nodes at once keep the
    // processor's caches busy.
    constexpr std::size_t kAtOnce = 32;
    for (std::size_t k = 1; k < poses_.size(); k += kAtOnce) {
      const std::size_t end = std::min(k + kAtOnce, poses_.size());
      const Eigen::Index first = column(k);
      const auto width = 3 * static_cast<Eigen::Index>(end - k);
      Eigen::MatrixXd unit = Eigen::MatrixXd::Zero(size - first, width);
      unit.topRows(width).setIdentity();
      lower(first, unit);
      for (std::size_t i = k; i < end; ++i) {
        const auto own = unit.middleCols<3>(column(i) - first);
        result_.covariances[i] = own.transpose() * own;
      }
    }
  }

  const Drive& drive_;
  const std::vector<OdometryStep>& steps_;
  JointOptions options_;
  OdometryNoise noise_;
  RangeNoise range_noise_;
  ConstantMatrix prior_information_;
  std::vector<Keyframe> keyframes_;
  std::vector<Pose2> poses_;
  MarkerFactors markers_;
  Eigen::MatrixXd marker_covariance_;
  std::vector<double> lidar_times_s_;
  double middle_s_ = 0.0;
  Constants constants_;
  int rounds_done_ = 0;
  std::array<double, 3> noise_ratio_{1.0, 1.0, 1.0};
  std::array<double, 3> next_noise_ratio_{1.0, 1.0, 1.0};
  LineMap pieces_;
  WallFaces faces_;
  std::vector<std::vector<std::int32_t>> pairs_;
  Eigen::MatrixXd system_;
  Eigen::VectorXd right_side_;
  JointResult result_;
};

/// The nodes of the adjustment: those that tell something new of the walls, and of each marker's sightings some more.
std::vector<std::size_t> chosen_nodes(const std::vector<Pose2>& poses, const MarkerEvidence& markers) {
  constexpr std::size_t kMostOfMarker = 20;
  std::vector<std::size_t> chosen = informative_nodes(poses);
  std::vector<std::vector<std::size_t>> nodes_of(markers.names.size());
  for (const NodeSighting& s : markers.sightings) nodes_of[s.marker].push_back(s.node);
  for (const std::vector<std::size_t>& nodes : nodes_of) {
    const std::size_t stride = 1 + nodes.size() / kMostOfMarker;
    for (std::size_t i = 0; i < nodes.size(); i += stride) chosen.push_back(nodes[i]);
  }
  std::sort(chosen.begin(), chosen.end());
  chosen.erase(std::unique(chosen.begin(), chosen.end()), chosen.end());
  return chosen;
}

/// The sightings at chosen nodes, with the nodes' numbers among these.
MarkerEvidence at_chosen(MarkerEvidence markers, const std::vector<std::size_t>& chosen) {
  std::vector<NodeSighting> sightings;
  for (NodeSighting& s : markers.sightings) {
    const auto place = std::lower_bound(chosen.begin(), chosen.end(), s.node);
    if (place == chosen.end() || *place != s.node) continue;
    s.node = static_cast<std::size_t>(place - chosen.begin());
    sightings.push_back(s);
  }
  markers.sightings = std::move(sightings);
  return markers;
}

/// The nodes that took no part in the adjustment, each matched against the adjusted walls from where its nearest
/// adjusted neighbour along the way puts it.
JointResult resect_others(const Drive& drive, const std::vector<OdometryStep>& steps, std::vector<Keyframe> keyframes,
                          const std::vector<Pose2>& before, const std::vector<std::size_t>& kept, JointResult adjusted,
                          int threads) {
  if (kept.size() == keyframes.size()) return adjusted;
  const OdometryPath path(steps, adjusted.constants.odometry());
  const LidarModel lidar = adjusted.constants.lidar(drive.robot.lidar);
  const RangeNoise noise = range_noise(drive.robot.lidar);
  IcpOptions icp;
  icp.first_gate_m = 0.15;   // what the adjustment bent between the two
  icp.line_error_m = 0.003;  // the pieces are adjusted
  std::vector<Pose2> poses(keyframes.size());
  std::vector<Eigen::Matrix3d> covariances(keyframes.size());
  for_each_index(keyframes.size(), threads, [&](std::size_t i) {
    const auto after = std::lower_bound(kept.begin(), kept.end(), i);
    const auto slot = static_cast<std::size_t>(after - kept.begin());
    if (after != kept.end() && *after == i) {
      keyframes[i] = std::move(adjusted.keyframes[slot]);
      poses[i] = adjusted.poses[slot];
      covariances[i] = adjusted.covariances[slot];
      return;
    }
    const std::size_t nearest = i - kept[slot - 1] < kept[slot] - i ? slot - 1 : slot;
    const Pose2 predicted = adjusted.poses[nearest] * between(before[kept[nearest]], before[i]);
    keyframes[i].time_s = adjusted.constants.wheel_time_s(drive.scans[keyframes[i].scan].time_s, adjusted.middle_s);
    keyframes[i].points = prepare_scan(drive.scans[keyframes[i].scan], keyframes[i].time_s, lidar, drive.robot.lidar,
                                       path, Tangent2::Zero());
    const Eigen::Matrix3d prior = Eigen::Vector3d::Constant(1.0 / (0.05 * 0.05)).asDiagonal();
    const IcpResult found = match_icp(keyframes[i].points, adjusted.pieces, noise, predicted, prior, icp);
    poses[i] = found.overlap > 0.3 ? found.pose : predicted;
    covariances[i] = adjusted.covariances[nearest] + (prior + found.information).inverse();
  });
  adjusted.keyframes = std::move(keyframes);
  adjusted.poses = std::move(poses);
  adjusted.covariances = std::move(covariances);
  return adjusted;
}

}  // namespace

JointResult adjust_jointly(const Drive& drive, const std::vector<OdometryStep>& steps, std::vector<Keyframe> keyframes,
                           std::vector<Pose2> poses, const JointOptions& options, int threads,
                           const std::function<void(double)>& progress) {
  const std::vector<std::size_t> kept = chosen_nodes(poses, options.markers);
  std::vector<Keyframe> kept_keyframes;
  std::vector<Pose2> kept_poses;
  for (std::size_t i : kept) {
    kept_keyframes.push_back(keyframes[i]);
    kept_poses.push_back(poses[i]);
  }
  Adjustment adjustment(drive, steps, std::move(kept_keyframes), std::move(kept_poses),
                        at_chosen(options.markers, kept), options);
  for (int round = 0; round < options.rounds; ++round) {
    adjustment.round(round + 1 == options.rounds);
    if (progress) progress(static_cast<double>(round + 1) / options.rounds);
  }
  return resect_others(drive, steps, std::move(keyframes), poses, kept, adjustment.take(), threads);
}

}  // namespace wainscot
