#include "graph/measure/tape.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string_view>
#include <utility>

#include <Eigen/Dense>

#include "core/cross.hpp"

namespace wainscot {
namespace {

/// The place on the piece nearest to the point.
Eigen::Vector2d foot_on(const WallPiece& piece, const Eigen::Vector2d& point) {
  const Eigen::Vector2d normal = normal_of(piece);
  const Eigen::Vector2d tangent(normal.y(), -normal.x());
  const double along = tangent.dot(point - piece.middle_m);
  return piece.middle_m + std::clamp(along, -piece.half_length_m, piece.half_length_m) * tangent;
}

struct NearestFace {
  FacePlace place;
  double distance_m = std::numeric_limits<double>::infinity();
  double in_front_m = 0.0;  ///< how far the point lies on the side from which the face was seen
};

/// The nearest face of which `is_meant(normal, in_front_m)` is true.
template <typename IsMeant>
NearestFace nearest_face(const std::vector<WallPiece>& pieces, const Eigen::Vector2d& point, const IsMeant& is_meant) {
  NearestFace nearest;
  for (const WallPiece& piece : pieces) {
    const Eigen::Vector2d normal = normal_of(piece);
    const Eigen::Vector2d foot = foot_on(piece, point);
    const double distance = (foot - point).norm();
    const double in_front = normal.dot(point - foot);
    if (distance < nearest.distance_m && is_meant(normal, in_front)) nearest = {{foot, normal}, distance, in_front};
  }
  return nearest;
}

bool is_one_face(const FacePlace& a, const FacePlace& b) {
  // 11 degrees, and three centimetres of step: further apart a tape has two faces, as a door's frame before a wall.
  // Chosen by hand; half as much splits bent walls, twice as much takes a frame for the wall.
  constexpr double kSameWay = 0.98;
  constexpr double kStepM = 0.03;
  return a.normal.dot(b.normal) > kSameWay && std::abs(a.normal.dot(b.foot_m - a.foot_m)) < kStepM;
}

using FacePair = std::pair<NearestFace, NearestFace>;

/// The faces meant: a tape across a room lies between faces that look at one another, one through a wall between faces
/// that look away. Both faces may look the same way (the depth of a niche) only where each point lies before its face:
/// a point within a wall of which one side alone was seen does not mean the other room's side of it.
std::optional<FacePair> faces_meant(const MeasurableMap& map, const Tape& tape, const TapeOptions& options) {
  constexpr double kBehindM = 0.02;  // a point on a wall, read off a picture to a cell of 2 cm
  // A face whose normal is more than 60 degrees from the tape's way runs beside the tape, not across its end: of a
  // corner's two faces square to one another one is within 45, and the faces of a room of six sides within 60.
  constexpr double kAtTheEnd = 0.5;
  const Eigen::Vector2d way = tape.to_m - tape.from_m;
  std::optional<FacePair> best;
  double least_m = std::numeric_limits<double>::infinity();
  for (const bool from_forward : {true, false}) {
    for (const bool to_forward : {false, true}) {
      const auto end = [&](const Eigen::Vector2d& point, bool forward) {
        return nearest_face(map.pieces(), point, [&](const Eigen::Vector2d& normal, double in_front) {
          const double along = forward ? normal.dot(way) : -normal.dot(way);
          return along > kAtTheEnd * way.norm() && in_front > -options.behind_m;
        });
      };
      const FacePair pair{end(tape.from_m, from_forward), end(tape.to_m, to_forward)};
      if (std::max(pair.first.distance_m, pair.second.distance_m) > options.reach_m) continue;
      if (from_forward == to_forward && std::min(pair.first.in_front_m, pair.second.in_front_m) < -kBehindM) continue;
      const double distance = pair.first.distance_m + pair.second.distance_m;
      if (distance < least_m && !is_one_face(pair.first.place, pair.second.place)) {
        least_m = distance;
        best = pair;
      }
    }
  }
  return best;
}

/// Where two faces' lines meet.
Eigen::Vector2d corner_of(const FacePlace& a, const FacePlace& b) {
  Eigen::Matrix2d normals;
  normals << a.normal.transpose(), b.normal.transpose();
  return normals.inverse() * Eigen::Vector2d(a.normal.dot(a.foot_m), b.normal.dot(b.foot_m));
}

/// The direction square to both of two parallel faces, from the first to the second.
Eigen::Vector2d square_to(const FacePlace& a, const FacePlace& b) {
  const double side = a.normal.dot(b.normal) < 0.0 ? -1.0 : 1.0;
  const Eigen::Vector2d u = (a.normal + side * b.normal).normalized();
  return u.dot(b.foot_m - a.foot_m) < 0.0 ? Eigen::Vector2d(-u) : u;
}

using Ends = std::pair<Eigen::Vector2d, Eigen::Vector2d>;

/// Corners take four faces: those of the first end, then those of the second.
Ends ends_of(TapeKind kind, const std::vector<FacePlace>& faces) {
  if (kind == TapeKind::corner_to_corner) return {corner_of(faces[0], faces[1]), corner_of(faces[2], faces[3])};
  const Eigen::Vector2d from = faces[0].foot_m;
  const Eigen::Vector2d to = faces[1].foot_m;
  if (kind == TapeKind::point_to_point) return {from, to};
  const Eigen::Vector2d u = square_to(faces[0], faces[1]);
  return {from, from + u.dot(to - from) * u};
}

double distance_of(TapeKind kind, const std::vector<FacePlace>& faces) {
  const Ends ends = ends_of(kind, faces);
  return (ends.second - ends.first).norm();
}

/// By the offset and slope of each face, in the order of FittedFaces::covariance.
Eigen::VectorXd gradient_of(TapeKind kind, const std::vector<FacePlace>& faces) {
  constexpr double kStep = 1e-6;  // metres, and the slope: between the curvature of metres and a double's rounding
  const double before = distance_of(kind, faces);
  Eigen::VectorXd gradient(2 * static_cast<Eigen::Index>(faces.size()));
  for (std::size_t i = 0; i < faces.size(); ++i) {
    std::vector<FacePlace> changed = faces;
    changed[i].foot_m += kStep * faces[i].normal;
    gradient[2 * static_cast<Eigen::Index>(i)] = (distance_of(kind, changed) - before) / kStep;
    changed = faces;
    changed[i].normal -= kStep * Eigen::Vector2d(faces[i].normal.y(), -faces[i].normal.x());
    gradient[2 * static_cast<Eigen::Index>(i) + 1] = (distance_of(kind, changed) - before) / kStep;
  }
  return gradient;
}

TapeMeasure measure_of(const MeasurableMap& map, TapeKind kind, const FittedFaces& fitted) {
  const Eigen::VectorXd gradient = gradient_of(kind, fitted.faces);
  const Ends ends = ends_of(kind, fitted.faces);
  TapeMeasure measure;
  measure.kind = kind;
  measure.from_m = ends.first;
  measure.to_m = ends.second;
  measure.distance_m = (ends.second - ends.first).norm();
  measure.own_sd_m = std::sqrt(gradient.dot(fitted.covariance * gradient));
  measure.sd_m = std::hypot(measure.own_sd_m, map.scale_sd() * measure.distance_m);
  // Ranges measured longer put a face further back, against its normal.
  for (Eigen::Index i = 0; i < gradient.size(); i += 2) measure.by_range_offset -= gradient[i];
  measure.nodes = fitted.nodes;
  return measure;
}

/// The second face of a corner near the point, if there is one.
std::optional<FacePlace> other_face_of_corner(const MeasurableMap& map, const Eigen::Vector2d& point,
                                              const FacePlace& first, const TapeOptions& options) {
  constexpr double kTurnedCosine = 0.87;  // by 30 degrees or more
  const NearestFace other = nearest_face(map.pieces(), point, [&](const Eigen::Vector2d& normal, double in_front) {
    return std::abs(normal.dot(first.normal)) < kTurnedCosine && in_front > -options.behind_m;
  });
  if (other.distance_m > options.reach_m) return std::nullopt;
  if ((corner_of(first, other.place) - point).norm() > options.corner_m) return std::nullopt;
  return other.place;
}

std::optional<TapeMeasure> measure_corners(const MeasurableMap& map, const Tape& tape, const FacePlace& from,
                                           const FacePlace& to, const TapeOptions& options) {
  const std::optional<FacePlace> from_other = other_face_of_corner(map, tape.from_m, from, options);
  const std::optional<FacePlace> to_other = other_face_of_corner(map, tape.to_m, to, options);
  if (!from_other || !to_other) return std::nullopt;
  const auto fitted = fit_faces(map.returns(), map.poses(), {from, *from_other, to, *to_other}, options.fit);
  if (!fitted) return std::nullopt;
  return measure_of(map, TapeKind::corner_to_corner, *fitted);
}

std::optional<TapeMeasure> measure_between(const MeasurableMap& map, const Tape& tape, const FacePlace& from,
                                           const FacePlace& to, const TapeOptions& options) {
  const auto fitted = fit_faces(map.returns(), map.poses(), {from, to}, options.fit);
  if (!fitted) return std::nullopt;
  const FacePlace& a = fitted->faces[0];
  const FacePlace& b = fitted->faces[1];
  const bool parallel = std::abs(cross(a.normal, b.normal)) < std::sin(options.parallel_rad);
  const Eigen::Vector2d way = (tape.to_m - tape.from_m).normalized();
  const bool square = parallel && std::abs(way.dot(square_to(a, b))) > std::cos(options.askew_rad);
  if (!square) {
    if (auto corners = measure_corners(map, tape, from, to, options)) return corners;
  }
  return measure_of(map, parallel ? TapeKind::across : TapeKind::point_to_point, *fitted);
}

const RefinedConstant* constant_of(const Map& map, std::string_view name) {
  const auto found = std::find_if(map.constants.begin(), map.constants.end(),
                                  [name](const RefinedConstant& c) { return c.name == name; });
  return found == map.constants.end() ? nullptr : &*found;
}

}  // namespace

MeasurableMap::MeasurableMap(const Map& map, std::vector<std::vector<PlacedReturn>> returns, OffsetUncertainty offset)
    : map_(map), returns_{map.graph, std::move(returns), 0.0}, poses_(map.graph) {
  // The adjustment's uncertainty of the range scale is that of the map's scale (Quality::scale_sd).
  if (const RefinedConstant* scale = constant_of(map, "lidar.range_scale")) {
    scale_sd_ = scale->found_sd / std::abs(scale->stated);
  }
  const RefinedConstant* range_offset = constant_of(map, "lidar.range_offset_m");
  if (range_offset != nullptr && offset == OffsetUncertainty::in_each_tape) {
    returns_.range_offset_sd_m = range_offset->found_sd;
  }
}

double distance_to_wall(const std::vector<WallPiece>& pieces, const Eigen::Vector2d& point) {
  return nearest_face(pieces, point, [](const Eigen::Vector2d&, double) { return true; }).distance_m;
}

TapeAnswer measure_tape(const MeasurableMap& map, const Tape& tape, const TapeOptions& options) {
  TapeAnswer answer;
  answer.nearest_m = {distance_to_wall(map.pieces(), tape.from_m), distance_to_wall(map.pieces(), tape.to_m)};
  if (const std::optional<FacePair> faces = faces_meant(map, tape, options)) {
    answer.measure = measure_between(map, tape, faces->first.place, faces->second.place, options);
  }
  return answer;
}

}  // namespace wainscot
