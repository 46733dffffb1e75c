#pragma once

// Which of several measurements of one thing differ from the others by more than chance.
//
// The thing's value is the median of all, and its spread from one measurement to the next the median absolute deviation
// from it, divided by that of a standard normal variable (NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.5.6 and
// 1.3.5.17): up to half of the values may be wrong without spoiling them. A value is held against the spread and its
// own standard uncertainty together. The spread already holds the uncertainty of a typical value, so that much is
// counted twice: a value is found somewhat later, a false alarm is rarer.

#include <cstddef>
#include <span>
#include <vector>

namespace wainscot {

/// A value and its standard uncertainty, in the value's unit; finite, the uncertainty above 0.
struct UncertainValue {
  double value = 0.0;
  double sd = 0.0;
};

/// With fewer values none is odd. Of five, two may be wrong and the median is still one of the others.
inline constexpr std::size_t kLeastValuesToCompare = 5;

/// The least number of standard deviations that makes a value odd (NIST/SEMATECH e-Handbook, 1.3.5.17, after Iglewicz
/// and Hoaglin).
inline constexpr double kLeastOddness = 3.5;

/// What the values have in common.
struct CommonValue {
  double middle = 0.0;
  double spread = 0.0;  ///< standard deviation by the median absolute deviation; 0 where half of them are the same
};

/// Of no value both are 0.
CommonValue common_value(std::span<const UncertainValue> values);

/// The indices, ascending, of the values that differ from what is common by more than `kLeastOddness` standard
/// deviations and by so much that `false_alarm` (above 0, below 1) is the probability that a value that belongs to the
/// others does so: two-sided by Student's t. Its degrees of freedom are those of the spread, 0.3674 (n - 1), since a
/// median absolute deviation tells as much as 36.74 % of as many values by their mean square would (P. J. Rousseeuw and
/// C. Croux, "Alternatives to the median absolute deviation", J. American Statistical Association 88, 1993; from
/// memory, and measured by tests/core/odd_values_test.cpp), and more where the value's own uncertainty is the greater
/// part (Welch-Satterthwaite, JCGM 100:2008, G.4.1). Throws std::invalid_argument for a probability out of range.
std::vector<std::size_t> odd_values(std::span<const UncertainValue> values, double false_alarm);

}  // namespace wainscot
