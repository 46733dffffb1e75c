#include "apps/simulator/random.hpp"

#include <cmath>

namespace wainscot::simulator {

namespace {

// Sebastiano Vigna's splitmix64 (public domain, 2015): neighbouring seeds give unrelated states.
std::uint64_t splitmix64(std::uint64_t x) {
  x += 0x9e3779b97f4a7c15ULL;
  x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
  x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
  return x ^ (x >> 31);
}

// FNV-1a, 64 bit (Fowler, Noll, Vo).
std::uint64_t hash(std::string_view text) {
  std::uint64_t h = 0xcbf29ce484222325ULL;
  for (const char c : text) h = (h ^ static_cast<unsigned char>(c)) * 0x100000001b3ULL;
  return h;
}

}  // namespace

Random::Random(std::uint64_t seed, std::string_view stream) : engine_(splitmix64(splitmix64(seed) ^ hash(stream))) {}

double Random::uniform() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }

double Random::uniform(double from, double to) { return from + (to - from) * uniform(); }

double Random::normal() {
  for (;;) {
    const double u = uniform(-1.0, 1.0);
    const double v = uniform(-1.0, 1.0);
    const double s = u * u + v * v;
    if (s > 0.0 && s < 1.0) return u * std::sqrt(-2.0 * std::log(s) / s);
  }
}

double Random::student_t(double freedom) {
  for (;;) {
    const double u = uniform(-1.0, 1.0);
    const double v = uniform(-1.0, 1.0);
    const double w = u * u + v * v;
    if (w > 0.0 && w < 1.0) return u * std::sqrt(freedom * (std::pow(w, -2.0 / freedom) - 1.0) / w);
  }
}

bool Random::chance(double p) { return uniform() < p; }

int Random::below(int count) { return static_cast<int>(uniform() * count); }

CorrelatedNoise::CorrelatedNoise(Random random, double correlation_s)
    : random_(random), correlation_s_(correlation_s), value_(random_.normal()) {}

double CorrelatedNoise::next(double step_s) {
  const double keep = std::exp(-step_s / correlation_s_);
  value_ = keep * value_ + std::sqrt(1.0 - keep * keep) * random_.normal();
  return value_;
}

}  // namespace wainscot::simulator
