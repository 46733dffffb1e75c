#pragma once

#include <string>

#include "graph/mapping/map_frame.hpp"

namespace wainscot {

/// What a map folder says of its making, beside the map and the drive themselves.
struct MapOrigin {
  std::string program_version;
  bool simulated = false;    ///< the drive says of itself that it is simulated: its figures are called so everywhere
  bool loops_closed = true;  ///< false: made with --no-loop-closure, for comparison
  FrameSetBy frame = FrameSetBy::first_scan;  ///< said in the files where it is another
};

/// As files name it.
inline const char* frame_text(FrameSetBy frame) {
  switch (frame) {
    case FrameSetBy::first_scan:
      return "first scan";
    case FrameSetBy::survey:
      return "survey";
    case FrameSetBy::walls:
      return "walls";
    case FrameSetBy::user:
      return "user";
  }
  return "";
}

/// The caution that stands beside every map, one sentence without line breaks.
inline constexpr const char* map_caution =
    "A 2D lidar sees one plane only: stairs going down, table tops, glass and low objects may be missing, so this map "
    "must never be the only thing that keeps a robot from falling or from hitting someone.";

}  // namespace wainscot
