#include "graph/close/part_meetings.hpp"

#include <cstddef>
#include <optional>

namespace wainscot {
namespace {

/// By part, for the parts before that of node `to`.
std::vector<std::optional<std::size_t>> nearest_of_earlier_parts(std::size_t to, const std::vector<Pose2>& expected,
                                                                 const std::vector<std::size_t>& parts,
                                                                 double within_m) {
  std::vector<std::optional<std::size_t>> nearest(parts[to]);
  std::vector<double> nearest_m(parts[to], within_m);
  for (std::size_t from = 0; from < to && parts[from] < parts[to]; ++from) {
    const double distance_m = (expected[from].translation() - expected[to].translation()).norm();
    if (distance_m >= nearest_m[parts[from]]) continue;
    nearest_m[parts[from]] = distance_m;
    nearest[parts[from]] = from;
  }
  return nearest;
}

}  // namespace

std::vector<Proposal> propose_part_meetings(const std::vector<Pose2>& expected, const Chain& chain,
                                            const ForbiddenPairs& forbidden, const PartMeetingOptions& options) {
  const Eigen::Vector3d sd(options.sd_m, options.sd_m, options.sd_rad);
  std::vector<Proposal> proposals;
  double next_way = 0.0;
  for (std::size_t to = 0; to < chain.ways_m.size(); ++to) {
    if (chain.parts[to] == 0 || chain.ways_m[to] < next_way) continue;
    next_way = chain.ways_m[to] + options.spacing_m;
    for (const std::optional<std::size_t> from :
         nearest_of_earlier_parts(to, expected, chain.parts, options.distance_m)) {
      if (!from || forbidden.contains(*from, to)) continue;
      proposals.push_back({*from, to, between(expected[*from], expected[to]), sd.cwiseAbs2().asDiagonal(), false});
    }
  }
  return proposals;
}

}  // namespace wainscot
