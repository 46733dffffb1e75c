#include "graph/motion/scan_noise.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "core/median.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

constexpr double kFirstOctaveM = 0.25;  // nearer, few lidars measure
constexpr std::size_t kOctaves = 8;     // up to 64 m
constexpr double kLeastM = 0.004;       // what matching adds in any case, since walls are not flat: across_variance()

/// What three neighbouring returns say.
struct Triple {
  double range_m = 0.0;
  double error_m = 0.0;  ///< of a return's range, were all three as noisy and nothing else wrong
};

bool is_echo(const Return& r, const LidarConstants& lidar) {
  return static_cast<double>(r.range_m) < lidar.max_range_m;
}

/// The usual angle between neighbouring returns.
double spacing_rad(const Scan& scan) {
  std::vector<double> spacings;
  for (std::size_t i = 1; i < scan.returns.size(); ++i) {
    spacings.push_back(std::abs(static_cast<double>(scan.returns[i].angle_rad - scan.returns[i - 1].angle_rad)));
  }
  return median(std::move(spacings));
}

void add_triples(const Scan& scan, const LidarConstants& lidar, std::vector<Triple>& triples) {
  constexpr double kNeighbours = 1.5;  // further apart, a return is missing between them
  const double most_rad = kNeighbours * spacing_rad(scan);
  for (std::size_t i = 2; i < scan.returns.size(); ++i) {
    const Return& first = scan.returns[i - 2];
    const Return& middle = scan.returns[i - 1];
    const Return& last = scan.returns[i];
    const auto a = static_cast<double>(middle.angle_rad - first.angle_rad);
    const auto b = static_cast<double>(last.angle_rad - middle.angle_rad);
    if (a == 0.0 || b == 0.0 || std::abs(a) > most_rad || std::abs(b) > most_rad) continue;
    if (!is_echo(first, lidar) || !is_echo(middle, lidar) || !is_echo(last, lidar)) continue;
    const auto range = static_cast<double>(middle.range_m);
    const double left = std::sin(b) / static_cast<double>(first.range_m) - std::sin(a + b) / range +
                        std::sin(a) / static_cast<double>(last.range_m);
    const double gain = std::hypot(std::sin(a), std::sin(b), std::sin(a + b));
    triples.push_back({range, std::abs(left) * range * range / gain});
  }
}

/// The step in which ranges are given: the usual difference of those that differ.
double range_step_m(const std::vector<Triple>& triples) {
  constexpr double kTenthOfMm = 1e4;  // a metre has so many: finer than any log's step
  std::vector<long> values;
  values.reserve(triples.size());
  for (const Triple& t : triples) values.push_back(std::lround(kTenthOfMm * t.range_m));
  std::sort(values.begin(), values.end());
  values.erase(std::unique(values.begin(), values.end()), values.end());
  std::vector<double> steps;
  for (std::size_t i = 1; i < values.size(); ++i) steps.push_back(static_cast<double>(values[i] - values[i - 1]));
  return median(std::move(steps)) / kTenthOfMm;
}

/// Standard deviation of normal errors by the smaller half of them.
double sd_by_smaller_half(std::vector<double> errors) {
  constexpr double kVarianceOfHalf = 0.1426;  // of a normal variable that is nearer to 0 than its quartiles
  const std::size_t half = errors.size() / 2;
  std::nth_element(errors.begin(), errors.begin() + static_cast<std::ptrdiff_t>(half), errors.end());
  double sum = 0.0;
  for (std::size_t i = 0; i < half; ++i) sum += errors[i] * errors[i];
  return std::sqrt(sum / (kVarianceOfHalf * static_cast<double>(half)));
}

