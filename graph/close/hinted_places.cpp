#include "graph/close/hinted_places.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Dense>

#include "graph/close/place.hpp"

namespace wainscot {
namespace {

Verified verify_hint(std::size_t from, std::size_t to, const Chain& chain) {
  // Chosen by hand: how near two scans are that a person calls "the same place", as a standard deviation. Half as much
  // loses hints whose scans are a metre apart; twice as much searches four times the area.
  constexpr double kSamePlaceM = 0.7;
  const Place earlier(chain.seen(), from);
  const Place later(chain.seen(), to);
  const Eigen::Matrix3d anyhow =
      Eigen::Vector3d(kSamePlaceM * kSamePlaceM, kSamePlaceM * kSamePlaceM, std::numbers::pi * std::numbers::pi)
          .asDiagonal();
  Verified found = verify_anywhere(earlier, later, Pose2{}, anyhow, chain.noise);
  if (found.fit != Fit::open) return found;
  // The walls leave a direction open, or the two nodes look different ways: near each other, then.
  constexpr double kTurnErrorRad = 0.1;
  Eigen::Matrix3d here = anyhow;
  here(2, 2) = kTurnErrorRad * kTurnErrorRad;
  VerificationOptions vouched;
  vouched.settled_by_walls = false;
  Verified best = found;
  for (const double turn : earlier.signature().turns_to(later.signature(), 4)) {
    Verified verified = verify(earlier, later, {0.0, 0.0, turn}, here, chain.noise, vouched);
    verified.information += here.inverse();
    if (verified.fit != Fit::fits) continue;
    if (best.fit != Fit::fits || verified.candidate.overlap > best.candidate.overlap) best = verified;
  }
  return best;
}

}  // namespace

std::size_t node_at(const std::vector<Keyframe>& keyframes, double time_s) {
  const auto after = std::lower_bound(keyframes.begin(), keyframes.end(), time_s,
                                      [](const Keyframe& a, double t) { return a.time_s < t; });
  if (after == keyframes.begin()) return 0;
  if (after == keyframes.end()) return keyframes.size() - 1;
  const auto i = static_cast<std::size_t>(after - keyframes.begin());
  return time_s - keyframes[i - 1].time_s < keyframes[i].time_s - time_s ? i - 1 : i;
}

ForbiddenPairs::ForbiddenPairs(const std::vector<Hint>& hints, const Chain& chain, double within_way_m)
    : ways_m_(chain.ways_m), within_way_m_(within_way_m) {
  for (const Hint& hint : hints) {
    if (hint.same_place) continue;
    apart_.push_back(
        {ways_m_[node_at(chain.keyframes, hint.time_1_s)], ways_m_[node_at(chain.keyframes, hint.time_2_s)]});
  }
}

bool ForbiddenPairs::contains(std::size_t from, std::size_t to) const {
  const auto beside = [this](std::size_t node, double way_m) {
    return std::abs(ways_m_[node] - way_m) <= within_way_m_;
  };
  return std::any_of(apart_.begin(), apart_.end(), [&](const std::array<double, 2>& ways_m) {
    return (beside(from, ways_m[0]) && beside(to, ways_m[1])) || (beside(from, ways_m[1]) && beside(to, ways_m[0]));
  });
}

std::vector<HintedPlace> verify_hints(const std::vector<Hint>& hints, const Chain& chain) {
  std::vector<HintedPlace> places;
  for (std::size_t h = 0; h < hints.size(); ++h) {
    if (!hints[h].same_place) continue;
    const std::size_t a = node_at(chain.keyframes, hints[h].time_1_s);
    const std::size_t b = node_at(chain.keyframes, hints[h].time_2_s);
    if (a == b) continue;
    places.push_back({h, verify_hint(std::min(a, b), std::max(a, b), chain)});
    places.back().verified.hinted = true;
  }
  return places;
}

}  // namespace wainscot
