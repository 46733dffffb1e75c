#pragma once

// Whether two maps are of one house, and where the second's frame lies in the first's: two days of one house begin at
// different places, furniture was moved between them, and each may hold rooms that the other has not.
//
// What the second map saw around places along its way is searched in the whole of the first (a correlative search, then
// ICP), each find puts the whole second map onto the first, and all that its nodes saw is compared with the first map:
// returns on its walls, returns on its open floor or behind its walls. A room that looks like another one fits by
// itself, but then the rest of the house does not.

#include <optional>
#include <string>
#include <vector>

#include "core/pose2.hpp"
#include "graph/known/known_map.hpp"

namespace wainscot {

struct SharedHouseOptions {
  double place_every_m = 4.0;      ///< of the second's way: places that are searched in the first,
  std::size_t most_places = 16;    ///< a limit of time: further apart on longer drives
  double place_half_way_m = 2.5;   ///< and what was seen on this way before and after belongs to one
  std::size_t finds_a_place = 12;  ///< a limit of time: rooms have doubles, few have twelve
  std::size_t most_compared = 8;   ///< finds that are compared in full, the most promising first
  /// Of the second's way so much must agree, over such a distance: one room has doubles. In simulated homes what
  /// contradicted was at most a fifth of what agreed where the maps were of one house, and 0.31 of it and more where
  /// not (some two thousand pairs): the rivals below are the second guard.
  double least_known_way_m = 8.0;
  double least_known_extent_m = 3.5;
  double most_strange = 0.3;  ///< way that contradicts / way that agrees
  /// Another way of laying on leaves doubt where it agrees along so much, as a part of the best,
  double rival_way = 0.75;
  /// and has at most so many times the best one's misfit (MapFit) and a little more: things were moved.
  double rival_misfit = 2.0;
  double rival_misfit_more = 0.02;  ///< by hand, of a good fit's own misfit
};

/// The second map laid on the first in one way.
struct LaidOn {
  Pose2 first_second;           ///< pose of the second map's frame in the first's
  MapFit fit;                   ///< of all that the second's nodes saw
  std::vector<bool> known;      ///< of each of the second's nodes: what it saw is in the first map, and agrees
  double known_way_m = 0.0;     ///< of the second's way, at known nodes
  double known_extent_m = 0.0;  ///< largest distance between these
  double strange_way_m = 0.0;   ///< where what was seen contradicts the first map
};

/// Ways of laying the second map on the first, the one with the longest known way first. `first`: of known_map();
/// `second`: of map_views(), in the order of time.
std::vector<LaidOn> ways_to_lay_on(const KnownMap& first, const std::vector<MapView>& second, const RangeNoise& noise,
                                   const SharedHouseOptions& options = {});

/// Nothing where the first of `ways` is surely right, else why it is not: a sentence without subject and full stop.
std::optional<std::string> doubt_of(const std::vector<LaidOn>& ways, const SharedHouseOptions& options = {});

}  // namespace wainscot
