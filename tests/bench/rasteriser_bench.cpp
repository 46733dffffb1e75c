// Time to draw scans into a grid, a beam at a time.

#include "core/rasteriser.hpp"

#include <cmath>
#include <numbers>
#include <vector>

#include <benchmark/benchmark.h>

namespace wainscot {
namespace {

/// One turn of `beams` beams, all `range_m` long.
std::vector<RasterBeam> turn(int beams, double range_m) {
  std::vector<RasterBeam> scan;
  for (int i = 0; i < beams; ++i) {
    const double angle = 2.0 * std::numbers::pi * (i + 0.3) / beams;
    scan.push_back({0.012F, 0.021F, static_cast<float>(0.012 + range_m * std::cos(angle)),
                    static_cast<float>(0.021 + range_m * std::sin(angle)), true, 1.0F});
  }
  return scan;
}

/// Arguments: range in metres, cell size in millimetres.
void draw_scans(benchmark::State& state) {
  const double cell_size_m = 0.001 * static_cast<double>(state.range(1));
  const std::vector<RasterBeam> scan = turn(450, static_cast<double>(state.range(0)));
  Rasteriser rasteriser(frame_around({Eigen::Vector2d(-10.0, -10.0), Eigen::Vector2d(10.0, 10.0)}, cell_size_m, 0.0));
  int number = 0;
  for (auto _ : state) {
    rasteriser.add_scan(scan, number / 20);
    ++number;
  }
  state.counters["s_per_beam"] = benchmark::Counter(static_cast<double>(state.iterations()) * 450.0,
                                                    benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}
BENCHMARK(draw_scans)->Args({2, 50})->Args({4, 50})->Args({8, 50})->Args({4, 20})->Args({4, 10});

}  // namespace
}  // namespace wainscot
