#include "graph/calibrate/combined_calibration.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <Eigen/Dense>

#include "core/small_samples.hpp"

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
  DriveVector degrees = DriveVector::Zero();  ///< of freedom, of `covariance`
};

/// What one witness adds to the normal equations.
struct Share {
  Normal normal = Normal::Zero();
  Unknowns right = Unknowns::Zero();
};

/// Constants that are known to more than one of all witnesses but one.
std::array<bool, kDriveConstants> shared_constants(const std::vector<Witness>& witnesses,
                                                   std::optional<std::size_t> but) {
  std::array<bool, kDriveConstants> shared{};
  for (std::size_t c = 0; c < shared.size(); ++c) {
    int know = 0;
    for (std::size_t w = 0; w < witnesses.size(); ++w) know += but != w && witnesses[w].knows.at(c) ? 1 : 0;
    shared.at(c) = know > 1;
  }
  return shared;
}

/// By how much the variance of what a drive shares with others has to grow before it is inverted to a weight. Of a
/// covariance sampled with n degrees of freedom the inverse is n / (n - p - 1) times too large in p dimensions: by
/// chance some direction always looks too good, and that is the one that gets the say (T. W. Anderson, "An Introduction
/// to Multivariate Statistical Analysis", 2003, lemma 7.7.1). With no more than p + 2 degrees that has no mean; the
/// factor stays at n then.
double sampled_inverse_factor(const Witness& witness, const std::array<bool, kDriveConstants>& shared) {
  if (!witness.by_blocks) return 1.0;
  double dimensions = 0.0;
  for (std::size_t c = 0; c < shared.size(); ++c) dimensions += shared.at(c) && witness.knows.at(c) ? 1.0 : 0.0;
  if (dimensions == 0.0) return 1.0;
  const double n = witness.degrees.minCoeff();
  return n / std::max(1.0, n - dimensions - 1.0);
}

Share share_of(const Witness& witness, const DriveVector& units, const std::array<bool, kDriveConstants>& shared) {
  const double wider = std::sqrt(sampled_inverse_factor(witness, shared));
  std::vector<int> known;
  for (int c = 0; c < kDriveConstants; ++c) {
    if (witness.knows[static_cast<std::size_t>(c)]) known.push_back(c);
  }
  Share share;
  if (known.empty()) return share;
  const auto n = static_cast<Eigen::Index>(known.size());
  Eigen::MatrixXd covariance(n, n);
  Eigen::VectorXd value(n);
  Eigen::MatrixXd by_unknowns = Eigen::MatrixXd::Zero(n, kDriveConstants + 1);
  for (Eigen::Index i = 0; i < n; ++i) {
    const int a = known[static_cast<std::size_t>(i)];
    value[i] = witness.value[a] / units[a];
    by_unknowns(i, a) = 1.0;
    if (witness.metre_sd > 0.0 && is_length(a)) by_unknowns(i, kMetre) = value[i];
    for (Eigen::Index k = 0; k < n; ++k) {
      const int b = known[static_cast<std::size_t>(k)];
      covariance(i, k) = witness.covariance(a, b) / (units[a] * units[b]);
      if (shared[static_cast<std::size_t>(a)]) covariance(i, k) *= wider;
      if (shared[static_cast<std::size_t>(b)]) covariance(i, k) *= wider;
    }
  }
  const Eigen::MatrixXd weighted = covariance.ldlt().solve(by_unknowns);
  share.normal = by_unknowns.transpose() * weighted;
  share.right = weighted.transpose() * value;
  return share;
}

/// Without the witness number `but`.
Solution solve(const std::vector<Witness>& witnesses, const DriveVector& units, std::optional<std::size_t> but) {
  Solution solution;
  Share all;
  std::vector<Share> shares(witnesses.size());
  double metre_sd = 0.0;
  const std::array<bool, kDriveConstants> shared = shared_constants(witnesses, but);
  for (std::size_t w = 0; w < witnesses.size(); ++w) {
    if (but == w) continue;
    shares[w] = share_of(witnesses[w], units, shared);
    all.normal += shares[w].normal;
    all.right += shares[w].right;
    metre_sd = std::max(metre_sd, witnesses[w].metre_sd);
    for (std::size_t c = 0; c < solution.known.size(); ++c) {
      solution.known.at(c) = solution.known.at(c) || witnesses[w].knows.at(c);
    }
  }
  all.normal(kMetre, kMetre) += metre_sd > 0.0 ? 1.0 / (metre_sd * metre_sd) : 1.0;
  for (int c = 0; c < kDriveConstants; ++c) {
    if (!solution.known[static_cast<std::size_t>(c)]) all.normal(c, c) = 1.0;
  }
  solution.covariance = all.normal.inverse();
  solution.value = solution.covariance * all.right;
  // Effective degrees of freedom: JCGM 100:2008, G.4.1, of what each witness has in the variance.
  DriveVector reciprocal = DriveVector::Constant(1.0 / kManyDegrees);
  for (std::size_t w = 0; w < witnesses.size(); ++w) {
    const Normal part = solution.covariance * shares[w].normal * solution.covariance;
    for (int c = 0; c < kDriveConstants; ++c) {
      reciprocal[c] += std::pow(part(c, c) / solution.covariance(c, c), 2) / witnesses[w].degrees[c];
    }
  }
  solution.degrees = reciprocal.cwiseInverse();
  return solution;
}

