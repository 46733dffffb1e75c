#pragma once

#include <filesystem>
#include <string>

#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// Reads a plan. Throws InputError with file and line: a key that is not known (the nearest one is named), a missing or
/// impossible value, a file that cannot be read.
Plan read_plan(const std::filesystem::path& file);

/// The plan as YAML that `read_plan` gives back unchanged.
std::string plan_text(const Plan& plan);

/// Writes `plan_text` to a file. Throws InputError where it cannot be written.
void write_plan(const Plan& plan, const std::filesystem::path& file);

}  // namespace wainscot::simulator
