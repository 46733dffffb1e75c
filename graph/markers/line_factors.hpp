#pragma once

// Lines on the floor in the pose graph and in the joint adjustment: at each node of a stretch that followed one, the
// robot's middle was on it, but for an error of the follower that neighbouring nodes share.
//
// That error is taken for noise that remembers itself along the way, with an autocorrelation exp(-way / L). Its
// spectrum is highest for the long waves that bend a map, 2 L variance (G. E. Uhlenbeck, L. S. Ornstein, "On the theory
// of the Brownian motion", Physical Review 36, 1930), and noise without memory of that density everywhere, which weighs
// a node by the way that it stands for, never claims more than the true one does: a metre of line is worth 1 / (2 L)
// measurements, however many nodes lie on it.
//
// Unknowns: how far to the left of its lines the robot really drives (the follower's mounting), and direction and
// offset of each line. A measured line's two places are measurements of it in the survey's frame, which the markers'
// unknowns hold (graph/markers/marker_factors); across the line only, so that lines hold the map's scale as far as they
// lie apart.

#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "graph/markers/factor_target.hpp"
#include "graph/markers/floor_line.hpp"
#include "graph/markers/line_agreement.hpp"
#include "graph/pose_graph.hpp"

namespace wainscot {

struct LineFactorOptions {
  double correlation_m = 0.5;       ///< of a follower: it steers back within its own length or two
  double tape_sd_m = 0.002;         ///< a tape is laid so straight (common practice, no source); all that follow it
  double tape_correlation_m = 1.0;  ///< share that error, which remembers itself so far
  double aside_sd_m = 0.005;        ///< of where the robot's middle is said to be
  double least_noise_m = 0.002;     ///< no follower is believed to be better, whatever the residuals say
  double robust_ratio = 3.0;        ///< of the Cauchy weight: root mean square of a stretch / its standard deviation
  double left_out_ratio = 5.0;      ///< stretches further off than this in the end are told as left out
};

class LineFactors {
 public:
  /// `evidence.stretches`: their nodes are those of the adjustment, at `poses`.
  LineFactors(LineEvidence evidence, const std::vector<Pose2>& poses, const LineFactorOptions& options = {});

  Eigen::Index unknowns() const;

  /// The lines in another frame, of which `new_old` is the pose of the present one.
  void bring_into(const Pose2& new_old);

  /// Adds all factors. `survey`: where measured lines are believed. Of the first two calls each finds the noise by the
  /// residuals: later the nodes follow the lines, whose residuals shrink by their own doing.
  void add_to(const FactorTarget& target, const std::vector<Pose2>& poses, const std::optional<SurveyUnknown>& survey);

  /// 0.5 * sum of the robust squares of all residuals, with the noise that add_to() used last.
  double cost(const std::vector<Pose2>& poses, const std::optional<SurveyUnknown>& survey) const;

  /// Moves the unknowns by their part of the solution.
  void move(const Eigen::VectorXd& step);

  /// The lines as they lie in the end. `covariance`: of the lines' own unknowns.
  MapLines account(const std::vector<Pose2>& poses, const Eigen::MatrixXd& covariance,
                   const std::optional<SurveyUnknown>& survey) const;

  /// The same for a pose graph, with the noise as stated; where the lines were measured is not in it.
  std::vector<NodesOnLine> graph_lines() const;

 private:
  struct UsedLine {
    std::size_t name = 0;  ///< its number in the evidence
    FloorLine line;
    double first_m = 0.0;  ///< it was followed from here, ahead of the anchor, to there
    double last_m = 0.0;
  };
  struct UsedStretch {
    std::size_t line = 0;          ///< its number among the lines used
    std::vector<double> shares_m;  ///< of the way, for each node
    std::vector<double> passes;    ///< how many stretches of this line go by there
  };
  /// What a stretch says in one state.
  struct Fit {
    std::vector<double> off_m;        ///< residuals, by node
    std::vector<double> information;  ///< before the robust weight, 1/m2
    double measurements = 1.0;        ///< independent ones that it is worth
    double chi_squared = 0.0;
    double per_measurement() const { return chi_squared / measurements; }
  };
  Fit fit_of_stretch(std::size_t stretch, const std::vector<Pose2>& poses) const;
  double noise_m(std::size_t stretch) const;
  double off_m(const UsedLine& line, const Pose2& pose) const;
  Eigen::Index column(std::size_t line) const { return 1 + 2 * static_cast<Eigen::Index>(line); }
  /// Distance of a line's measured place from it, to the left.
  double survey_off_m(const UsedLine& line, int end, const Pose2& frame) const;
  void renew_noise_ratio(const std::vector<Pose2>& poses);
  void add_stretch(std::size_t stretch, const FactorTarget& target, const std::vector<Pose2>& poses) const;
  void add_survey(std::size_t line, const FactorTarget& target, const SurveyUnknown& survey) const;
  MappedLine mapped(std::size_t line, const Eigen::MatrixXd& covariance) const;

  LineEvidence evidence_;
  LineFactorOptions options_;
  std::vector<UsedLine> lines_;
  std::vector<UsedStretch> used_;  ///< one for each of evidence_.stretches
  double aside_m_ = 0.0;           ///< the robot drives so far to the left of its lines
  double noise_ratio_ = 1.0;       ///< found / stated noise
  int renewals_left_ = 2;
};

/// The poses of the graph's nodes once the lines hold them too. `evidence.stretches`: with nodes of the graph.
std::vector<Pose2> poses_on_lines(PoseGraph graph, const LineEvidence& evidence);

}  // namespace wainscot
