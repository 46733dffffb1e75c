#include "scanmatch/match_numbers.hpp"

#include <cstdint>
#include <utility>

namespace wainscot {
namespace {

class Writer {
 public:
  void add(double value) { numbers_.push_back(value); }
  void add(const Pose2& pose) { add(pose.x_m), add(pose.y_m), add(pose.heading_rad); }
  void add(const Eigen::Vector2d& v) { add(v.x()), add(v.y()); }
  void add(const Eigen::Matrix3d& m) {
    for (int row = 0; row < 3; ++row) {
      for (int column = 0; column < 3; ++column) add(m(row, column));
    }
  }
  std::vector<double> take() { return std::move(numbers_); }

 private:
  std::vector<double> numbers_;
};

/// Takes the numbers in the order in which they were written; there are enough, `problem_of` has counted.
class Reader {
 public:
  explicit Reader(std::span<const double> numbers) : numbers_(numbers) {}

  double next() { return numbers_[at_++]; }
  float next_float() { return static_cast<float>(next()); }
  int next_int() { return static_cast<int>(next()); }
  Eigen::Vector2d next_vector() {
    const double x = next();
    return {x, next()};
  }
  Pose2 next_pose() {
    const Eigen::Vector2d place = next_vector();
    return {place.x(), place.y(), next()};
  }
  Eigen::Matrix3d next_matrix() {
    Eigen::Matrix3d m;
    for (int row = 0; row < 3; ++row) {
      for (int column = 0; column < 3; ++column) m(row, column) = next();
    }
    return m;
  }

 private:
  std::span<const double> numbers_;
  std::size_t at_ = 0;
};

void add(Writer& writer, const IcpOptions& options) {
  writer.add(options.max_iterations);
  writer.add(options.first_gate_m);
  writer.add(options.last_gate_m);
  writer.add(options.robust_scale_m);
  writer.add(options.gate_in_sd);
  writer.add(options.robust_in_sd);
  writer.add(options.line_error_m);
  writer.add(options.stop_m);
  writer.add(options.stop_rad);
  writer.add(options.renew_m);
  writer.add(options.oldest_node);
}

IcpOptions next_options(Reader& reader) {
  IcpOptions options;
  options.max_iterations = reader.next_int();
  options.first_gate_m = reader.next();
  options.last_gate_m = reader.next();
  options.robust_scale_m = reader.next();
  options.gate_in_sd = reader.next();
  options.robust_in_sd = reader.next();
  options.line_error_m = reader.next();
  options.stop_m = reader.next();
  options.stop_rad = reader.next();
  options.renew_m = reader.next();
  options.oldest_node = reader.next_int();
  return options;
}

void add(Writer& writer, const ScanPoint& p) {
  for (const float value : {p.x_m, p.y_m, p.beam_x, p.beam_y, p.range_m, p.normal_x, p.normal_y}) {
    writer.add(static_cast<double>(value));
  }
}

ScanPoint next_point(Reader& reader) {
  ScanPoint p{};
  for (float* value : {&p.x_m, &p.y_m, &p.beam_x, &p.beam_y, &p.range_m, &p.normal_x, &p.normal_y}) {
    *value = reader.next_float();
  }
  return p;
}

void add(Writer& writer, const Line& line) {
  writer.add(line.anchor);
  writer.add(line.normal);
  writer.add(line.fitted_normal);
  writer.add(line.fitted_offset_m);
  writer.add(line.first_along_m);
  writer.add(line.last_along_m);
  writer.add(line.last_node);
  writer.add(line.slope_variance);
  writer.add(line.range_bias_m);
  writer.add(line.half_length_m);
}

Line next_line(Reader& reader) {
  Line line;
  line.anchor = reader.next_vector();
  line.normal = reader.next_vector();
  line.fitted_normal = reader.next_vector();
  line.fitted_offset_m = reader.next();
  line.first_along_m = reader.next();
  line.last_along_m = reader.next();
  line.last_node = reader.next_int();
  line.slope_variance = reader.next();
  line.range_bias_m = reader.next();
  line.half_length_m = reader.next();
  return line;
}

bool has_right_size(std::span<const double> numbers) {
  if (numbers.size() < kProblemHeader || !(numbers[0] >= 0.0) || !(numbers[1] >= 0.0)) return false;
  return static_cast<double>(numbers.size()) == static_cast<double>(kProblemHeader) +
                                                    numbers[0] * static_cast<double>(kPointNumbers) +
                                                    numbers[1] * static_cast<double>(kLineNumbers);
}

}  // namespace

std::vector<double> numbers_of(const MatchProblem& problem) {
  Writer writer;
  writer.add(static_cast<double>(problem.points.size()));
  writer.add(static_cast<double>(problem.map.lines().size()));
  writer.add(problem.predicted);
  writer.add(problem.prior);
  writer.add(problem.noise.near_m);
  writer.add(problem.noise.per_m);
  add(writer, problem.options);
  for (const ScanPoint& point : problem.points) add(writer, point);
  for (const Line& line : problem.map.lines()) add(writer, line);
  return writer.take();
}

std::optional<MatchProblem> problem_of(std::span<const double> numbers) {
  if (!has_right_size(numbers)) return std::nullopt;
  Reader reader(numbers);
  const auto points = static_cast<std::size_t>(reader.next());
  const auto lines = static_cast<std::size_t>(reader.next());
  MatchProblem problem;
  problem.predicted = reader.next_pose();
  problem.prior = reader.next_matrix();
  problem.noise.near_m = reader.next();
  problem.noise.per_m = reader.next();
  problem.options = next_options(reader);
  for (std::size_t i = 0; i < points; ++i) problem.points.push_back(next_point(reader));
  std::vector<Line> all;
  for (std::size_t i = 0; i < lines; ++i) all.push_back(next_line(reader));
  problem.map = LineMap(std::move(all));
  return problem;
}

std::vector<double> numbers_of(const TracedMatch& traced) {
  Writer writer;
  writer.add(static_cast<double>(traced.iterations.size()));
  writer.add(traced.result.pose);
  writer.add(traced.result.information);
  writer.add(traced.result.overlap);
  writer.add(traced.result.residual_rms_m);
  writer.add(traced.result.pairs);
  writer.add(traced.result.converged ? 1.0 : 0.0);
  for (const IcpIteration& iteration : traced.iterations) {
    writer.add(iteration.pose);
    writer.add(iteration.gate_m);
    writer.add(iteration.residual_rms_m);
    for (int i = 0; i < 3; ++i) writer.add(iteration.step[i]);
    writer.add(static_cast<double>(iteration.pairs.size()));
    for (const TracedPair& pair : iteration.pairs) {
      writer.add(static_cast<double>(pair.point));
      writer.add(pair.line);
      writer.add(pair.distance_m);
      writer.add(pair.weight);
    }
  }
  return writer.take();
}

}  // namespace wainscot
