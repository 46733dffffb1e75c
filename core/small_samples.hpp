#pragma once

// Distributions of small samples (Boost.Math's): Student's t, for an interval whose standard deviation was itself
// estimated, and Fisher's F, for the question whether several such estimates differ.
//
// Degrees of freedom need not be whole: the effective ones of JCGM 100:2008, G.4, are not.

namespace wainscot {

/// Probability that a t variable with `degrees` degrees of freedom (> 0) is at most `value`. Throws
/// std::invalid_argument.
double student_t_probability(double value, double degrees);

/// The value t that |a t variable| stays below with `probability` (0 <= probability < 1): half of a two-sided interval
/// in standard deviations (JCGM 100:2008, table G.2). Throws std::invalid_argument.
double student_t_two_sided(double probability, double degrees);

/// Probability that an F variable with `above` and `below` degrees of freedom (> 0) is more than `value`. 1 for a value
/// below 0. Throws std::invalid_argument.
double fisher_f_tail(double value, double above, double below);

}  // namespace wainscot
