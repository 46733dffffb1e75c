#pragma once

// The chi squared distribution (Boost.Math's): how large a squared, normalised error may be before it is no longer
// believed.

namespace wainscot {

/// Probability that a chi squared variable with `degrees` degrees of freedom (>= 1) is at most `value`. 0 for a value
/// below 0. Relative error below 1e-12. Throws std::invalid_argument.
double chi_squared_probability(double value, int degrees);

/// The value that a chi squared variable stays below with `probability` (0 <= probability < 1): a gate. Inverse of the
/// function above. Throws std::invalid_argument.
double chi_squared_quantile(double probability, int degrees);

/// The gate for an error of a whole pose: 3 degrees of freedom, 99.9 % (NIST/SEMATECH e-Handbook of Statistical
/// Methods, table 1.3.6.7.4).
inline constexpr double kPoseGate = 16.266;

}  // namespace wainscot
