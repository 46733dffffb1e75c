#include "graph/compare/wall_difference.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "graph/compare/face_height.hpp"

namespace wainscot {
namespace {

constexpr int sure_nodes = 3;

struct Tape {
  Eigen::Vector2d from_m;
  Eigen::Vector2d to_m;
};

/// From a piece along its normal to the first piece that is in the way, where that one faces it.
std::optional<Tape> tape_from(const WallPiece& piece, std::span<const WallPiece> pieces,
                              const WallDifferenceOptions& options) {
  constexpr double between_pieces_m = 0.05;  // pieces of one wall lie end to end, nearly
  const Eigen::Vector2d normal = normal_of(piece);
  double least_m = options.most_m;
  const WallPiece* nearest = nullptr;
  for (const WallPiece& other : pieces) {
    const Eigen::Vector2d away = other.middle_m - piece.middle_m;
    const double along_m = normal.dot(away);
    const double beside_m = std::abs(normal.x() * away.y() - normal.y() * away.x());
    if (along_m > 0.05 && along_m < least_m && beside_m < other.half_length_m + between_pieces_m &&
        normal.dot(normal_of(other)) < 0.0) {
      least_m = along_m;
      nearest = &other;
    }
  }
  if (nearest == nullptr || least_m < options.least_m || normal.dot(normal_of(*nearest)) > -0.99) return std::nullopt;
  return Tape{piece.middle_m, piece.middle_m + least_m * normal};
}

/// Whether two tapes measure much the same, either way round.
bool are_beside(const Tape& a, const Tape& b, double spacing_m) {
  const auto near = [&](const Eigen::Vector2d& p, const Eigen::Vector2d& q) { return (p - q).norm() < spacing_m; };
  return (near(a.from_m, b.from_m) && near(a.to_m, b.to_m)) || (near(a.from_m, b.to_m) && near(a.to_m, b.from_m));
}

std::vector<Tape> choose_tapes(std::span<const WallPiece> pieces, const WallDifferenceOptions& options) {
  std::vector<Tape> tapes;
  for (const WallPiece& piece : pieces) {
    if (piece.nodes < sure_nodes) continue;
    const std::optional<Tape> tape = tape_from(piece, pieces, options);
    const bool is_new = tape && std::none_of(tapes.begin(), tapes.end(), [&](const Tape& other) {
                          return are_beside(*tape, other, options.spacing_m);
                        });
    if (is_new) tapes.push_back(*tape);
  }
  return tapes;
}

struct Length {
  double value_m;
  double variance_m2;
};

/// Of a face that is plain there.
std::optional<FaceHeight> plain_height(std::span<const WallPiece> pieces, const Eigen::Vector2d& point,
                                       const Eigen::Vector2d& normal, const WallDifferenceOptions& options) {
  FaceHeightOptions face;
  face.across_m = options.gate_m;
  const std::optional<FaceHeight> height = height_of_face(pieces, point, normal, face);
  return height && height->share >= options.least_share ? height : std::nullopt;
}

std::optional<Length> measure(std::span<const WallPiece> pieces, const Tape& tape,
                              const WallDifferenceOptions& options) {
  const Eigen::Vector2d normal = (tape.to_m - tape.from_m).normalized();
  const std::optional<FaceHeight> near = plain_height(pieces, tape.from_m, normal, options);
  const std::optional<FaceHeight> far = plain_height(pieces, tape.to_m, -normal, options);
  if (!near || !far) return std::nullopt;
  return Length{(tape.to_m - tape.from_m).norm() - near->height_m - far->height_m,
                near->sd_m * near->sd_m + far->sd_m * far->sd_m};
}

struct Spread {
  double rms = 0.0;
  double median = 0.0;
  double most_95 = 0.0;
};

Spread spread_of(std::vector<double> values) {
  Spread result;
  if (values.empty()) return result;
  for (double& value : values) {
    value = std::abs(value);
    result.rms += value * value / static_cast<double>(values.size());
  }
  result.rms = std::sqrt(result.rms);
  std::sort(values.begin(), values.end());
  // Linear between order statistics.
  const auto quantile = [&](double p) {
    const double at = p * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::size_t>(at);
    const double next = values[std::min(below + 1, values.size() - 1)];
    return values[below] + (at - static_cast<double>(below)) * (next - values[below]);
  };
  result.median = quantile(0.5);
  result.most_95 = quantile(0.95);
  return result;
}

void compare_faces(std::span<const WallPiece> first, std::span<const WallPiece> second, const Pose2& first_second,
                   const WallDifferenceOptions& options, WallDifference& result) {
  std::vector<double> offsets;
  for (const WallPiece& piece : second) {
    if (piece.nodes < sure_nodes) continue;
    ++result.pieces;
    const Eigen::Vector2d normal = normal_of(piece);
    const auto in_first = plain_height(first, first_second * piece.middle_m, first_second.rotation() * normal, options);
    const auto in_second = plain_height(second, piece.middle_m, normal, options);
    if (in_first && in_second) offsets.push_back(in_first->height_m - in_second->height_m);
  }
  result.paired = offsets.size();
  const Spread spread = spread_of(offsets);
  result.offset_rms_m = spread.rms;
  result.offset_median_m = spread.median;
  result.offset_95_m = spread.most_95;
}

}  // namespace

WallDifference wall_difference(std::span<const WallPiece> first, std::span<const WallPiece> second,
                               const Pose2& first_second, const WallDifferenceOptions& options) {
  WallDifference result;
  compare_faces(first, second, first_second, options, result);
  const Pose2 second_first = inverse(first_second);
  std::vector<double> differences;
  for (const Tape& tape : choose_tapes(first, options)) {
    const auto in_first = measure(first, tape, options);
    const auto in_second = measure(second, {second_first * tape.from_m, second_first * tape.to_m}, options);
    if (!in_first || !in_second) continue;
    result.distances.push_back({tape.from_m, tape.to_m, in_first->value_m, in_second->value_m,
                                std::sqrt(in_first->variance_m2 + in_second->variance_m2)});
    differences.push_back(in_first->value_m - in_second->value_m);
  }
  std::stable_sort(result.distances.begin(), result.distances.end(),
                   [](const FacingDistance& a, const FacingDistance& b) {
                     return std::abs(a.first_m - a.second_m) > std::abs(b.first_m - b.second_m);
                   });
  const Spread spread = spread_of(differences);
  result.distance_rms_m = spread.rms;
  result.distance_median_m = spread.median;
  result.distance_95_m = spread.most_95;
  return result;
}

}  // namespace wainscot
