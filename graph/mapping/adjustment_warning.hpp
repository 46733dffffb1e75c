#pragma once

// What it means for the user where the joint adjustment did not come to its end, and what to do.

#include <optional>
#include <string>

#include "graph/adjust/joint_adjustment.hpp"

namespace wainscot {

/// One sentence; nullopt where the adjustment has converged.
std::optional<std::string> adjustment_warning(const JointResult& adjusted);

}  // namespace wainscot
