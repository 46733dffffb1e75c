#include "core/small_samples.hpp"

#include <cmath>
#include <limits>
#include <numbers>
#include <stdexcept>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(StudentT, AgreesWithThePublishedTable) {
  // JCGM 100:2008, table G.2: t for 95 % and for 99 %.
  const struct {
    double degrees, t95, t99;
  } rows[] = {{1, 12.71, 63.66}, {2, 4.30, 9.92},  {3, 3.18, 5.84},  {4, 2.78, 4.60},  {5, 2.57, 4.03},
              {9, 2.26, 3.25},   {10, 2.23, 3.17}, {20, 2.09, 2.85}, {50, 2.01, 2.68}, {100, 1.984, 2.626}};
  for (const auto& row : rows) {
    const double half_digit = row.degrees == 100 ? 0.0005001 : 0.005001;
    EXPECT_NEAR(student_t_two_sided(0.95, row.degrees), row.t95, half_digit) << row.degrees;
    EXPECT_NEAR(student_t_two_sided(0.99, row.degrees), row.t99, half_digit) << row.degrees;
  }
  EXPECT_NEAR(student_t_two_sided(0.95, std::numeric_limits<double>::infinity()), 1.960, 0.0005);
}

TEST(StudentT, AgreesWithClosedForms) {
  for (const double t : {-8.0, -1.5, -0.01, 0.0, 0.3, 1.0, 2.0, 40.0}) {
    EXPECT_NEAR(student_t_probability(t, 1), 0.5 + std::atan(t) / std::numbers::pi, 1e-13) << t;
    EXPECT_NEAR(student_t_probability(t, 2), 0.5 + t / (2.0 * std::sqrt(2.0 + t * t)), 1e-13) << t;
  }
}

TEST(StudentT, TheIntervalInvertsTheProbability) {
  for (const double degrees : {1.0, 2.7, 4.0, 33.3, 1000.0}) {
    for (const double p : {0.0, 0.5, 0.6827, 0.95, 0.999}) {
      const double t = student_t_two_sided(p, degrees);
      EXPECT_NEAR(student_t_probability(t, degrees) - student_t_probability(-t, degrees), p, 1e-12) << degrees;
    }
  }
}

TEST(FisherF, AgreesWithThePublishedTableAndWithT) {
  // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.3, upper critical values at 5 %.
  EXPECT_NEAR(fisher_f_tail(4.965, 1, 10), 0.05, 5e-5);
  EXPECT_NEAR(fisher_f_tail(3.326, 5, 10), 0.05, 5e-5);
  EXPECT_NEAR(fisher_f_tail(3.493, 2, 20), 0.05, 5e-5);
  for (const double t : {0.5, 2.0, 6.0}) {
    EXPECT_NEAR(fisher_f_tail(t * t, 1, 7.5), 2.0 * student_t_probability(-t, 7.5), 1e-13);
  }
  EXPECT_EQ(fisher_f_tail(-1.0, 2, 5), 1.0);
}

TEST(SmallSamples, RefuseWhatHasNoAnswer) {
  EXPECT_THROW(student_t_probability(1.0, 0.0), std::invalid_argument);
  EXPECT_THROW(student_t_probability(std::nan(""), 3.0), std::invalid_argument);
  EXPECT_THROW(student_t_two_sided(1.0, 3.0), std::invalid_argument);
  EXPECT_THROW(fisher_f_tail(1.0, -1.0, 3.0), std::invalid_argument);
}

}  // namespace
}  // namespace wainscot
