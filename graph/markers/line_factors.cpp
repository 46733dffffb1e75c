#include "graph/markers/line_factors.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include <Eigen/Dense>

#include "core/median.hpp"
#include "core/square.hpp"
#include "graph/optimiser.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

/// The way that each node stands for: half of that to the node before and half of that to the one behind.
std::vector<double> way_shares_m(const std::vector<Eigen::Vector2d>& places) {
  std::vector<double> shares(places.size(), 0.0);
  for (std::size_t i = 1; i < places.size(); ++i) {
    const double half_m = 0.5 * (places[i] - places[i - 1]).norm();
    shares[i - 1] += half_m;
    shares[i] += half_m;
  }
  return shares;
}

Eigen::Vector2d measured_place(const MeasuredLine& line, int end) {
  return end == 0 ? Eigen::Vector2d(line.x1_m, line.y1_m) : Eigen::Vector2d(line.x2_m, line.y2_m);
}

using OneRow = Eigen::Matrix<double, 1, 1>;

}  // namespace

LineFactors::LineFactors(LineEvidence evidence, const std::vector<Pose2>& poses, const LineFactorOptions& options)
    : evidence_(std::move(evidence)), options_(options) {
  for (std::size_t name = 0; name < evidence_.names.size(); ++name) {
    std::vector<Eigen::Vector2d> places;
    for (const StretchNodes& stretch : evidence_.stretches) {
      if (stretch.line != name) continue;
      const std::vector<Eigen::Vector2d> more = places_of(stretch, poses);
      places.insert(places.end(), more.begin(), more.end());
    }
    if (places.size() < 2) continue;
    UsedLine used{name, line_through(places), 0.0, 0.0};
    for (const Eigen::Vector2d& place : places) {
      used.first_m = std::min(used.first_m, used.line.ahead_m(place));
      used.last_m = std::max(used.last_m, used.line.ahead_m(place));
    }
    lines_.push_back(used);
  }
  for (const StretchNodes& stretch : evidence_.stretches) {
    const auto line =
        std::find_if(lines_.begin(), lines_.end(), [&](const UsedLine& l) { return l.name == stretch.line; });
    const std::vector<Eigen::Vector2d> places = places_of(stretch, poses);
    UsedStretch used{static_cast<std::size_t>(line - lines_.begin()), way_shares_m(places), {}};
    for (const Eigen::Vector2d& place : places) {
      const auto passes_by = [&](const StretchNodes& other) {
        if (other.line != stretch.line) return false;
        const double begin_m = line->line.ahead_m(poses[other.nodes.front()].translation());
        const double end_m = line->line.ahead_m(poses[other.nodes.back()].translation());
        const double here_m = line->line.ahead_m(place);
        return here_m >= std::min(begin_m, end_m) && here_m <= std::max(begin_m, end_m);
      };
      const auto passes = std::count_if(evidence_.stretches.begin(), evidence_.stretches.end(), passes_by);
      used.passes.push_back(std::max(1.0, static_cast<double>(passes)));
    }
    used_.push_back(std::move(used));
  }
}

Eigen::Index LineFactors::unknowns() const { return lines_.empty() ? 0 : column(lines_.size()); }

void LineFactors::bring_into(const Pose2& new_old) {
  for (UsedLine& used : lines_) used.line = in_frame(new_old, used.line);
}

double LineFactors::noise_m(std::size_t stretch) const {
  return std::max(options_.least_noise_m, noise_ratio_ * evidence_.stretches[stretch].sd_m);
}

double LineFactors::off_m(const UsedLine& used, const Pose2& pose) const {
  return used.line.left_m(pose.translation()) - aside_m_ * std::cos(pose.heading_rad - used.line.direction_rad);
}

LineFactors::Fit LineFactors::fit_of_stretch(std::size_t stretch, const std::vector<Pose2>& poses) const {
  constexpr double kLeastShare_m = 1e-6;  // where the robot stood or turned, a node stands for no way of its own
  const UsedStretch& used = used_[stretch];
  const double variance = square(noise_m(stretch));
  const double density = 2.0 * options_.correlation_m * variance;
  const double tape_density = 2.0 * options_.tape_correlation_m * square(options_.tape_sd_m);
  Fit fit;
  double measurements = 0.0;
  for (std::size_t i = 0; i < used.shares_m.size(); ++i) {
    const double share_m = std::max(used.shares_m[i], kLeastShare_m);
    const double own = std::max(variance, (density + used.passes[i] * tape_density) / share_m);
    const double off = off_m(lines_[used.line], poses[evidence_.stretches[stretch].nodes[i]]);
    fit.off_m.push_back(off);
    fit.information.push_back(1.0 / own);
    fit.chi_squared += square(off) / own;
    measurements += variance / own;
  }
  fit.measurements = std::max(1.0, measurements);
  return fit;
}

