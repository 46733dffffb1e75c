#include "io/convert/wall_angles.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace wainscot {
namespace {

/// Means of 1 / r around each beam; 0 where a beam has no return. They are sinusoids too, a little lower.
std::vector<double> mean_inverses(const std::vector<double>& ranges, std::size_t half) {
  std::vector<double> means(ranges.size(), 0.0);
  if (ranges.size() < 2 * half + 1) return means;
  for (std::size_t i = half; i + half < ranges.size(); ++i) {
    double sum = 0.0;
    bool whole = true;
    for (std::size_t k = i - half; k <= i + half; ++k) {
      whole = whole && ranges[k] > 0.0;
      sum += whole ? 1.0 / ranges[k] : 0.0;
    }
    if (whole) means[i] = sum / static_cast<double>(2 * half + 1);
  }
  return means;
}

/// Angles on a logarithmic scale, 1 % a bin, from 1 to 60 degrees.
class AngleCounts {
 public:
  void add(double angle_rad) {
    const double bin = std::log(angle_rad / kLeast) / kBin;
    if (bin >= 0.0 && bin < static_cast<double>(counts_.size())) counts_[static_cast<std::size_t>(bin)] += 1.0;
  }

  /// Where most lie, within about 3 %.
  double most_frequent() const {
    constexpr std::ptrdiff_t kHalf = 3;
    double best = 0.0, angle = 0.0;
    const auto size = std::ssize(counts_);
    for (std::ptrdiff_t i = kHalf; i + kHalf < size; ++i) {
      double count = 0.0, centre = 0.0;
      for (std::ptrdiff_t k = -kHalf; k <= kHalf; ++k) {
        const double weight = static_cast<double>(kHalf + 1 - std::abs(k)) * counts_[static_cast<std::size_t>(i + k)];
        count += weight;
        centre += weight * static_cast<double>(i + k);
      }
      if (count <= best) continue;
      best = count;
      angle = kLeast * std::exp(kBin * (centre / count + 0.5));
    }
    return angle;
  }

 private:
  static constexpr double kLeast = 0.0175;
  static constexpr double kBin = 0.01;
  std::array<double, 410> counts_{};
};

/// The same between ranges so many apart.
WallAngle angle_between(const std::vector<std::vector<double>>& turns, std::size_t apart) {
  constexpr std::size_t kFewestTriples = 200;
  WallAngle found;
  AngleCounts counts;
  for (const std::vector<double>& ranges : turns) {
    const std::vector<double> inverses = mean_inverses(ranges, apart / 3);
    for (std::size_t i = apart; i + apart < inverses.size(); ++i) {
      const double a = inverses[i - apart], b = inverses[i], c = inverses[i + apart];
      if (a <= 0.0 || b <= 0.0 || c <= 0.0) continue;
      const double cosine = 0.5 * (a + c) / b;
      ++found.triples;
      if (cosine < 1.0 && cosine > 0.5) counts.add(std::acos(cosine));
    }
  }
  if (found.triples >= kFewestTriples) found.step_rad = counts.most_frequent() / static_cast<double>(apart);
  return found;
}

}  // namespace

WallAngle angle_by_walls(const std::vector<std::vector<double>>& turns) {
  constexpr std::size_t kParts = 20;  // 18 degrees of a whole turn, 9 of half of one
  // The ranges' noise makes small angles larger: 7 % of 9 degrees, 1.5 % of 20 (developing seeds of
  // tests/bench/convert_guess). Further apart fewer walls hold all three.
  constexpr double kApartRad = 0.37;  // 21 degrees
  std::size_t beams = 0;
  for (const std::vector<double>& ranges : turns) beams = std::max(beams, ranges.size());
  const WallAngle first = angle_between(turns, std::max<std::size_t>(1, beams / kParts));
  if (first.step_rad <= 0.0) return first;
  const auto apart = static_cast<std::size_t>(std::lround(kApartRad / first.step_rad));
  return angle_between(turns, std::clamp<std::size_t>(apart, 1, beams / 3));
}

}  // namespace wainscot
