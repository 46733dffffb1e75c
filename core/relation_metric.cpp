#include "core/relation_metric.hpp"

#include <algorithm>
#include <cmath>

namespace wainscot {
namespace {

struct Place {
  std::size_t pair = 0;
  double way_m = 0.0;  ///< of the reference until here
};

std::vector<Place> choose_places(std::span<const PosePair> pairs, const RelationOptions& options) {
  std::vector<Place> places;
  double way_m = 0.0;
  double turned_rad = 0.0;
  double turned_at_last_rad = 0.0;
  for (std::size_t i = 0; i < pairs.size(); ++i) {
    if (i > 0) {
      way_m += (pairs[i].truth.translation() - pairs[i - 1].truth.translation()).norm();
      turned_rad += std::abs(wrap_angle(pairs[i].truth.heading_rad - pairs[i - 1].truth.heading_rad));
    }
    if (places.empty() || way_m - places.back().way_m >= options.spacing_m ||
        turned_rad - turned_at_last_rad >= options.spacing_rad) {
      places.push_back({i, way_m});
      turned_at_last_rad = turned_rad;
    }
  }
  return places;
}

struct MeanAndSpread {
  double mean = 0.0;
  double sd = 0.0;
  double square_mean = 0.0;
};

MeanAndSpread spread_of(const std::vector<double>& values) {
  MeanAndSpread result;
  const double count = static_cast<double>(values.size());
  for (const double value : values) {
    result.mean += value / count;
    result.square_mean += value * value / count;
  }
  double variance = 0.0;
  for (const double value : values) {
    variance += (value - result.mean) * (value - result.mean) / count;
  }
  result.sd = std::sqrt(variance);
  return result;
}

}  // namespace

Relations choose_relations(std::span<const PosePair> pairs, const RelationOptions& options) {
  const std::vector<Place> places = choose_places(pairs, options);
  Relations relations;
  for (std::size_t later = 1; later < places.size(); ++later) {
    relations.along_way.push_back({places[later - 1].pair, places[later].pair});
    double least_m = options.near_m;
    const Place* nearest = nullptr;
    for (std::size_t earlier = 0; earlier < later; ++earlier) {
      if (places[later].way_m - places[earlier].way_m < options.way_between_m) {
        break;
      }
      const double distance_m =
          (pairs[places[later].pair].truth.translation() - pairs[places[earlier].pair].truth.translation()).norm();
      if (distance_m < least_m) {
        least_m = distance_m;
        nearest = &places[earlier];
      }
    }
    if (nearest != nullptr) {
      relations.seen_again.push_back({nearest->pair, places[later].pair});
    }
  }
  return relations;
}

RelationError relation_error(std::span<const PosePair> pairs, std::span<const Relation> relations) {
  std::vector<double> positions;
  std::vector<double> headings;
  for (const Relation& relation : relations) {
    const PosePair& from = pairs[relation.from];
    const PosePair& to = pairs[relation.to];
    const Pose2 error = between(between(from.truth, to.truth), between(from.estimate, to.estimate));
    positions.push_back(error.translation().norm());
    headings.push_back(std::abs(wrap_angle(error.heading_rad)));
  }
  const MeanAndSpread position = spread_of(positions);
  const MeanAndSpread heading = spread_of(headings);
  return {relations.size(), position.mean, position.sd,        position.square_mean,
          heading.mean,     heading.sd,    heading.square_mean};
}

}  // namespace wainscot
