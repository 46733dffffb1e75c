#include "graph/adjust/loose_ties.hpp"

#include <optional>

#include <Eigen/Dense>

namespace wainscot {
namespace {

/// Odometry's word between two sets, at the step to node `to`: how uncertain, as a motion about the origin.
struct LooseTie {
  std::size_t to = 0;
  Eigen::Matrix3d about_origin;
};

std::vector<LooseTie> loose_ties(const std::vector<OdometryStep>& steps, const OdometryNoise& noise,
                                 const std::vector<std::size_t>& tied, const std::vector<double>& times_s,
                                 const std::vector<Pose2>& poses) {
  std::vector<LooseTie> ties;
  for (std::size_t to = 1; to < tied.size(); ++to) {
    if (tied[to] == tied[to - 1]) continue;
    const double from_s = times_s[to - 1];
    const double to_s = times_s[to];
    const Eigen::Matrix3d covariance =
        stretch_covariance(steps, noise, from_s, to_s) + slip_covariance(steps, from_s, to_s);
    ties.push_back({to, carried(covariance, inverse(poses[to]))});
  }
  return ties;
}

/// By first node of a set: the surest chain of ties from node 0, summed; none for other nodes.
using Sums = std::vector<std::optional<Eigen::Matrix3d>>;

/// Whether the tie makes the set of node `to`, reached from that of node `from`, surer than it was.
bool improves(const LooseTie& tie, std::size_t from, std::size_t to, Sums& sums) {
  if (!sums[from]) return false;
  const Eigen::Matrix3d sum = *sums[from] + tie.about_origin;
  if (sums[to] && sums[to]->trace() <= sum.trace()) return false;
  sums[to] = sum;
  return true;
}

}  // namespace

std::vector<Eigen::Matrix3d> loose_tie_covariances(const std::vector<OdometryStep>& steps, const OdometryNoise& noise,
                                                   const std::vector<double>& times_s, const std::vector<Pose2>& poses,
                                                   const std::vector<std::size_t>& tied) {
  const std::vector<LooseTie> ties = loose_ties(steps, noise, tied, times_s, poses);
  Sums sums(tied.size());
  sums[tied.front()] = Eigen::Matrix3d::Zero();
  for (bool changed = true; changed;) {
    changed = false;
    for (const LooseTie& tie : ties) {
      const std::size_t before = tied[tie.to - 1];
      const std::size_t behind = tied[tie.to];
      changed = improves(tie, before, behind, sums) || improves(tie, behind, before, sums) || changed;
    }
  }
  std::vector<Eigen::Matrix3d> covariances;
  for (std::size_t i = 0; i < tied.size(); ++i) covariances.push_back(carried(*sums[tied[i]], poses[i]));
  return covariances;
}

}  // namespace wainscot
