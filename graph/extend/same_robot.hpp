#pragma once

// Whether one robot made two drives. Where their robot.yaml differ, because it was calibrated in between or a number
// was corrected, the constants that each drive's own map found tell: near each other, it is one robot; as far apart as
// the statements, there are two.

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/map.hpp"

namespace wainscot {

/// Throws `InputError` where one drive logs wheel counts and the other odometry.
void require_same_form(const Drive& first, const Drive& other);

/// `of_first`, `of_other`: maps of which these are the first drive. Returns a sentence for each constant that their
/// robot.yaml state differently by more than three standard uncertainties of both, which the drives do not bear out.
/// Throws `InputError`, naming the key, where what the drives tell without those statements differs by more than half
/// of that as well.
std::vector<std::string> require_same_robot(const Drive& first, const Map& of_first, const Drive& other,
                                            const Map& of_other);

}  // namespace wainscot
