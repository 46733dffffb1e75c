#pragma once

// One robot that is looked for in a map while it drives, and how its answers compare with the truth.

#include <array>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "graph/known/locate.hpp"
#include "io/map/known_map.hpp"
#include "tests/bench/located_home.hpp"

namespace wainscot::bench {

struct LocationTry {
  std::string kind;
  std::uint64_t home = 0;
  bool found = false;         ///< at the right place, within 3 m of way
  double found_after_m = 0;   ///< way until then
  double known_after_m = -1;  ///< way until it was where the map had been driven; negative: it never was
  int wrong_rows = 0;         ///< called found, at a wrong place
  int ambiguous_rows = 0, lost_rows = 0, found_rows = 0;
  std::vector<double> errors_m, errors_rad;  ///< of the rows called found
  std::vector<std::array<double, 3>> normalised;
  double cpu_s = 0.0, recorded_s = 0.0, first_fix_s = 0.0;
  bool right_at_end = false;  ///< the last row is right
  std::string rows;           ///< those called found, as a table
};

/// The columns of `LocationTry::rows`.
inline constexpr const char* rows_header =
    "kind,home,try,scan,time_s,way_m,returns,speed_m_s,turn_deg_s,along_mm,across_mm,turned_deg,sd_along_mm,"
    "sd_across_mm,sd_turned_deg,explained,contradicted\n";

/// From scan `first` of the robot's drive on, for `most_way_m`. `elsewhere`: the robot is in another house than the
/// map's, so that every answer is wrong. `whole`: of the recording as a whole. `talk`: says answers as they change.
/// `name`: begins each row.
LocationTry tried_location(const KnownMap& map, const LocatedHome& home, const KnownRobot& robot, std::size_t first,
                           double most_way_m, bool elsewhere, bool whole, bool talk, const std::string& name);

}  // namespace wainscot::bench