/// near + per_m * range through noises of so many returns each, by their relative errors; neither is negative.
RangeNoise line_through(const std::vector<NoiseAtRange>& noises) {
  double w = 0.0;
  double wr = 0.0;
  double wrr = 0.0;
  double ws = 0.0;
  double wrs = 0.0;
  for (const NoiseAtRange& n : noises) {
    const double weight = n.share / std::max(n.sd_m * n.sd_m, kLeastM * kLeastM);
    w += weight;
    wr += weight * n.range_m;
    wrr += weight * n.range_m * n.range_m;
    ws += weight * n.sd_m;
    wrs += weight * n.range_m * n.sd_m;
  }
  const double determinant = w * wrr - wr * wr;
  double per_m = determinant > 0.0 ? (w * wrs - wr * ws) / determinant : 0.0;
  if (per_m < 0.0) per_m = 0.0;
  double near_m = (ws - per_m * wr) / w;
  if (near_m < kLeastM) {
    near_m = kLeastM;
    per_m = std::max(0.0, (wrs - near_m * wr) / wrr);
  }
  return {near_m, per_m};
}

}  // namespace

std::vector<NoiseAtRange> noise_by_scans(const std::vector<Scan>& scans, const LidarConstants& lidar) {
  constexpr std::size_t kEnoughScans = 400;    // a hundred thousand triples
  constexpr std::size_t kFewestTriples = 300;  // their noise is good to 6 per cent
  const double least_share_of_step = 1.0 / std::sqrt(12.0);
  std::vector<Triple> triples;
  const std::size_t stride = std::max<std::size_t>(1, scans.size() / kEnoughScans);
  for (std::size_t i = 0; i < scans.size(); i += stride) add_triples(scans[i], lidar, triples);
  const double least_m = least_share_of_step * range_step_m(triples);
  std::array<std::vector<double>, kOctaves> errors;
  std::array<std::vector<double>, kOctaves> ranges;
  for (const Triple& t : triples) {
    const double octave = std::floor(std::log2(t.range_m / kFirstOctaveM));
    if (octave < 0.0 || octave >= static_cast<double>(kOctaves)) continue;
    errors[static_cast<std::size_t>(octave)].push_back(t.error_m);
    ranges[static_cast<std::size_t>(octave)].push_back(t.range_m);
  }
  std::vector<NoiseAtRange> result;
  for (std::size_t k = 0; k < kOctaves; ++k) {
    const std::size_t count = errors[k].size();
    if (count < kFewestTriples) continue;
    result.push_back({median(std::move(ranges[k])), std::max(least_m, sd_by_smaller_half(std::move(errors[k]))),
                      static_cast<double>(count) / static_cast<double>(triples.size())});
  }
  return result;
}

std::optional<RangeNoise> believable_noise(const RangeNoise& stated, const std::vector<NoiseAtRange>& by_scans) {
  constexpr double kFactor = 3.0;           // as far as a data sheet may be off before it is doubted
  constexpr double kShareThatCounts = 0.1;  // a tenth of the returns: an octave that matching feels
  bool differ = false;
  std::vector<NoiseAtRange> means;
  for (const NoiseAtRange& n : by_scans) {
    const double said_m = std::max(stated.at(n.range_m), kLeastM);
    const double found_m = std::max(n.sd_m, kLeastM);
    const double ratio = std::max(said_m / found_m, found_m / said_m);
    differ = differ || (n.share >= kShareThatCounts && ratio > kFactor);
    means.push_back({n.range_m, std::sqrt(said_m * found_m), n.share});
  }
  if (!differ) return std::nullopt;
  return line_through(means);
}

Drive with_believable_noise(Drive drive) {
  const std::vector<NoiseAtRange> found = noise_by_scans(drive.scans, drive.robot.lidar);
  LidarConstants& lidar = drive.robot.lidar;
  const std::optional<RangeNoise> used = believable_noise(range_noise(lidar), found);
  if (!used) return drive;
  const RangeNoise by_scans = line_through(found);
  drive.warnings.push_back(
      sentence("ranges are noisy by %.0f mm + %.1f mm a metre as stated, but by %.0f mm + %.1f mm a metre by the scans "
               "themselves; what lies between is used: noise_m: %.4f and noise_per_m: %.4f under lidar in robot.yaml",
               1e3 * lidar.noise_m, 1e3 * lidar.noise_per_m, 1e3 * by_scans.near_m, 1e3 * by_scans.per_m, used->near_m,
               used->per_m));
  lidar.noise_m = used->near_m;
  lidar.noise_per_m = used->per_m;
  return drive;
}

}  // namespace wainscot
