#include "graph/adjust/lasting_errors.hpp"

#include <algorithm>
#include <cstddef>

#include "core/small_samples.hpp"

namespace wainscot {

double lasting_turn_variance(const std::vector<OdometryFactor>& factors, double variance) {
  // As for the intervals of a calibration from a drive (graph/calibrate/drive_adjustment.cpp): many enough for a
  // variance that is good to sqrt(2 / 11), two fifths; long enough, some metres each, to hold what lasts.
  constexpr std::size_t kBlocks = 12;
  constexpr std::size_t kFewestInBlock = 6;
  if (factors.size() < kBlocks * kFewestInBlock) return 0.0;
  double by_blocks = 0.0;
  double by_stretches = 0.0;
  for (std::size_t block = 0; block < kBlocks; ++block) {
    double sum = 0.0;
    for (std::size_t i = factors.size() * block / kBlocks; i < factors.size() * (block + 1) / kBlocks; ++i) {
      const OdometryFactor& f = factors[i];
      const double pull = f.by_constants.col(kTurnScale).dot(f.information * f.residual) / f.robust;
      sum += pull;
      by_stretches += pull * pull;
    }
    by_blocks += sum * sum;
  }
  constexpr double kSdsOfNormal = 1.959964;  // that hold 95 %
  const double widening = student_t_two_sided(0.95, kBlocks - 1.0) / kSdsOfNormal;
  // A difference of two estimates: it may come out below zero, which means none.
  return variance * variance * std::max(0.0, widening * widening * by_blocks - by_stretches);
}

}  // namespace wainscot
