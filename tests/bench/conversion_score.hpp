#pragma once

// Whether a drive that was converted by a guess alone is the drive that its log was written from.

#include <filesystem>
#include <string>
#include <vector>

#include "io/convert/column_guess.hpp"
#include "tests/bench/invented_log.hpp"

namespace wainscot::bench {

struct ConversionFault {
  std::string what;        ///< with figures
  bool doubted = false;    ///< the guess names a doubt about just that
  bool in_mirror = false;  ///< part of a whole that is right in a mirror, or with front and back exchanged, where
                           ///< nothing in the log tells which
};

struct ConversionScore {
  std::string failure;  ///< why nothing came of it; empty: a drive did
  std::vector<ConversionFault> faults;
  ColumnGuess guess;
  double guess_s = 0.0;  ///< CPU time, sampling included

  bool is_right() const { return failure.empty() && faults.empty(); }
  /// Wrong, and a doubt is named for each fault.
  bool is_doubted() const;
};

/// Guesses, converts and compares.
ConversionScore score_guess(const InventedLog& log, const std::filesystem::path& folder);

}  // namespace wainscot::bench