/// By the median, which stretches on another line do not mislead.
void LineFactors::renew_noise_ratio(const std::vector<Pose2>& poses) {
  // A median of 20 is good to 1.25 / sqrt(20) of a standard deviation of what it is the median of, 20 to 30 %; by fewer
  // the noise stays as stated.
  constexpr std::size_t kEnough = 20;
  constexpr double kUnknownsOfLine = 2.0;  // which take their share of the noise
  // Of the freedom: below, a residual divided by what is left says nothing (chosen by hand).
  constexpr double kLeastLeft = 0.3;
  std::vector<double> measurements(lines_.size(), 0.0);
  std::vector<Fit> fits;
  for (std::size_t i = 0; i < used_.size(); ++i) {
    fits.push_back(fit_of_stretch(i, poses));
    measurements[used_[i].line] += fits.back().measurements;
  }
  std::vector<double> ratios;
  for (std::size_t i = 0; i < used_.size(); ++i) {
    const double left = std::max(kLeastLeft, 1.0 - kUnknownsOfLine / measurements[used_[i].line]);
    for (const double off : fits[i].off_m) {
      ratios.push_back(std::abs(off) / (evidence_.stretches[i].sd_m * std::sqrt(left)));
    }
  }
  if (ratios.size() >= kEnough) noise_ratio_ = median(std::move(ratios)) / kMedianOfNormal;
}

void LineFactors::add_to(const FactorTarget& target, const std::vector<Pose2>& poses,
                         const std::optional<SurveyUnknown>& survey) {
  if (lines_.empty()) return;
  if (renewals_left_ > 0) {
    --renewals_left_;
    renew_noise_ratio(poses);
  }
  constexpr double kFree = 1e-2;  // keeps the matrix regular where a line's stretches were left out of everything
  const Eigen::Index first = target.first_column;
  target.system.entry(first, first) += 1.0 / square(options_.aside_sd_m);
  target.system.right_side<1>(first)[0] -= aside_m_ / square(options_.aside_sd_m);
  for (Eigen::Index i = 1; i < unknowns(); ++i) target.system.entry(first + i, first + i) += kFree;
  for (std::size_t i = 0; i < used_.size(); ++i) add_stretch(i, target, poses);
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    if (survey && evidence_.measured[lines_[i].name]) add_survey(i, target, *survey);
  }
}

void LineFactors::add_stretch(std::size_t stretch, const FactorTarget& target, const std::vector<Pose2>& poses) const {
  const UsedLine& used = lines_[used_[stretch].line];
  const Fit fit = fit_of_stretch(stretch, poses);
  const double robust = cauchy_weight(fit.per_measurement(), options_.robust_ratio);
  for (std::size_t i = 0; i < fit.off_m.size(); ++i) {
    const std::size_t node = evidence_.stretches[stretch].nodes[i];
    const Pose2& pose = poses[node];
    const double turned = pose.heading_rad - used.line.direction_rad;
    const double by_turn = aside_m_ * std::sin(turned);
    Eigen::RowVector3d by_node;
    by_node << used.line.normal().transpose() * pose.rotation(), by_turn;
    const Eigen::RowVector2d by_line(-used.line.ahead_m(pose.translation()) - by_turn, -1.0);
    add_factor<1>(target, OneRow(fit.off_m[i]), OneRow(robust * fit.information[i]),
                  {{target.node_column(node), by_node},
                   {target.first_column, OneRow(-std::cos(turned))},
                   {target.first_column + column(used_[stretch].line), by_line}});
  }
}

double LineFactors::survey_off_m(const UsedLine& used, int end, const Pose2& frame) const {
  return used.line.left_m(frame * measured_place(*evidence_.measured[used.name], end));
}

void LineFactors::add_survey(std::size_t line, const FactorTarget& target, const SurveyUnknown& survey) const {
  const UsedLine& used = lines_[line];
  const double information = 1.0 / square(evidence_.survey_sd_m);
  for (const int end : {0, 1}) {
    const Eigen::Vector2d turned = survey.frame.rotation() * measured_place(*evidence_.measured[used.name], end);
    const Eigen::Vector2d normal = used.line.normal();
    const double off = survey_off_m(used, end, survey.frame);
    const Eigen::RowVector3d by_survey(normal.x(), normal.y(), normal.dot(Eigen::Vector2d(-turned.y(), turned.x())));
    const Eigen::RowVector2d by_line(-used.line.ahead_m(survey.frame.translation() + turned), -1.0);
    const double robust = cauchy_weight(information * square(off), options_.robust_ratio);
    add_factor<1>(target, OneRow(off), OneRow(robust * information),
                  {{survey.column, by_survey}, {target.first_column + column(line), by_line}});
  }
}

double LineFactors::cost(const std::vector<Pose2>& poses, const std::optional<SurveyUnknown>& survey) const {
  if (lines_.empty()) return 0.0;
  double sum = 0.5 * square(aside_m_ / options_.aside_sd_m);
  for (std::size_t i = 0; i < used_.size(); ++i) {
    const Fit fit = fit_of_stretch(i, poses);
    sum += fit.measurements * cauchy_cost(fit.per_measurement(), options_.robust_ratio);
  }
  for (const UsedLine& used : lines_) {
    if (!survey || !evidence_.measured[used.name]) continue;
    for (const int end : {0, 1}) {
      const double sds = survey_off_m(used, end, survey->frame) / evidence_.survey_sd_m;
      sum += cauchy_cost(square(sds), options_.robust_ratio);
    }
  }
  return sum;
}

