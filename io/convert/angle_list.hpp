#pragma once

// A list of angles beside the ranges of each record, one a range: lidars that leave out beams without a return write
// so.

#include <cstddef>
#include <optional>
#include <string>

#include "io/convert/log_sample.hpp"

namespace wainscot {

struct AngleList {
  std::size_t array = 0;  ///< index into RecordKind::arrays
  std::string unit;       ///< deg or rad
};

/// nullopt where no array runs round beside the ranges, and where each record has the same angles: first one and step
/// say that in fewer words.
std::optional<AngleList> angle_list_beside(const RecordKind& kind, std::size_t ranges);

}  // namespace wainscot
