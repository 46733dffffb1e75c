#pragma once

#include <string>
#include <vector>

#include "graph/check/finding.hpp"
#include "graph/check/log_course.hpp"

namespace wainscot {

struct LogPicture {
  std::string drive;  ///< its name; any text
  bool simulated = false;
  LogCourse course;
  std::vector<Finding> findings;   ///< numbered from 1 as in check's account
  std::vector<std::string> notes;  ///< sentences without the full stop
};

/// A log as a picture (SVG, at most about a megabyte): speed, turning, wheels against scans, returns a scan and what is
/// missing, over one time. What was found stands below by number, and its number where it happened.
std::string log_picture(const LogPicture& picture);

}  // namespace wainscot
