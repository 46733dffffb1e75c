// Time of one match of a simulated scan against a local map, beside the two measures that it is held against: a nearest
// neighbour query of nanoflann among 5,000 points, and PCL's ICP of the same two scans where PCL is installed.

#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include <benchmark/benchmark.h>
#include <Eigen/Dense>
#include <nanoflann.hpp>

#ifdef WAINSCOT_WITH_PCL
#include <pcl/point_cloud.h>
#include <pcl/point_types.h>
#include <pcl/registration/icp.h>
#endif

#include "scanmatch/icp.hpp"
#include "tests/scanmatch/room.hpp"

namespace wainscot {
namespace {

const RangeNoise kNoise{0.015, 0.0};
const Pose2 kTruth{0.3, -0.2, 0.2};
const Pose2 kPredicted = kTruth * exp({0.05, -0.05, 0.03});

/// A simulated scan of 450 beams, noise 15 mm.
std::vector<ScanPoint> noisy_scan(const Pose2& pose, unsigned seed) {
  std::mt19937 random(seed);
  std::vector<ScanPoint> points = scan_points(furnished_room(), pose, {450, 8.0, 0.015}, &random);
  estimate_normals(points, kNoise);
  return points;
}

/// Argument: scans that made the local map.
void match_against_map(benchmark::State& state) {
  LineMap map;
  for (int node = 0; node < static_cast<int>(state.range(0)); ++node) {
    const Pose2 pose{0.04 * node, -0.03 * node, 0.02 * node};
    add_points(map, noisy_scan(pose, static_cast<unsigned>(node)), pose, kNoise, node);
  }
  const std::vector<ScanPoint> points = noisy_scan(kTruth, 1000);
  int iterations = 0;
  for (auto _ : state) {
    const IcpResult match = match_icp(points, map, kNoise, kPredicted, Eigen::Matrix3d::Zero());
    benchmark::DoNotOptimize(match);
    iterations = match.iterations;
  }
  state.counters["iterations"] = iterations;
  state.counters["lines"] = static_cast<double>(map.lines().size());
  state.counters["s_per_beam"] =
      benchmark::Counter(static_cast<double>(state.iterations()) * static_cast<double>(points.size()),
                         benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}
BENCHMARK(match_against_map)->Arg(1)->Arg(10)->Unit(benchmark::kMicrosecond);

/// The map made anew from one scan each time: the like of PCL's match, which builds its tree.
void make_map_and_match(benchmark::State& state) {
  const std::vector<ScanPoint> reference = noisy_scan({}, 1);
  const std::vector<ScanPoint> points = noisy_scan(kTruth, 1000);
  for (auto _ : state) {
    LineMap map;
    add_points(map, reference, {}, kNoise, 1);
    benchmark::DoNotOptimize(match_icp(points, map, kNoise, kPredicted, Eigen::Matrix3d::Zero()));
  }
}
BENCHMARK(make_map_and_match)->Unit(benchmark::kMicrosecond);

void normals_of_a_scan(benchmark::State& state) {
  std::vector<ScanPoint> points = noisy_scan(kTruth, 1000);
  for (auto _ : state) {
    estimate_normals(points, kNoise);
    benchmark::DoNotOptimize(points.data());
  }
}
BENCHMARK(normals_of_a_scan)->Unit(benchmark::kMicrosecond);

struct Points {
  std::vector<Eigen::Vector2d> all;
  std::size_t kdtree_get_point_count() const { return all.size(); }
  double kdtree_get_pt(std::size_t i, std::size_t axis) const { return all[i](static_cast<Eigen::Index>(axis)); }
  template <typename Box>
  bool kdtree_get_bbox(Box& /*box*/) const {
    return false;
  }
};

/// One query: the unit that the cost of a whole build is counted in.
void nanoflann_query(benchmark::State& state) {
  Points points;
  for (unsigned seed = 0; points.all.size() < 5000; ++seed) {
    const Pose2 pose{0.02 * seed, -0.01 * seed, 0.03 * seed};
    for (const ScanPoint& p : noisy_scan(pose, seed)) {
      if (points.all.size() < 5000) points.all.push_back(pose * Eigen::Vector2d(p.x_m, p.y_m));
    }
  }
  using Tree = nanoflann::KDTreeSingleIndexAdaptor<nanoflann::L2_Simple_Adaptor<double, Points>, Points, 2>;
  Tree tree(2, points, nanoflann::KDTreeSingleIndexAdaptorParams(10));
  tree.buildIndex();
  std::vector<Eigen::Vector2d> queries;
  for (const ScanPoint& p : noisy_scan(kTruth, 1000)) queries.push_back(kPredicted * Eigen::Vector2d(p.x_m, p.y_m));
  std::size_t i = 0;
  for (auto _ : state) {
    std::uint32_t index = 0;
    double squared = 0.0;
    tree.knnSearch(queries[i].data(), 1, &index, &squared);
    benchmark::DoNotOptimize(index);
    i = i + 1 < queries.size() ? i + 1 : 0;
  }
}
BENCHMARK(nanoflann_query)->Unit(benchmark::kMicrosecond);

#ifdef WAINSCOT_WITH_PCL
using Cloud = pcl::PointCloud<pcl::PointNormal>;

Cloud::Ptr cloud_of(const std::vector<ScanPoint>& points, const Pose2& pose) {
  Cloud::Ptr cloud(new Cloud);
  for (const ScanPoint& p : points) {
    if (!p.has_normal()) continue;
    const Eigen::Vector2d end = pose * Eigen::Vector2d(p.x_m, p.y_m);
    const Eigen::Vector2d normal = pose.rotation() * Eigen::Vector2d(p.normal_x, p.normal_y);
    pcl::PointNormal q;
    q.x = static_cast<float>(end.x());
    q.y = static_cast<float>(end.y());
    q.z = 0.0F;
    q.normal_x = static_cast<float>(normal.x());
    q.normal_y = static_cast<float>(normal.y());
    q.normal_z = 0.0F;
    cloud->push_back(q);
  }
  // Point to plane needs something that holds the three directions out of the plane.
  for (const float corner : {-5.0F, 5.0F}) {
    for (const float other : {-5.0F, 5.0F}) {
      pcl::PointNormal q;
      q.x = corner;
      q.y = other;
      q.z = q.normal_x = q.normal_y = 0.0F;
      q.normal_z = 1.0F;
      cloud->push_back(q);
    }
  }
  return cloud;
}

/// The same two scans, tree-building included, equal stopping and pair distance. Compare with make_map_and_match.
void pcl_match(benchmark::State& state) {
  const Cloud::Ptr target = cloud_of(noisy_scan({}, 1), {});
  const Cloud::Ptr source = cloud_of(noisy_scan(kTruth, 1000), kPredicted);
  const IcpOptions ours;
  for (auto _ : state) {
    pcl::IterativeClosestPointWithNormals<pcl::PointNormal, pcl::PointNormal> icp;
    icp.setInputSource(source);
    icp.setInputTarget(target);
    icp.setMaxCorrespondenceDistance(ours.first_gate_m);
    icp.setMaximumIterations(ours.max_iterations);
    icp.setTransformationEpsilon(ours.stop_m * ours.stop_m);
    icp.setTransformationRotationEpsilon(std::cos(ours.stop_rad));
    Cloud aligned;
    icp.align(aligned);
    benchmark::DoNotOptimize(icp.getFinalTransformation());
  }
}
BENCHMARK(pcl_match)->Unit(benchmark::kMicrosecond);
#endif

}  // namespace
}  // namespace wainscot
