#include "graph/motion/usable_drive.hpp"

#include <utility>

#include "graph/motion/found_robot.hpp"
#include "graph/motion/scan_noise.hpp"
#include "graph/motion/scan_odometry.hpp"

namespace wainscot {

Drive usable_drive(Drive drive) { return with_motion(with_found_robot(with_believable_noise(std::move(drive)))); }

}  // namespace wainscot
