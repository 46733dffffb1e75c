#pragma once

// A comparison as text: for the terminal, for a spreadsheet and for programs.

#include <string>

#include "io/results/comparison.hpp"

namespace wainscot {

/// Tables for the terminal, millimetres and degrees.
std::string comparison_text(const Comparison& comparison);

/// A row a figure: `compared,reference,figure,value`, metres and radians; names with commas or quotes are quoted (RFC
/// 4180).
std::string comparison_csv(const Comparison& comparison);

/// The same figures, the differences over time, and each distance between facing walls.
std::string comparison_json(const Comparison& comparison);

}  // namespace wainscot
