#pragma once

// Whether measurements of one thing, one after another, show that it changed: little by little or at one time.
//
// Two models are held against "it stayed the same" by weighted least squares: a straight line over the number of the
// measurement (its slope against the slope's standard uncertainty), and two levels, before and after one of the
// measurements, the place with the largest difference against its standard uncertainty taken (D. V. Hinkley, "Inference
// about the change-point in a sequence of random variables", Biometrika 57, 1970; from memory). Uncertainties grow with
// the residuals' scatter where that is larger than what the weights say (R. T. Birge's ratio, Physical Review 40, 1932;
// from memory), and are judged two-sided by Student's t with n - 2 degrees of freedom (NIST/SEMATECH e-Handbook of
// Statistical Methods, 1.3.5.3). So many places being tried, each has its part of the false alarms only (Bonferroni:
// e-Handbook 7.4.7.3). Neither model is robust: a value far off near the end of a long series makes a step, so those
// that are odd while their neighbours are not (`odd_values`) are to be left out before.

#include <cstddef>
#include <span>

#include "core/odd_values.hpp"

namespace wainscot {

/// On each side of a step: of fewer, one value that is wrong would make one.
inline constexpr std::size_t kLeastValuesOnASide = 3;

struct OrderedChange {
  enum class Kind { none, drift, step };
  Kind kind = Kind::none;
  double before = 0.0;    ///< the line's value at the first measurement, or the level before the step
  double after = 0.0;     ///< at the last one, or the level after the step
  double sd = 0.0;        ///< standard uncertainty of after - before
  std::size_t first = 0;  ///< of a step: the first measurement after it
};

/// `values` in their order, taken as equally far apart. `false_alarm` (above 0, below 1): the probability that a change
/// is found where there is none and the values scatter normally. Of two models that are both certain, the one that
/// leaves less. Fewer than twice `kLeastValuesOnASide` values show nothing. Throws std::invalid_argument for a
/// probability out of range.
OrderedChange ordered_change(std::span<const UncertainValue> values, double false_alarm);

}  // namespace wainscot
