#include "graph/close/signature.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numbers>
#include <utility>

#include "core/cross.hpp"

namespace wainscot {
namespace {

constexpr double kTwoPi = 2.0 * std::numbers::pi;
// Chosen by hand: the longest view of most rooms. Half as much leaves halls with few pairs; twice as much has bins
// twice as wide, in which rooms look more alike.
constexpr double kReachM = 10.0;

/// Adds one, shared between the two bins of a ring that are nearest to `place` (in bins).
template <typename Add>
void share_in_ring(double place, int bins, const Add& add) {
  const double lower = std::floor(place - 0.5);
  const double part = place - 0.5 - lower;
  const int bin = (static_cast<int>(lower) % bins + bins) % bins;
  add(bin, 1.0 - part);
  add((bin + 1) % bins, part);
}

}  // namespace

Signature::Signature(const std::vector<WallElement>& elements) {
  std::vector<WallElement> near;
  std::copy_if(elements.begin(), elements.end(), std::back_inserter(near),
               [](const WallElement& e) { return e.middle_m.norm() < kReachM; });
  double sum = 0.0;
  for (std::size_t i = 0; i < near.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) sum += add_pair(near[i], near[j]) ? 2.0 : 0.0;
    const double direction = std::atan2(near[i].normal.y(), near[i].normal.x());
    share_in_ring((direction / kTwoPi + 0.5) * kDirections, kDirections, [&](int bin, double part) {
      directions_[static_cast<std::size_t>(bin)] += static_cast<float>(part);
    });
  }
  if (sum == 0.0) return;
  for (float& root : roots_) root = static_cast<float>(std::sqrt(static_cast<double>(root) / sum));
}

bool Signature::add_pair(const WallElement& a, const WallElement& b) {
  const Eigen::Vector2d way = b.middle_m - a.middle_m;
  const double distance = way.norm();
  if (distance < 0.5 || distance >= kReachM) return false;
  const int ring = static_cast<int>(distance / kReachM * kDistances);
  const double angle_a = std::atan2(cross(way, a.normal), way.dot(a.normal));
  const double angle_b = std::atan2(cross(-way, b.normal), -way.dot(b.normal));
  share_in_ring((angle_a / kTwoPi + 0.5) * kAngles, kAngles, [&](int bin_a, double part_a) {
    share_in_ring((angle_b / kTwoPi + 0.5) * kAngles, kAngles, [&](int bin_b, double part_b) {
      const auto forth = static_cast<std::size_t>((ring * kAngles + bin_a) * kAngles + bin_b);
      const auto back = static_cast<std::size_t>((ring * kAngles + bin_b) * kAngles + bin_a);
      roots_[forth] += static_cast<float>(part_a * part_b);
      roots_[back] += static_cast<float>(part_a * part_b);
    });
  });
  return true;
}

double Signature::likeness(const Signature& other) const {
  float sum = 0.0F;
  for (std::size_t i = 0; i < roots_.size(); ++i) sum += roots_[i] * other.roots_[i];
  return static_cast<double>(sum);
}

std::vector<double> Signature::turns_to(const Signature& other, std::size_t most) const {
  std::array<float, static_cast<std::size_t>(kDirections)> fits{};
  // A wall that the other place sees in direction d stands here in direction d + turn; neighbours count half.
  for (std::size_t turn = 0; turn < fits.size(); ++turn) {
    for (std::size_t d = 0; d < fits.size(); ++d) {
      const std::size_t here = (d + turn) % fits.size();
      const std::size_t before = (here + fits.size() - 1) % fits.size();
      const std::size_t after = (here + 1) % fits.size();
      fits[turn] += other.directions_[d] * (directions_[here] + 0.5F * (directions_[before] + directions_[after]));
    }
  }
  std::vector<std::pair<float, std::size_t>> peaks;
  for (std::size_t turn = 0; turn < fits.size(); ++turn) {
    const float before = fits[(turn + fits.size() - 1) % fits.size()];
    const float after = fits[(turn + 1) % fits.size()];
    if (fits[turn] > before && fits[turn] >= after) peaks.emplace_back(-fits[turn], turn);
  }
  std::sort(peaks.begin(), peaks.end());
  std::vector<double> turns;
  for (const auto& [negative_fit, turn] : peaks) {
    if (turns.size() == most || 3.0F * negative_fit > peaks.front().first) break;
    const double angle = static_cast<double>(turn) / kDirections * kTwoPi;
    turns.push_back(angle > std::numbers::pi ? angle - kTwoPi : angle);
  }
  return turns;
}

}  // namespace wainscot
