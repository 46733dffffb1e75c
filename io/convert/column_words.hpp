#pragma once

// What people call columns, in several languages: evidence beside the data, never instead of it.

#include <string_view>

namespace wainscot {

/// "t", "time_ms", "Zeit", "horodatage" ...
bool is_time_word(std::string_view label);

/// "start", "first_deg", "von", "début" ...: where a turn's angles begin.
bool is_begin_word(std::string_view label);

/// 1 where the first of two columns is called left and the second right, -1 the other way round, 0 where their names do
/// not say. Only what differs in both names counts: "enc_l_raw" and "enc_r_raw".
int left_before_right(std::string_view first, std::string_view second);

}  // namespace wainscot
