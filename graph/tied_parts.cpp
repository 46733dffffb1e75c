#include "graph/tied_parts.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>
#include <string>

#include "core/errors.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

/// Sets of parts that are tied to one another: the number of the first part of each part's set.
std::vector<std::size_t> tied_sets(std::size_t parts, const std::vector<std::size_t>& part_of_node,
                                   const std::vector<LoopCandidate>& candidates) {
  std::vector<std::size_t> set(parts);
  std::iota(set.begin(), set.end(), std::size_t{0});
  for (const LoopCandidate& candidate : candidates) {
    if (candidate.verdict != Verdict::accepted) continue;
    const auto [low, high] = std::minmax(set[part_of_node[candidate.from]], set[part_of_node[candidate.to]]);
    const std::size_t kept = low;
    const std::size_t dropped = high;
    std::replace(set.begin(), set.end(), dropped, kept);
  }
  return set;
}

/// What became of the pairs of places between a part and the others.
struct Tries {
  std::size_t count = 0;
  const LoopCandidate* best = nullptr;  ///< by overlap
};

[[noreturn]] void refuse(const DrivePart& part, const Tries& tries) {
  const std::string found =
      tries.best == nullptr
          ? "no place of it looks like one of the map"
          : sentence(
                "%zu pairs of places were tried and none is sure; in the best one %.0f %% of the walls overlap, but "
                "%s",
                tries.count, 100.0 * tries.best->overlap, tries.best->reason.c_str());
  throw PoorData(sentence(
      "%s does not join the map: %s: it was driven in another house, or most of what it saw is new or was moved, or "
      "rooms look alike; drive some ten metres through several rooms that the map has",
      part.name.c_str(), found.c_str()));
}

}  // namespace

void require_joined(const std::vector<DrivePart>& parts, const std::vector<Node>& nodes,
                    const std::vector<LoopCandidate>& candidates) {
  if (parts.size() < 2) return;
  std::vector<std::size_t> part_of_node;
  for (const Node& node : nodes) part_of_node.push_back(part_of_scan(parts, node.scan));
  const std::vector<std::size_t> set = tied_sets(parts.size(), part_of_node, candidates);
  for (std::size_t part = 1; part < parts.size(); ++part) {
    if (set[part] == 0) continue;
    Tries tries;
    for (const LoopCandidate& candidate : candidates) {
      const std::size_t from = part_of_node[candidate.from];
      const std::size_t to = part_of_node[candidate.to];
      if (from == to || (from != part && to != part)) continue;
      ++tries.count;
      if (tries.best == nullptr || candidate.overlap > tries.best->overlap) tries.best = &candidate;
    }
    refuse(parts[part], tries);
  }
}

}  // namespace wainscot
