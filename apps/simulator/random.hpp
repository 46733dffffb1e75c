#pragma once

// Random numbers whose bytes do not depend on the standard library: std::mt19937_64 is fixed by the C++ standard, the
// distributions of <random> are not, so they are written out here.

#include <cstdint>
#include <random>
#include <string_view>

namespace wainscot::simulator {

/// One stream of random numbers. Each cause of error has a stream of its own, named after it, so that turning one knob
/// leaves every other draw as it was.
class Random {
 public:
  Random(std::uint64_t seed, std::string_view stream);

  /// In [0, 1), 53 random bits.
  double uniform();
  /// In [from, to).
  double uniform(double from, double to);
  /// Mean 0, standard deviation 1. Marsaglia's polar method (G. Marsaglia, T. A. Bray, SIAM Review 6(3), 1964).
  double normal();
  /// Student's t, scale 1, with `freedom` > 0 degrees of freedom. R. W. Bailey, "Polar generation of random variates
  /// with the t-distribution", Mathematics of Computation 62(206), 1994.
  double student_t(double freedom);
  /// True with probability `p`, 0..1.
  bool chance(double p);
  /// A whole number in [0, count); count > 0.
  int below(int count);

 private:
  std::mt19937_64 engine_;
};

/// Noise that remembers itself: an Ornstein-Uhlenbeck process of mean 0 and standard deviation 1 whose
/// autocorrelation falls to 1/e within `correlation_s`.
class CorrelatedNoise {
 public:
  CorrelatedNoise(Random random, double correlation_s);

  /// The value `step_s` after the last one.
  double next(double step_s);

 private:
  Random random_;
  double correlation_s_;
  double value_;
};

}  // namespace wainscot::simulator
