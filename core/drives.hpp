#pragma once

#include <span>
#include <vector>

#include "core/drive.hpp"

namespace wainscot {

/// One drive or several, not owned: drive 1 of a map, then those that extended it.
struct Drives : std::span<const Drive> {
  explicit Drives(std::span<const Drive> several) : span(several) {}
  Drives(const Drive& one) : span(&one, 1) {}                   // NOLINT(google-explicit-constructor)
  Drives(const std::vector<Drive>& several) : span(several) {}  // NOLINT(google-explicit-constructor)
};

}  // namespace wainscot
