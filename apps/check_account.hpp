#pragma once

#include <filesystem>
#include <string>

#include "core/drive.hpp"
#include "graph/check/log_check.hpp"

namespace wainscot {

/// What `check` says, for people: the log's contents, the findings in the order of mending, the constants, the closing
/// error. Lines with line ends; every figure with its unit. `drive_folder` as the user gave it.
std::string check_account(const LogCheck& check, const Drive& drive, bool simulated,
                          const std::filesystem::path& drive_folder);

}  // namespace wainscot
