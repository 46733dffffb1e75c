// Speed of the graph's stages: the optimiser, the joint adjustment and the factors of its equations, dense and sparse,
// and the whole build of the demonstration's drive.
//
//   build/tests/bench/graph_bench        (from the checkout's top folder, where data/demo/drive is)

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <random>
#include <type_traits>
#include <vector>

#include <benchmark/benchmark.h>

#include "graph/adjust/joint_adjustment.hpp"
#include "graph/close/loop_closure.hpp"
#include "graph/mapping/mapper.hpp"
#include "graph/normal_system.hpp"
#include "graph/optimiser.hpp"
#include "graph/track/keyframes.hpp"
#include "io/log/drive_reader.hpp"

namespace wainscot {
namespace {

const Drive& demo() {
  static const Drive drive = read_drive("data/demo/drive");
  return drive;
}

/// A chain of `count` noisy steps around a ring, with a closure to the round before at every third node.
PoseGraph ring_graph(std::size_t count) {
  constexpr std::size_t kRound = 100;
  std::mt19937 random(1);
  std::normal_distribution<double> normal;
  const auto noisy = [&](const Pose2& pose) {
    const double x = 0.01 * normal(random);
    const double y = 0.01 * normal(random);
    return pose * exp({x, y, 0.005 * normal(random)});
  };
  const Eigen::Matrix3d information = Eigen::Vector3d(1e4, 1e4, 4e4).asDiagonal();
  PoseGraph graph;
  std::vector<Pose2> truth{{}};
  graph.nodes.resize(count);
  for (std::size_t i = 1; i < count; ++i) {
    truth.push_back(truth.back() * exp({0.3, 0.0, 6.283185307179586 / kRound}));
    graph.edges.push_back({EdgeKind::match, i - 1, i, noisy(between(truth[i - 1], truth[i])), information});
    graph.nodes[i].pose = graph.nodes[i - 1].pose * graph.edges.back().relative;
  }
  for (std::size_t i = kRound; i < count; i += 3) {
    graph.edges.push_back({EdgeKind::closure, i - kRound, i, noisy(between(truth[i - kRound], truth[i])), information});
  }
  return graph;
}

void optimise_graph(benchmark::State& state) {
  const PoseGraph start = ring_graph(static_cast<std::size_t>(state.range(0)));
  for (auto _ : state) {
    PoseGraph graph = start;
    benchmark::DoNotOptimize(optimise(graph));
  }
}
BENCHMARK(optimise_graph)->Arg(500)->Arg(2000)->Unit(benchmark::kMillisecond);

/// Nodes along a corridor, each with walls in common with those up to `reach` away, and 14 constants on which all
/// depend. Diagonally dominant.
NormalSystem corridor_system(Eigen::Index nodes, Eigen::Index reach) {
  constexpr Eigen::Index kConstantsAtEnd = 14;
  std::mt19937 random(1);
  std::uniform_real_distribution<double> small(-1.0, 1.0);
  const auto draw = [&] { return small(random); };
  const Eigen::Index constants = 3 * nodes;
  NormalSystem system(constants + kConstantsAtEnd);
  for (Eigen::Index i = 0; i < nodes; ++i) {
    for (Eigen::Index j = std::max<Eigen::Index>(i - reach, 0); j < i; ++j) {
      system.add(3 * i, 3 * j, Eigen::Matrix3d::NullaryExpr(draw));
    }
    system.add(constants, 3 * i, Eigen::Matrix<double, kConstantsAtEnd, 3>::NullaryExpr(draw));
  }
  for (Eigen::Index i = 0; i < system.size(); ++i) system.entry(i, i) += 4.0 * static_cast<double>(system.size());
  return system;
}

/// Arguments: nodes, reach. The factor and all nodes' covariances.
template <typename Factor>
void factorise(benchmark::State& state) {
  const NormalSystem system = corridor_system(state.range(0), state.range(1));
  for (auto _ : state) {
    if constexpr (std::is_same_v<Factor, SparseFactor>) {
      Factor factor(system.sparse());
      benchmark::DoNotOptimize(factor.factorise(0.0));
      benchmark::DoNotOptimize(factor.covariances_of_three(static_cast<std::size_t>(state.range(0))));
    } else {
      Factor factor(system.dense());
      benchmark::DoNotOptimize(factor.factorise(0.0));
      benchmark::DoNotOptimize(factor.covariances_of_three(static_cast<std::size_t>(state.range(0))));
    }
  }
  state.counters["filled"] = system.share_filled();
  state.counters["chosen_sparse"] = NormalFactor(system).is_sparse() ? 1.0 : 0.0;
}
void corridors(benchmark::internal::Benchmark* bench) {
  for (const int reach : {20, 50, 100, 150, 300}) bench->Args({300, reach});
  for (const int reach : {20, 50, 200, 500}) bench->Args({1000, reach});
  bench->Unit(benchmark::kMillisecond);
}
BENCHMARK_TEMPLATE(factorise, DenseFactor)->Apply(corridors);
BENCHMARK_TEMPLATE(factorise, SparseFactor)->Apply(corridors);

void adjust_demo_jointly(benchmark::State& state) {
  const std::vector<OdometryStep> steps = odometry_steps(demo());
  std::vector<std::size_t> scans;
  for (std::size_t i = 0; i < demo().scans.size(); ++i) {
    const Scan& scan = demo().scans[i];
    if (scan.time_s >= steps.front().begin_s && scan.time_s + 0.5 < steps.back().end_s) scans.push_back(i);
  }
  const TrackedPath tracked = track_keyframes(demo(), scans, steps, {}, {});
  const LidarConstants& lidar = demo().robot.lidar;
  const ClosedGraph closed = close_loops(tracked, {lidar.noise_m, lidar.noise_per_m}, {}, 1, {});
  std::vector<Pose2> poses;
  for (const Node& node : closed.graph.nodes) poses.push_back(node.pose);
  for (auto _ : state) {
    benchmark::DoNotOptimize(adjust_jointly(demo(), steps, tracked.keyframes, poses, {}, 1, {}));
  }
  state.counters["nodes"] = static_cast<double>(poses.size());
}
BENCHMARK(adjust_demo_jointly)->Unit(benchmark::kMillisecond);

void build_demo(benchmark::State& state) {
  MapperOptions options;
  options.threads = static_cast<int>(state.range(0));
  double recorded_s = 0.0;
  for (auto _ : state) {
    const Map map = build_map(demo(), options);
    recorded_s += map.quality.duration_s;
  }
  state.counters["recorded_per_s"] = benchmark::Counter(recorded_s, benchmark::Counter::kIsRate);
}
BENCHMARK(build_demo)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime()->MeasureProcessCPUTime();

}  // namespace
}  // namespace wainscot
