#include "graph/calibrate/combined_calibration.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/Dense>

namespace wainscot {
namespace {

constexpr int kMetre = kDriveConstants;  // one more unknown
using Unknowns = Eigen::Matrix<double, kDriveConstants + 1, 1>;
using Normal = Eigen::Matrix<double, kDriveConstants + 1, kDriveConstants + 1>;

/// Where the lidar sits is known to millimetres, of which its metre is no matter.
bool is_length(int constant) { return constant <= kTrackWidth; }

/// Units in which every constant is about one, so that no matrix is ill conditioned.
DriveVector units_of(const std::vector<Witness>& witnesses) {
  DriveVector units = DriveVector::Zero();
  for (const Witness& witness : witnesses) {
    for (int c = 0; c < kDriveConstants; ++c) {
      if (!witness.knows[static_cast<std::size_t>(c)]) continue;
      units[c] = std::max({units[c], std::abs(witness.value[c]), std::sqrt(witness.covariance(c, c))});
    }
  }
  for (double& unit : units) unit = unit > 0.0 ? unit : 1.0;
  return units;
}

struct Solution {
  Unknowns value = Unknowns::Zero();  ///< in units; the metre less one
  Normal covariance = Normal::Zero();
  std::array<bool, kDriveConstants> known{};
};

/// Without the witness number `but`.
Solution solve(const std::vector<Witness>& witnesses, const DriveVector& units, std::optional<std::size_t> but) {
  Normal normal = Normal::Zero();
  Unknowns right = Unknowns::Zero();
  Solution solution;
  double metre_sd = 0.0;
  for (std::size_t w = 0; w < witnesses.size(); ++w) {
    if (but == w) continue;
    const Witness& witness = witnesses[w];
    std::vector<int> known;
    for (int c = 0; c < kDriveConstants; ++c) {
      if (witness.knows[static_cast<std::size_t>(c)]) known.push_back(c);
    }
    if (known.empty()) continue;
    const auto n = static_cast<Eigen::Index>(known.size());
    Eigen::MatrixXd covariance(n, n);
    Eigen::VectorXd value(n);
    Eigen::MatrixXd by_unknowns = Eigen::MatrixXd::Zero(n, kDriveConstants + 1);
    for (Eigen::Index i = 0; i < n; ++i) {
      const int a = known[static_cast<std::size_t>(i)];
      solution.known[static_cast<std::size_t>(a)] = true;
      value[i] = witness.value[a] / units[a];
      by_unknowns(i, a) = 1.0;
      if (witness.metre_sd > 0.0 && is_length(a)) by_unknowns(i, kMetre) = value[i];
      for (Eigen::Index k = 0; k < n; ++k) {
        const int b = known[static_cast<std::size_t>(k)];
        covariance(i, k) = witness.covariance(a, b) / (units[a] * units[b]);
      }
    }
    const Eigen::MatrixXd weighted = covariance.ldlt().solve(by_unknowns);
    normal += by_unknowns.transpose() * weighted;
    right += weighted.transpose() * value;
    metre_sd = std::max(metre_sd, witness.metre_sd);
  }
  normal(kMetre, kMetre) += metre_sd > 0.0 ? 1.0 / (metre_sd * metre_sd) : 1.0;
  for (int c = 0; c < kDriveConstants; ++c) {
    if (!solution.known[static_cast<std::size_t>(c)]) normal(c, c) = 1.0;
  }
  solution.covariance = normal.inverse();
  solution.value = solution.covariance * right;
  return solution;
}

/// Of what each says, the metre's correction taken out, to what the others say; the square of the difference in
/// standard uncertainties for each constant, and those beyond three of them.
DriveVector disagreement(const std::vector<Witness>& witnesses, const DriveVector& units,
                         std::vector<Contradiction>& contradictions) {
  constexpr double kMostInSd = 3.0;
  DriveVector most = DriveVector::Zero();
  for (std::size_t w = 0; w < witnesses.size(); ++w) {
    const Solution others = solve(witnesses, units, w);
    for (int c = 0; c < kDriveConstants; ++c) {
      const auto k = static_cast<std::size_t>(c);
      if (!witnesses[w].knows[k] || !others.known[k]) continue;
      const double own = witnesses[w].value[c] / units[c];
      const double metre_share = witnesses[w].metre_sd > 0.0 && is_length(c) ? own : 0.0;
      Unknowns by_unknowns = Unknowns::Zero();
      by_unknowns[c] = 1.0;
      by_unknowns[kMetre] = metre_share;
      const double expected = by_unknowns.dot(others.value);
      // A drive alone in the lidar's metre brings that unknown with it.
      const bool metre_known = std::any_of(witnesses.begin(), witnesses.end(), [&](const Witness& other) {
        return &other != &witnesses[w] && other.metre_sd > 0.0;
      });
      double variance = witnesses[w].covariance(c, c) / (units[c] * units[c]);
      variance += metre_known ? by_unknowns.dot(others.covariance * by_unknowns)
                              : others.covariance(c, c) + std::pow(metre_share * witnesses[w].metre_sd, 2);
      const double sds = std::abs(own - (metre_known ? expected : others.value[c])) / std::sqrt(variance);
      most[c] = std::max(most[c], sds * sds);
      if (sds > kMostInSd) {
        contradictions.push_back(
            {witnesses[w].name, static_cast<DriveConstant>(c), witnesses[w].value[c], others.value[c] * units[c], sds});
      }
    }
  }
  return most;
}

}  // namespace

bool knows_anything(const Witness& witness) {
  return std::find(witness.knows.begin(), witness.knows.end(), true) != witness.knows.end();
}

Witness witness_of(const RunCalibration& runs) {
  Witness witness;
  witness.name = "the runs with a tape";
  const std::array<Estimate, 3> estimates{runs.left_m_per_tick, runs.right_m_per_tick, runs.mean_width_m};
  for (int c = 0; c < 3; ++c) {
    const Estimate& estimate = estimates[static_cast<std::size_t>(c)];
    witness.value[c] = estimate.value;
    witness.covariance(c, c) = estimate.sd * estimate.sd;
    witness.knows[static_cast<std::size_t>(c)] = true;
  }
  return witness;
}

Witness witness_of(const std::string& name, const DriveCalibration& drive, const Robot& robot, const Robot& first,
                   const DriveCalibrationOptions& options) {
  Witness witness;
  witness.name = name;
  witness.value = drive.found;
  witness.value[kClockOffset] += robot.lidar.time_offset_s - first.lidar.time_offset_s;
  witness.knows = drive.observed;
  witness.metre_sd = options.range_scale_sd;
  witness.covariance = drive.covariance;
  // calibrate_drive() put the metre's share in; where the map told where the lidar sits, there is none in that part.
  DriveVector lengths = drive.found;
  lengths.tail<2>().setZero();
  for (const DriveConstant c : {kLidarX, kLidarY}) {
    if (drive.covariance(kLeftPerTick, c) == 0.0) lengths[c] = 0.0;
  }
  witness.covariance -= options.range_scale_sd * options.range_scale_sd * lengths * lengths.transpose();
  return witness;
}

Witness witness_of(const Robot& robot) {
  Witness witness;
  witness.name = "robot.yaml";
  if (!robot.drive || robot.left_out.wheels) return witness;
  const DriveConstants& drive = *robot.drive;
  const auto state = [&witness](DriveConstant c, double value, const std::optional<double>& sd) {
    if (!sd) return;
    witness.value[c] = value;
    witness.covariance(c, c) = *sd * *sd;
    witness.knows[static_cast<std::size_t>(c)] = true;
  };
  state(kLeftPerTick, drive.left_m_per_tick, drive.left_sd_m_per_tick);
  state(kRightPerTick, drive.right_m_per_tick, drive.right_sd_m_per_tick);
  state(kTrackWidth, drive.track_width_m, drive.track_width_sd_m);
  return witness;
}

CombinedCalibration combine(const std::vector<Witness>& witnesses) {
  const DriveVector units = units_of(witnesses);
  const Solution solution = solve(witnesses, units, std::nullopt);
  CombinedCalibration result;
  const DriveVector most = disagreement(witnesses, units, result.contradictions);
  result.all.observed = solution.known;
  result.all.degrees = 1e6;  // standard uncertainties that many runs and increments stand behind
  for (int a = 0; a < kDriveConstants; ++a) {
    result.all.found[a] = solution.value[a] * units[a];
    for (int b = 0; b < kDriveConstants; ++b) {
      const double wider = std::sqrt(std::max(1.0, most[a]) * std::max(1.0, most[b]));
      result.all.covariance(a, b) = wider * solution.covariance(a, b) * units[a] * units[b];
    }
  }
  result.lidar_metre = 1.0 + solution.value[kMetre];
  result.lidar_metre_sd = std::sqrt(solution.covariance(kMetre, kMetre));
  return result;
}

}  // namespace wainscot
