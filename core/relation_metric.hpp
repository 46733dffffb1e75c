#pragma once

// How well relations between poses are kept, whatever the frames and however an early error bends what comes later.
//
// Source: R. Kuemmerle, B. Steder, C. Dornhege, M. Ruhnke, G. Grisetti, C. Stachniss, A. Kleiner, "On measuring the
// accuracy of SLAM algorithms", Autonomous Robots 27(4), 2009: of each relation d* of the reference and d of the
// estimate, the errors trans(d - d*) and rot(d - d*), "-" the inverse of motion composition; their means and standard
// deviations, also of the squares. There people chose the relations by hand; here they follow a rule: the next place
// along the way, and the places where the drive came back.

#include <cstddef>
#include <span>
#include <vector>

#include "core/pose_pairs.hpp"

namespace wainscot {

struct RelationOptions {
  double spacing_m = 0.5;       ///< of the reference's way between two places that relations join
  double spacing_rad = 0.5;     ///< or of its turning, left and right counted
  double near_m = 1.0;          ///< a place seen again lies this near: within a room
  double way_between_m = 10.0;  ///< and so much was driven meanwhile: out of the room and back
};

/// Indices into the pairs.
struct Relation {
  std::size_t from = 0;
  std::size_t to = 0;
};

struct Relations {
  std::vector<Relation> along_way;   ///< each place and the next one
  std::vector<Relation> seen_again;  ///< each place and the nearest earlier one that fits the rule, if there is one
};

/// Chosen by the reference alone, so that all estimates of one drive are measured alike.
Relations choose_relations(std::span<const PosePair> pairs, const RelationOptions& options = {});

/// Of the absolute errors, and means of their squares. Standard deviations divide by the count.
struct RelationError {
  std::size_t relations = 0;  ///< 0: there are none, and all figures are 0
  double position_mean_m = 0.0;
  double position_sd_m = 0.0;
  double position_square_mean_m2 = 0.0;
  double heading_mean_rad = 0.0;
  double heading_sd_rad = 0.0;
  double heading_square_mean_rad2 = 0.0;
};

RelationError relation_error(std::span<const PosePair> pairs, std::span<const Relation> relations);

}  // namespace wainscot
