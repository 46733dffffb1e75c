#pragma once

// What a finished map is good for: one word, why, and what to do next. It rests on what can be checked in the map
// itself: how many returns end on its walls, how sure each place and the scale are, what the walls left open, and
// constants that cannot be. tests/bench/verdict says how often it is right.

#include <string>
#include <string_view>

#include "core/drives.hpp"
#include "graph/map.hpp"

namespace wainscot {

enum class Grade {
  good,      ///< to navigate by everywhere, and right to the stated figures
  usable,    ///< right in most places: the reason says where not
  unusable,  ///< not to be handed on: something is wrong as a whole
};

/// "good", "usable" or "unusable".
std::string_view grade_name(Grade grade);

struct MapVerdict {
  Grade grade = Grade::good;
  std::string reason;  ///< a sentence without its first capital and full stop, with figures
  std::string next;    ///< what to do first, likewise; empty where all is good
  int further = 0;     ///< how many other doubts there are; each is a warning of the map's too
};

/// Begins those warnings of a drive that name a fault which spoils every map of it, and which the user knows of.
inline const std::string kMappedEvenSo = "mapped even so: ";

/// `drives`: those that the map was made from.
MapVerdict map_verdict(const Map& map, Drives drives);

}  // namespace wainscot
