#include "graph/measure/wall_lines.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <numeric>

#include "core/median.hpp"

namespace wainscot {
namespace {

struct StraightLine {
  Eigen::Vector2d point_m;
  Eigen::Vector2d normal;
  /// With the seen side on its left.
  Eigen::Vector2d direction() const { return {normal.y(), -normal.x()}; }
  double along(const Eigen::Vector2d& place_m) const { return direction().dot(place_m - point_m); }
  double height(const Eigen::Vector2d& place_m) const { return normal.dot(place_m - point_m); }
};

/// An end of a piece; `side` is -1 or 1.
Eigen::Vector2d end_of(const WallPiece& piece, double side) {
  const Eigen::Vector2d normal = normal_of(piece);
  return piece.middle_m + side * piece.half_length_m * Eigen::Vector2d(normal.y(), -normal.x());
}

/// Where a piece lies on a line.
struct Stretch {
  std::size_t piece;
  double begin_m;
  double end_m;
};

/// Of the stretches, sorted by their beginnings, those that hang together with the one of the piece `seed`.
std::vector<Stretch> chain_of(const std::vector<Stretch>& stretches, std::size_t seed, double gap_m) {
  std::vector<Stretch> chain;
  double end_m = 0.0;
  bool has_seed = false;
  for (const Stretch& stretch : stretches) {
    if (!chain.empty() && stretch.begin_m - end_m > gap_m) {
      if (has_seed) break;
      chain.clear();
    }
    end_m = chain.empty() ? stretch.end_m : std::max(end_m, stretch.end_m);
    has_seed = has_seed || stretch.piece == seed;
    chain.push_back(stretch);
  }
  return chain;
}

class LineFinder {
 public:
  LineFinder(std::span<const WallPiece> pieces, const WallLineOptions& options)
      : pieces_(pieces), options_(options), taken_(pieces.size(), false) {}

  std::vector<WallLine> find() {
    std::vector<std::size_t> seeds(pieces_.size());
    std::iota(seeds.begin(), seeds.end(), std::size_t{0});
    std::stable_sort(seeds.begin(), seeds.end(),
                     [&](std::size_t a, std::size_t b) { return pieces_[a].returns > pieces_[b].returns; });
    std::vector<WallLine> lines;
    for (const std::size_t seed : seeds) {
      if (!is_free(seed)) continue;
      const WallLine line = grow(seed);
      if (line.length_m() >= options_.least_length_m) lines.push_back(line);
    }
    return lines;
  }

 private:
  /// Not taken, and sure enough. An uncertainty that is not known is 0 or NaN.
  bool is_free(std::size_t i) const {
    const WallPiece& piece = pieces_[i];
    return !taken_[i] && piece.nodes >= options_.least_nodes && piece.sd_m > 0.0 && piece.half_length_m > 0.0;
  }

  std::vector<Stretch> stretches_on(const StraightLine& line) const {
    std::vector<Stretch> stretches;
    for (std::size_t i = 0; i < pieces_.size(); ++i) {
      const WallPiece& piece = pieces_[i];
      if (!is_free(i) || normal_of(piece).dot(line.normal) < options_.same_way_cosine) continue;
      const Eigen::Vector2d begin = end_of(piece, -1.0);
      const Eigen::Vector2d end = end_of(piece, 1.0);
      if (std::max(std::abs(line.height(begin)), std::abs(line.height(end))) > options_.step_m) continue;
      stretches.push_back({i, line.along(begin), line.along(end)});
    }
    std::stable_sort(stretches.begin(), stretches.end(),
                     [](const Stretch& a, const Stretch& b) { return a.begin_m < b.begin_m; });
    return stretches;
  }

  /// Least squares of the heights of the pieces' ends over the line so far.
  StraightLine fitted(const std::vector<Stretch>& chain, const StraightLine& line) const {
    Eigen::Matrix2d normal_matrix = Eigen::Matrix2d::Zero();
    Eigen::Vector2d right_side = Eigen::Vector2d::Zero();
    for (const Stretch& stretch : chain) {
      const WallPiece& piece = pieces_[stretch.piece];
      const double weight = piece.half_length_m / (piece.sd_m * piece.sd_m);
      for (const double side : {-1.0, 1.0}) {
        const Eigen::Vector2d end = end_of(piece, side);
        const Eigen::Vector2d row(1.0, line.along(end));
        normal_matrix += weight * row * row.transpose();
        right_side += weight * line.height(end) * row;
      }
    }
    const Eigen::Vector2d offset_and_slope = normal_matrix.inverse() * right_side;
    const Eigen::Vector2d normal = (line.normal - offset_and_slope.y() * line.direction()).normalized();
    return {line.point_m + offset_and_slope.x() * line.normal, normal};
  }

  /// The line of a piece and all that goes on from it; marks them as taken.
  WallLine grow(std::size_t seed) {
    constexpr int most_rounds = 20;
    StraightLine line{pieces_[seed].middle_m, normal_of(pieces_[seed])};
    std::vector<Stretch> chain = {{seed, -pieces_[seed].half_length_m, pieces_[seed].half_length_m}};
    for (int round = 0; round < most_rounds; ++round) {
      const std::vector<Stretch> next = chain_of(stretches_on(line), seed, options_.gap_m);
      const bool has_seed = std::any_of(next.begin(), next.end(), [&](const Stretch& s) { return s.piece == seed; });
      // The line has left its seed behind, on a wall that bends: what it was before is good.
      if (!has_seed) break;
      const bool same = std::equal(next.begin(), next.end(), chain.begin(), chain.end(),
                                   [](const Stretch& a, const Stretch& b) { return a.piece == b.piece; });
      chain = next;
      if (same && round > 0) break;
      line = fitted(chain, line);
    }
    return taken(chain, line);
  }

