#pragma once

// The check of a log: what is in it, and what wheels and scans together say is wrong with it or with robot.yaml.
//
// Wrong units come first, then other gross faults. Each is mended in memory before the next is looked for, so that
// several at once are found in the order in which they are to be mended.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/robot.hpp"
#include "graph/check/closing_error.hpp"
#include "graph/check/diagnosis.hpp"
#include "graph/check/finding.hpp"
#include "graph/check/log_contents.hpp"
#include "graph/check/log_course.hpp"
#include "graph/check/readable_log.hpp"

namespace wainscot {

struct LogCheck {
  LogContents contents;
  std::vector<Finding> findings;  ///< gross ones first
  std::vector<MeasuredConstant> constants;
  std::optional<ClosingError> closing;
  std::vector<std::string> notes;  ///< what could not be checked, and why; one sentence each
  Robot mended;                    ///< robot.yaml with the lines of all findings
  LogCourse course;                ///< for a picture: as robot.yaml has it, but for units
};

struct LogCheckOptions {
  int threads = 0;  ///< 0: as many as the machine has; the result does not depend on it
  /// Called now and then with the fraction done, 0..1; may be empty.
  std::function<void(double fraction)> progress;
};

/// Throws `PoorData` where the log can tell nothing: no motion, no scans that can be matched.
LogCheck check_log(const LogReadings& readings, const LogCheckOptions& options = {});

}  // namespace wainscot