void LineFactors::move(const Eigen::VectorXd& step) {
  if (lines_.empty()) return;
  aside_m_ += step[0];
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    FloorLine& line = lines_[i].line;
    line.anchor += step[column(i) + 1] * line.normal();
    line.direction_rad += step[column(i)];
  }
}

MappedLine LineFactors::mapped(std::size_t i, const Eigen::MatrixXd& covariance) const {
  const UsedLine& used = lines_[i];
  MappedLine line;
  line.name = evidence_.names[used.name];
  line.from_m = used.line.anchor + used.first_m * used.line.along();
  line.to_m = used.line.anchor + used.last_m * used.line.along();
  line.sd_rad = std::sqrt(covariance(column(i), column(i)));
  line.sd_m = std::sqrt(covariance(column(i) + 1, column(i) + 1));
  line.measured = evidence_.measured[used.name].has_value();
  return line;
}

MapLines LineFactors::account(const std::vector<Pose2>& poses, const Eigen::MatrixXd& covariance,
                              const std::optional<SurveyUnknown>& survey) const {
  MapLines result;
  result.left_out = evidence_.left_out;
  if (lines_.empty()) return result;
  std::vector<double> squares(lines_.size(), 0.0);
  std::vector<double> information(lines_.size(), 0.0);
  std::vector<std::size_t> nodes(lines_.size(), 0);
  for (std::size_t i = 0; i < lines_.size(); ++i) result.lines.push_back(mapped(i, covariance));
  double noise = 0.0;
  for (std::size_t i = 0; i < used_.size(); ++i) {
    const Fit fit = fit_of_stretch(i, poses);
    MappedLine& line = result.lines[used_[i].line];
    double sum = 0.0;
    for (const double off : fit.off_m) sum += square(off);
    if (fit.per_measurement() > square(options_.left_out_ratio)) {
      const StretchNodes& stretch = evidence_.stretches[i];
      result.left_out.push_back({stretch.stretch, stretch.from_s, stretch.to_s, line.name,
                                 sentence("%.3f m (root mean square) from the line in the finished map",
                                          std::sqrt(sum / static_cast<double>(fit.off_m.size())))});
      continue;
    }
    ++line.stretches;
    squares[used_[i].line] += sum;
    nodes[used_[i].line] += fit.off_m.size();
    for (std::size_t k = 0; k < fit.off_m.size(); ++k) {
      line.followed_m += used_[i].shares_m[k];
      information[used_[i].line] += fit.information[k];
    }
    noise = std::max(noise, noise_m(i));
  }
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    MappedLine& line = result.lines[i];
    if (nodes[i] > 0) line.residual_rms_m = std::sqrt(squares[i] / static_cast<double>(nodes[i]));
    if (!line.measured || !survey) continue;
    line.own_sd_m = std::sqrt(1.0 / std::max(information[i], 1e-12) + 0.5 * square(evidence_.survey_sd_m));
    const FloorLine there = measured_line(*evidence_.measured[lines_[i].name], survey->frame);
    line.survey_difference_m = std::max(std::abs(there.left_m(line.from_m)), std::abs(there.left_m(line.to_m)));
  }
  std::erase_if(result.lines, [](const MappedLine& line) { return line.stretches == 0; });
  std::sort(result.left_out.begin(), result.left_out.end(),
            [](const LeftOutStretch& a, const LeftOutStretch& b) { return a.stretch < b.stretch; });
  result.noise_m = noise;
  result.aside_m = aside_m_;
  result.aside_sd_m = std::sqrt(covariance(0, 0));
  return result;
}

std::vector<NodesOnLine> LineFactors::graph_lines() const {
  std::vector<NodesOnLine> result;
  for (const UsedLine& used : lines_) result.push_back({used.line.anchor, used.line.direction_rad, {}, {}});
  for (std::size_t i = 0; i < used_.size(); ++i) {
    NodesOnLine& line = result[used_[i].line];
    const std::vector<std::size_t>& nodes = evidence_.stretches[i].nodes;
    const double density = 2.0 * options_.correlation_m * square(noise_m(i));
    line.nodes.insert(line.nodes.end(), nodes.begin(), nodes.end());
    for (const double share_m : used_[i].shares_m) {
      line.information_per_m2.push_back(std::min(share_m / density, 1.0 / square(noise_m(i))));
    }
  }
  return result;
}

std::vector<Pose2> poses_on_lines(PoseGraph graph, const LineEvidence& evidence) {
  std::vector<Pose2> poses;
  for (const Node& node : graph.nodes) poses.push_back(node.pose);
  if (evidence.empty()) return poses;
  graph.lines = LineFactors(evidence, poses).graph_lines();
  optimise(graph);
  for (std::size_t i = 0; i < poses.size(); ++i) poses[i] = graph.nodes[i].pose;
  return poses;
}

}  // namespace wainscot
