#include "graph/adjust/wall_faces.hpp"

#include <cstddef>
#include <numeric>

namespace wainscot {
namespace {

/// Disjoint sets by union-find with path halving (R. Tarjan, "Efficiency of a good but not linear set union algorithm",
/// Journal of the ACM 22(2), 1975).
class DisjointSets {
 public:
  explicit DisjointSets(std::size_t count) : parents_(count) { std::iota(parents_.begin(), parents_.end(), 0); }

  std::int32_t root(std::int32_t i) {
    while (parent(i) != i) i = parent(i) = parent(parent(i));
    return i;
  }
  /// The smaller index becomes the root, so that the result does not depend on the order of the calls.
  void join(std::int32_t a, std::int32_t b) {
    a = root(a);
    b = root(b);
    if (a < b) parent(b) = a;
    if (b < a) parent(a) = b;
  }

 private:
  std::int32_t& parent(std::int32_t i) { return parents_[static_cast<std::size_t>(i)]; }
  std::vector<std::int32_t> parents_;
};

/// Just beyond the reach of the line's own returns, on the fitted line; `end` +1 or -1.
Eigen::Vector2d beyond(const Line& line, int end) {
  constexpr double kBeyondM = 0.18;  // a line answers for half a piece beyond its returns
  const double along = end > 0 ? line.last_along_m + kBeyondM : line.first_along_m - kBeyondM;
  const Eigen::Vector2d tangent(line.normal.y(), -line.normal.x());
  return line.anchor + along * tangent + (line.offset_m + line.slope * along) * line.normal;
}

}  // namespace

WallFaces wall_faces(const LineMap& pieces, const WallFaceOptions& options) {
  const std::vector<Line>& lines = pieces.lines();
  DisjointSets sets(lines.size());
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i].nodes < 2) continue;
    for (const int end : {-1, 1}) {
      const std::int32_t next = pieces.find(beyond(lines[i], end), lines[i].fitted_normal, options.step_m);
      if (next == LineMap::kNone) continue;
      const Line& neighbour = lines[static_cast<std::size_t>(next)];
      const bool same_way = neighbour.fitted_normal.dot(lines[i].fitted_normal) > options.same_way_cosine;
      if (neighbour.nodes >= 2 && same_way) sets.join(static_cast<std::int32_t>(i), next);
    }
  }
  WallFaces faces;
  faces.of_piece.assign(lines.size(), WallFaces::kNone);
  std::vector<int> sizes(lines.size(), 0);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (lines[i].nodes >= 2) ++sizes[static_cast<std::size_t>(sets.root(static_cast<std::int32_t>(i)))];
  }
  std::vector<std::int32_t> numbers(lines.size(), WallFaces::kNone);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const auto root = static_cast<std::size_t>(sets.root(static_cast<std::int32_t>(i)));
    if (sizes[root] < options.least_pieces) continue;
    if (numbers[root] == WallFaces::kNone) numbers[root] = faces.count++;
    faces.of_piece[i] = numbers[root];
  }
  return faces;
}

}  // namespace wainscot