/// A difference in so many standard uncertainties as are as rare where these were not in doubt.
double surprise(double sds, double own_variance, double own_degrees, double others_variance, double others_degrees) {
  constexpr double kThreeSds = 0.9973;  // what a normal deviate stays within
  const double sum = own_variance + others_variance;
  const double degrees =
      sum * sum / (own_variance * own_variance / own_degrees + others_variance * others_variance / others_degrees);
  return sds * 3.0 / student_t_two_sided(kThreeSds, std::min(degrees, kManyDegrees));
}

/// The other witness that knows a constant, where there is one only.
const Witness* only_other(const std::vector<Witness>& witnesses, std::size_t but, std::size_t constant) {
  const Witness* found = nullptr;
  for (std::size_t w = 0; w < witnesses.size(); ++w) {
    if (w == but || !witnesses[w].knows.at(constant)) continue;
    if (found != nullptr) return nullptr;
    found = &witnesses[w];
  }
  return found;
}

/// Of what each says, the metre's correction taken out, to what the others say; the square of the difference in
/// standard uncertainties for each constant, and those beyond three of them.
DriveVector disagreement(const std::vector<Witness>& witnesses, const DriveVector& units,
                         std::vector<Contradiction>& contradictions) {
  constexpr double kMostInSd = 3.0;  // one witness in 370 that tells the truth, as `surprise` counts them
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
      const double own_variance = witnesses[w].covariance(c, c) / (units[c] * units[c]);
      const double others_variance = metre_known
                                         ? by_unknowns.dot(others.covariance * by_unknowns)
                                         : others.covariance(c, c) + std::pow(metre_share * witnesses[w].metre_sd, 2);
      const double sds =
          std::abs(own - (metre_known ? expected : others.value[c])) / std::sqrt(own_variance + others_variance);
      const double stands_out =
          surprise(sds, own_variance, witnesses[w].degrees[c], others_variance, others.degrees[c]);
      most[c] = std::max(most[c], stands_out * stands_out);
      if (stands_out <= kMostInSd) continue;
      const Witness* other = only_other(witnesses, w, k);
      if (other != nullptr && other < &witnesses[w]) continue;  // told of the other one
      contradictions.push_back({witnesses[w].name, other != nullptr ? other->name : "", static_cast<DriveConstant>(c),
                                witnesses[w].value[c], others.value[c] * units[c], sds});
    }
  }
  return most;
}

}  // namespace

bool knows_anything(const Witness& witness) {
  return std::find(witness.knows.begin(), witness.knows.end(), true) != witness.knows.end();
}

Witness witness_of(const std::string& name, const RunCalibration& runs) {
  Witness witness;
  witness.name = name;
  witness.covariance.topLeftCorner<3, 3>() = runs.covariance;
  witness.covariance(kTrackWidth, kTrackWidth) += runs.mix_variance_m2();
  const std::array<Estimate, 3> estimates{runs.left_m_per_tick, runs.right_m_per_tick, runs.mean_width_m};
  for (int c = 0; c < 3; ++c) {
    const Estimate& estimate = estimates[static_cast<std::size_t>(c)];
    witness.value[c] = estimate.value;
    witness.degrees[c] = std::min(estimate.degrees, kManyDegrees);
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
  witness.by_blocks = true;
  witness.covariance = drive.covariance;
  witness.degrees.setConstant(std::clamp(drive.degrees, 1.0, kManyDegrees));
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
  result.degrees = solution.degrees;
  result.all.degrees = solution.degrees.minCoeff();
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

double CombinedCalibration::half_width(DriveConstant c) const {
  return student_t_two_sided(0.95, degrees[c]) * all.sd(c);
}

bool CombinedCalibration::tells_metre() const {
  const auto of_length = [](const Contradiction& c) { return is_length(c.constant); };
  return std::abs(lidar_metre - 1.0) > 2.0 * lidar_metre_sd && std::abs(lidar_metre - 1.0) < kMostMetreOff &&
         std::none_of(contradictions.begin(), contradictions.end(), of_length);
}

std::optional<std::pair<std::string, std::string>> different_robots(const std::vector<Witness>& witnesses) {
  // Wear, load and a tape's slip come to a few per cent at most, and wheels of two kinds differ by more: chosen by hand
  // between the two, no measurement.
  constexpr double kTooFar = 0.1;
  for (std::size_t a = 0; a < witnesses.size(); ++a) {
    for (std::size_t b = a + 1; b < witnesses.size(); ++b) {
      for (const DriveConstant c : {kLeftPerTick, kRightPerTick}) {
        const auto known = static_cast<std::size_t>(c);
        if (!witnesses[a].knows[known] || !witnesses[b].knows[known]) continue;
        const double one = witnesses[a].value[c];
        const double other = witnesses[b].value[c];
        if (std::abs(one - other) > kTooFar * std::max(std::abs(one), std::abs(other))) {
          return std::pair(witnesses[a].name, witnesses[b].name);
        }
      }
    }
  }
  return std::nullopt;
}

}  // namespace wainscot
