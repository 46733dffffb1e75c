#pragma once

// How far a wheel had rolled, from counts that are whole numbers and are read only now and then.
//
// A counter that reads n says that the wheel is somewhere between n and n + 1 ticks; the error of the middle is even
// over one tick, so that its variance is tick^2 / 12 however far the wheel rolls. A wheel has a mass behind it: its
// speed is taken to wander as white acceleration makes it, and counts and speed are brought together by the smoother of
// H. E. Rauch, F. Tung, C. T. Striebel, "Maximum likelihood estimates of linear dynamic systems", AIAA Journal 3(8),
// 1965. Between two rows the likeliest way is then a cubic (G. Wahba, "Improper priors, spline smoothing and the
// problem of guarding against model errors in regression", J. R. Stat. Soc. B 40(3), 1978).

#include <cstdint>
#include <span>
#include <vector>

#include "core/drive.hpp"

namespace wainscot {

/// Errors of coarse counts at moments no further apart, s, are much the same. A count that stays for longer tells once
/// where the wheel is, not anew with each row; while the wheel rolls, the errors of a tick's rows make up for one
/// another. Three times what the smoothing reaches over with ticks of 10 mm and 50 rows a second (36 ms).
inline constexpr double kSameCountErrorS = 0.1;

/// A wheel at a moment.
struct RolledWay {
  double time_s = 0.0;
  double way_m = 0.0;  ///< from where its counter would be 0
  double speed_m_s = 0.0;
  double variance_m2 = 0.0;  ///< of the way, by the counts alone: no slip is in it
};

/// At each row. `m_per_tick` is not 0, and negative where the counter runs backwards. The way is never outside the tick
/// that was counted. Times do not decrease; nothing is to happen to the counter between the rows.
std::vector<RolledWay> rolled_ways(std::span<const WheelCounts> rows, std::int64_t WheelCounts::*ticks,
                                   double m_per_tick);

/// At a time from `from` to `to`, two rows after one another.
RolledWay rolled_between(const RolledWay& from, const RolledWay& to, double time_s);

/// Whether counts taken as they are, with even motion in between, would be off by more than the rest of odometry is:
/// ticks of more than a millimetre, or fewer than 18 rows a second (the median). Rows half a second apart and more are
/// not coarse: a robot starts and stops between them, and no smooth motion is to be made of them.
bool counts_are_coarse(std::span<const WheelCounts> rows, const DriveConstants& constants);

}  // namespace wainscot
