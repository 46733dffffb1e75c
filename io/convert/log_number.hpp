#pragma once

// A number as robots' logs write it in a cell.

#include <string_view>

#include "io/convert/log_columns.hpp"

namespace wainscot {

/// Reads a cell as a number, as `read_number` does, and where the comma does not separate also with a decimal comma.
/// "nan" and "inf" and an empty cell give NaN. A name before it ("L=1204", "L: 1204") and square brackets around it do
/// not count; a time of day is a number of seconds (`read_clock_time`). False: it is no number.
bool read_log_number(std::string_view cell, Separator separator, double& value);

/// Reads a time of day, "14:05:09.123" or with a decimal comma, as the seconds since midnight; with a date before it,
/// "2026-11-28T14:05:09.123Z", as those since 1970, by the zone ("Z", "+01:00") that may stand behind it. False: it is
/// none.
bool read_clock_time(std::string_view text, double& seconds);

/// The name before a number in one cell; empty: there is none.
std::string_view name_in_cell(std::string_view cell);

}  // namespace wainscot