  WallLine taken(const std::vector<Stretch>& chain, const StraightLine& line) {
    WallLine result;
    std::vector<double> sds;
    double begin_m = 0.0;
    double end_m = 0.0;
    for (const Stretch& stretch : chain) {
      const WallPiece& piece = pieces_[stretch.piece];
      const double from_m = line.along(end_of(piece, -1.0));
      const double to_m = line.along(end_of(piece, 1.0));
      begin_m = sds.empty() ? from_m : std::min(begin_m, from_m);
      end_m = sds.empty() ? to_m : std::max(end_m, to_m);
      sds.push_back(piece.sd_m);
      result.returns += piece.returns;
      taken_[stretch.piece] = true;
    }
    result.pieces = static_cast<int>(chain.size());
    result.sd_m = median(sds);
    result.from_m = line.point_m + begin_m * line.direction();
    result.to_m = line.point_m + end_m * line.direction();
    return result;
  }

  std::span<const WallPiece> pieces_;
  const WallLineOptions& options_;
  std::vector<bool> taken_;
};

double distance_to(const WallLine& line, const Eigen::Vector2d& place_m) {
  const Eigen::Vector2d along = line.to_m - line.from_m;
  const double part = std::clamp((place_m - line.from_m).dot(along) / along.squaredNorm(), 0.0, 1.0);
  return (place_m - line.from_m - part * along).norm();
}

double sine_between(const WallLine& a, const WallLine& b) {
  const Eigen::Vector2d u = (a.to_m - a.from_m).normalized();
  const Eigen::Vector2d v = (b.to_m - b.from_m).normalized();
  return u.x() * v.y() - u.y() * v.x();
}

/// A single piece that cuts a corner off: returns of two walls that stand at an angle, taken for one face.
bool cuts_a_corner(const WallLine& line, const std::vector<WallLine>& lines) {
  constexpr double near_m = 0.06;
  constexpr double least_sine = 0.26;  // 15 degrees: what is flatter goes on with the wall
  if (line.pieces > 1) return false;
  const auto touches = [&](const WallLine& other, const Eigen::Vector2d& end) {
    return other.pieces > 1 && distance_to(other, end) < near_m && std::abs(sine_between(line, other)) > least_sine;
  };
  return std::any_of(lines.begin(), lines.end(), [&](const WallLine& a) {
    return touches(a, line.from_m) && std::any_of(lines.begin(), lines.end(), [&](const WallLine& b) {
             return &a != &b && touches(b, line.to_m) && std::abs(sine_between(a, b)) > least_sine;
           });
  });
}

std::vector<WallLine> without_cut_corners(const std::vector<WallLine>& lines) {
  std::vector<WallLine> kept;
  std::copy_if(lines.begin(), lines.end(), std::back_inserter(kept),
               [&](const WallLine& line) { return !cuts_a_corner(line, lines); });
  return kept;
}

/// Two ends of lines and the place where the lines cross.
struct Corner {
  Eigen::Vector2d* first;
  Eigen::Vector2d* second;
  Eigen::Vector2d place_m;
  double way_m;  ///< how far the two ends move altogether
};

void find_corners(WallLine& a, WallLine& b, double corner_m, std::vector<Corner>& corners) {
  const Eigen::Vector2d along_a = (a.to_m - a.from_m).normalized();
  const Eigen::Vector2d along_b = (b.to_m - b.from_m).normalized();
  const double sine = sine_between(a, b);
  constexpr double least_sine = 0.5;  // 30 degrees: flatter lines cross nobody knows where
  if (std::abs(sine) < least_sine) return;
  const Eigen::Vector2d between = b.from_m - a.from_m;
  const double t = (between.x() * along_b.y() - between.y() * along_b.x()) / sine;
  const Eigen::Vector2d place = a.from_m + t * along_a;
  for (Eigen::Vector2d* end_a : {&a.from_m, &a.to_m}) {
    for (Eigen::Vector2d* end_b : {&b.from_m, &b.to_m}) {
      const double way_a_m = (*end_a - place).norm();
      const double way_b_m = (*end_b - place).norm();
      // No line grows or shrinks by more than half.
      if (way_a_m > std::min(corner_m, 0.5 * a.length_m()) || way_b_m > std::min(corner_m, 0.5 * b.length_m()))
        continue;
      corners.push_back({end_a, end_b, place, way_a_m + way_b_m});
    }
  }
}

/// Lets ends that nearly meet meet, the nearest first, each once.
void join_corners(std::vector<WallLine>& lines, double corner_m) {
  std::vector<Corner> corners;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (std::size_t j = i + 1; j < lines.size(); ++j) find_corners(lines[i], lines[j], corner_m, corners);
  }
  std::stable_sort(corners.begin(), corners.end(), [](const Corner& a, const Corner& b) { return a.way_m < b.way_m; });
  std::vector<const Eigen::Vector2d*> joined;
  const auto is_joined = [&](const Eigen::Vector2d* end) {
    return std::find(joined.begin(), joined.end(), end) != joined.end();
  };
  for (const Corner& corner : corners) {
    if (is_joined(corner.first) || is_joined(corner.second)) continue;
    *corner.first = corner.place_m;
    *corner.second = corner.place_m;
    joined.push_back(corner.first);
    joined.push_back(corner.second);
  }
}

}  // namespace

std::vector<WallLine> wall_lines(std::span<const WallPiece> pieces, const WallLineOptions& options) {
  std::vector<WallLine> lines = without_cut_corners(LineFinder(pieces, options).find());
  join_corners(lines, options.corner_m);
  std::stable_sort(lines.begin(), lines.end(),
                   [](const WallLine& a, const WallLine& b) { return a.length_m() > b.length_m(); });
  return lines;
}

}  // namespace wainscot
