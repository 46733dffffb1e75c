#include "graph/motion/robot_fit.hpp"

#include <algorithm>
#include <cmath>

#include <Eigen/Dense>

#include "core/median.hpp"

namespace wainscot {
namespace {

constexpr int kRounds = 12;  // chosen by hand on simulated homes whose numbers were not kept
// What is usual of a stride: a match's noise and a part of the motion, by slip. Chosen by hand on simulated homes
// whose numbers were not kept.
constexpr double kMatchRad = 0.003;
constexpr double kSlipOfTurn = 0.03;
constexpr double kMatchM = 0.006;
constexpr double kSlipOfWay = 0.02;
constexpr double kSlipOfTurnM = 0.01;  // of the way in a turn, metres a radian

/// Tukey's biweight; `ratio` error / usual size of the error.
double tukey(double ratio) {
  constexpr double kReach = 4.685;  // 95 % efficiency where errors are normal: Huber, Robust Statistics, 1981
  const double u = ratio / kReach;
  return std::abs(u) >= 1.0 ? 0.0 : (1.0 - u * u) * (1.0 - u * u);
}

struct Row {
  std::size_t stride;
  double turn;
  Eigen::Vector2d shift;  // of the lidar, its frame
  CountPair counts;
  std::vector<CountPair> changes;
  Eigen::Vector2d way = Eigen::Vector2d::Zero();  // of the robot over track width, its frame at the begin
  double turn_sd = 0.0;
  double shift_sd = 0.0;
  double weight = 1.0;
};

std::vector<Row> usable_rows(const std::vector<LidarStride>& strides, const WheelSeries& wheels,
                             const ClockFit& clock) {
  std::vector<Row> rows;
  for (std::size_t k = 0; k < strides.size(); ++k) {
    const LidarStride& stride = strides[k];
    const double from = clock.wheel_time_s(stride.begin_s);
    const double to = clock.wheel_time_s(stride.end_s);
    if (!stride.sure || wheels.is_unknown(from, to)) continue;
    Row row{k, stride.motion.heading_rad, stride.motion.translation(), wheels.change(from, to),
            wheels.changes(from, to)};
    row.turn_sd = std::hypot(kMatchRad, kSlipOfTurn * row.turn);
    const double way = row.shift.norm();
    row.shift_sd = kMatchM + kSlipOfWay * way + kSlipOfTurnM * std::abs(row.turn);
    rows.push_back(std::move(row));
  }
  return rows;
}

/// Radians a tick of both wheels.
struct TurnFit {
  Eigen::Vector2d per_tick = Eigen::Vector2d::Zero();
  Eigen::Matrix2d covariance = Eigen::Matrix2d::Zero();
  double scale = 1.0;  // of the errors, by turn_sd
};

TurnFit fit_turns(const std::vector<Row>& rows) {
  TurnFit fit;
  std::vector<double> weights(rows.size(), 1.0);
  for (int round = 0; round < kRounds; ++round) {
    Eigen::Matrix2d normal = Eigen::Matrix2d::Zero();
    Eigen::Matrix2d scatter = Eigen::Matrix2d::Zero();
    Eigen::Vector2d right = Eigen::Vector2d::Zero();
    for (std::size_t k = 0; k < rows.size(); ++k) {
      const Row& row = rows[k];
      const Eigen::Vector2d counts = Eigen::Vector2d(row.counts.left, row.counts.right) / row.turn_sd;
      normal += weights[k] * counts * counts.transpose();
      right += weights[k] * row.turn / row.turn_sd * counts;
      const double error = row.turn / row.turn_sd - fit.per_tick.dot(counts);
      scatter += std::pow(weights[k] * error, 2) * counts * counts.transpose();
    }
    const Eigen::Matrix2d inverse = (normal + 1e-12 * (1e-12 + normal.trace()) * Eigen::Matrix2d::Identity()).inverse();
    fit.covariance = inverse * scatter * inverse;
    fit.per_tick = inverse * right;
    std::vector<double> ratios;
    for (const Row& row : rows) {
      const double error = row.turn - fit.per_tick.dot(Eigen::Vector2d(row.counts.left, row.counts.right));
      ratios.push_back(std::abs(error) / row.turn_sd);
    }
    fit.scale = std::max(0.3, 1.4826 * median(ratios));
    for (std::size_t k = 0; k < rows.size(); ++k) weights[k] = tukey(ratios[k] / fit.scale);
  }
  return fit;
}

/// The robot's way over the track width, from the wheels' changes.
Eigen::Vector2d way_over_width(const std::vector<CountPair>& changes, const Eigen::Vector2d& per_tick) {
  Pose2 pose;
  for (const CountPair& c : changes) {
    const double forward = 0.5 * (per_tick.y() * c.right - per_tick.x() * c.left);
    const double turn = per_tick.x() * c.left + per_tick.y() * c.right;
    pose = pose * exp(Tangent2(forward, 0.0, turn));
  }
  return pose.translation();
}

/// Unknowns: mounting x, y, track width, cosine and sine of the mounting's heading.
using Row5 = Eigen::Matrix<double, 2, 5>;
using Vector5 = Eigen::Matrix<double, 5, 1>;
using Matrix5 = Eigen::Matrix<double, 5, 5>;

Row5 equation_of(const Row& row) {
  // (R(turn) - 1) mounting + width * way = R(heading) * shift
  Row5 equation;
  const double c = std::cos(row.turn) - 1.0;
  const double s = std::sin(row.turn);
  equation << c, -s, row.way.x(), -row.shift.x(), row.shift.y(),  //
      s, c, row.way.y(), -row.shift.y(), -row.shift.x();
  return equation;
}

/// The least of x' M x with the last two of x on the unit circle and a width above 0.
Vector5 constrained_least(const Matrix5& moments) {
  const Eigen::Matrix3d free =
      moments.topLeftCorner<3, 3>() + 1e-6 * Eigen::Matrix3d(Eigen::Matrix3d::Identity());  // 1 km
  const Eigen::Matrix<double, 3, 2> mixed = moments.topRightCorner<3, 2>();
  const Eigen::Matrix<double, 3, 2> solved = free.ldlt().solve(mixed);
  const Eigen::Matrix2d rest = moments.bottomRightCorner<2, 2>() - mixed.transpose() * solved;
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> eigen(0.5 * (rest + rest.transpose()));
  Vector5 x;
  x.tail<2>() = eigen.eigenvectors().col(0);
  x.head<3>() = -solved * x.tail<2>();
  return x(2) < 0.0 ? Vector5(-x) : x;
}

/// Covariance of mounting x, y, width and heading, from the scatter of the strides.
Eigen::Matrix4d covariance_of(const std::vector<Row>& rows, const Vector5& x) {
  Eigen::Matrix4d normal = 1e-6 * Eigen::Matrix4d::Identity();
  Eigen::Matrix4d scatter = Eigen::Matrix4d::Zero();
  for (const Row& row : rows) {
    const Row5 equation = equation_of(row) / row.shift_sd;
    Eigen::Matrix<double, 2, 4> jacobian;
    jacobian.leftCols<3>() = equation.leftCols<3>();
    jacobian.col(3) = equation.col(4) * x(3) - equation.col(3) * x(4);
    const Eigen::Vector2d error = equation * x;
    normal += row.weight * jacobian.transpose() * jacobian;
    const Eigen::Vector4d pull = row.weight * jacobian.transpose() * error;
    scatter += pull * pull.transpose();
  }
  const Eigen::Matrix4d inverse = normal.inverse();
  return inverse * (scatter + 1e-6 * Eigen::Matrix4d::Identity()) * inverse;
}

Vector5 fit_shifts(std::vector<Row>& rows, double& scale) {
  Vector5 x = Vector5::Zero();
  for (int round = 0; round < kRounds; ++round) {
    Matrix5 moments = Matrix5::Zero();
    for (const Row& row : rows) {
      const Row5 equation = equation_of(row) / row.shift_sd;
      moments += row.weight * equation.transpose() * equation;
    }
    x = constrained_least(moments);
    std::vector<double> ratios;
    for (const Row& row : rows) ratios.push_back((equation_of(row) * x).norm() / row.shift_sd);
    scale = std::max(0.3, median(ratios) / 1.1774);  // Rayleigh's median
    for (std::size_t k = 0; k < rows.size(); ++k) rows[k].weight = tukey(ratios[k] / (1.2 * scale));
  }
  return x;
}

/// Covariance of log left, log right and log width. The strides' lengths settle a tick's length; what the turns are in
/// doubt of in common, the width makes up for.
Eigen::Matrix3d scale_covariance(const TurnFit& turns, double length_variance) {
  const double left = 1.0 / turns.per_tick.x();  // of the logarithm of its size
  const double right = 1.0 / turns.per_tick.y();
  Eigen::Matrix<double, 3, 2> by_turns;
  by_turns << 0.5 * left, -0.5 * right, -0.5 * left, 0.5 * right, -0.5 * left, -0.5 * right;
  return by_turns * turns.covariance * by_turns.transpose() + length_variance * Eigen::Matrix3d::Ones();
}

void add_residuals(const std::vector<Row>& rows, const TurnFit& turns, const Vector5& x, double scale, RobotFit& fit) {
  for (const Row& row : rows) {
    StrideResidual residual;
    residual.stride = row.stride;
    residual.wheel_turn_rad = turns.per_tick.dot(Eigen::Vector2d(row.counts.left, row.counts.right));
    residual.turn_rad = row.turn - residual.wheel_turn_rad;
    residual.shift_m = -(equation_of(row) * x);
    for (const CountPair& c : row.changes) {
      residual.wheel_way_m +=
          fit.track_width_m * 0.5 * std::abs(turns.per_tick.y() * c.right - turns.per_tick.x() * c.left);
    }
    // By what the wheels claim to have done as well: one that spins claims much.
    const double turn_sd = std::max(row.turn_sd, kSlipOfTurn * std::abs(residual.wheel_turn_rad));
    const double shift_sd = std::max(row.shift_sd, kMatchM + kSlipOfWay * residual.wheel_way_m);
    residual.chi_squared = std::pow(residual.turn_rad / (turn_sd * std::max(1.0, turns.scale)), 2) +
                           residual.shift_m.squaredNorm() / std::pow(shift_sd * std::max(1.0, scale), 2);
    fit.residuals.push_back(residual);
    fit.turned_rad += std::abs(row.turn);
    fit.way_m += row.shift.norm();
  }
}

}  // namespace

RobotFit fit_robot(const std::vector<LidarStride>& strides, const WheelSeries& wheels, const ClockFit& clock,
                   double stated_width_m) {
  constexpr std::size_t kFewest = 8;  // three rows each: three times the unknowns
  RobotFit fit;
  if (wheels.empty()) return fit;
  std::vector<Row> rows = usable_rows(strides, wheels, clock);
  if (rows.size() < kFewest) return fit;
  const TurnFit turns = fit_turns(rows);
  for (Row& row : rows) row.way = way_over_width(row.changes, turns.per_tick);
  double scale = 1.0;
  const Vector5 x = fit_shifts(rows, scale);
  fit.strides = rows.size();
  fit.mounting = {x(0), x(1), std::atan2(x(4), x(3))};
  const Eigen::Matrix4d covariance = covariance_of(rows, x);
  // A width that is not told from none has no logarithm, and leaves a tick's length as open.
  fit.drove = covariance(2, 2) < x(2) * x(2);
  fit.track_width_m = fit.drove ? x(2) : stated_width_m;
  fit.left_m_per_tick = -turns.per_tick.x() * fit.track_width_m;
  fit.right_m_per_tick = turns.per_tick.y() * fit.track_width_m;
  const Eigen::Vector3i mounting(0, 1, 3);
  for (int i = 0; i < 3; ++i) {
    for (int k = 0; k < 3; ++k) fit.mounting_covariance(i, k) = covariance(mounting(i), mounting(k));
  }
  fit.scale_covariance = scale_covariance(turns, fit.drove ? covariance(2, 2) / (x(2) * x(2)) : 0.0);
  add_residuals(rows, turns, x, scale, fit);
  return fit;
}

}  // namespace wainscot
