#pragma once

// What was chosen, as `columns.yaml` says it.

#include "io/convert/clock_choice.hpp"
#include "io/convert/direction_guess.hpp"
#include "io/convert/log_columns.hpp"
#include "io/convert/log_sample.hpp"
#include "io/convert/motion_choice.hpp"
#include "io/convert/range_guess.hpp"

namespace wainscot {

LogColumns guessed_columns(const LogSample& sample, const RangeGuess& ranges, const ChosenMotion& motion,
                           const Direction& direction, const ChosenClocks& clocks);

}  // namespace wainscot
