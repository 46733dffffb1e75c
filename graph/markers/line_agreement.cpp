#include "graph/markers/line_agreement.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "core/square.hpp"
#include "graph/markers/survey_frame.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

/// A stretch whose way is straight, as the graph has it.
struct StraightStretch {
  StretchNodes nodes;
  FollowedLine as_line;
  double length_m = 0.0;
};

/// The stretches that name one line.
struct NamedLine {
  std::vector<StraightStretch> all;
  std::vector<bool> agree;  ///< of each: it lies on the line on which most of the way lies; all false: no two agree

  std::vector<std::size_t> agreeing() const {
    std::vector<std::size_t> list;
    for (std::size_t i = 0; i < all.size(); ++i) {
      if (agree[i]) list.push_back(i);
    }
    return list;
  }
  double length_of(const std::vector<std::size_t>& list) const {
    double sum = 0.0;
    for (const std::size_t i : list) sum += all[i].length_m;
    return sum;
  }
};

FollowedLine as_followed(const std::vector<Eigen::Vector2d>& places, double sd_m, std::size_t node,
                         const LineAgreementOptions& options) {
  FollowedLine followed;
  followed.line = line_through(places);
  for (const Eigen::Vector2d& place : places) {
    followed.first_m = std::min(followed.first_m, followed.line.ahead_m(place));
    followed.last_m = std::max(followed.last_m, followed.line.ahead_m(place));
  }
  // So many independent measurements of the line's place as correlation lengths fit into it, two at least; those at its
  // two ends tell the direction.
  const double length_m = std::max(followed.last_m - followed.first_m, options.least_length_m);
  followed.sd_m = sd_m / std::sqrt(std::max(2.0, 0.5 * length_m / options.correlation_m));
  followed.sd_rad = 2.0 * sd_m / length_m;
  followed.node = node;
  return followed;
}

class LinesAgreement {
 public:
  LinesAgreement(const Drive& drive, const PoseGraph& graph, const LineAgreementOptions& options)
      : drive_(drive), options_(options), tree_(graph) {
    for (const Node& node : graph.nodes) {
      poses_.push_back(node.pose);
      times_s_.push_back(node.time_s);
    }
    evidence_.names = line_names(drive);
    if (evidence_.names.size() > options.most_lines) evidence_.names.resize(options.most_lines);
    evidence_.measured.resize(evidence_.names.size());
    evidence_.survey_sd_m = options.places.survey_sd_m;
    lines_.resize(evidence_.names.size());
  }

  LineEvidence found(const std::optional<Pose2>& by_markers) {
    for (StretchNodes& stretch : nodes_of_stretches(drive_, times_s_)) take_straight(std::move(stretch));
    for (NamedLine& line : lines_) find_agreeing(line);
    evidence_.map_from_survey = by_markers ? by_markers : frame_of_lines();
    for (std::size_t i = 0; i < lines_.size(); ++i) believe(i);
    const auto in_order = [](const auto& a, const auto& b) { return a.stretch < b.stretch; };
    std::sort(evidence_.stretches.begin(), evidence_.stretches.end(), in_order);
    std::sort(evidence_.left_out.begin(), evidence_.left_out.end(), in_order);
    return std::move(evidence_);
  }

 private:
  void leave_out(std::size_t stretch, std::string reason) {
    const FollowedStretch& row = drive_.followed[stretch];
    evidence_.left_out.push_back({stretch, row.from_s, row.to_s, row.line, std::move(reason)});
  }

  void take_straight(StretchNodes stretch) {
    if (stretch.line >= lines_.size()) {
      return leave_out(stretch.stretch, sentence("more than %zu different lines", lines_.size()));
    }
    if (stretch.nodes.size() < 2) {
      return leave_out(stretch.stretch, "fewer than two scans of the map's graph were taken in this time");
    }
    const std::vector<Eigen::Vector2d> places = places_of(stretch, poses_);
    const std::size_t node = stretch.nodes[stretch.nodes.size() / 2];
    StraightStretch straight{stretch, as_followed(places, stretch.sd_m, node, options_), 0.0};
    straight.length_m = straight.as_line.last_m - straight.as_line.first_m;
    if (straight.length_m < options_.least_length_m) {
      return leave_out(stretch.stretch, sentence("the robot went no further than %.2f m in this time, which tells no "
                                                 "direction",
                                                 straight.length_m));
    }
    double farthest_m = 0.0;
    for (const Eigen::Vector2d& place : places) {
      farthest_m = std::max(farthest_m, std::abs(straight.as_line.line.left_m(place)));
    }
    if (farthest_m > options_.places.sds * stretch.sd_m + options_.places.bend_m) {
      return leave_out(
          stretch.stretch,
          sentence("by the walls the robot's way was not straight, but left a line by %.2f m: other times, "
                   "or it was not on a line",
                   farthest_m));
    }
    lines_[stretch.line].all.push_back(std::move(straight));
  }

  /// How far the ends of `other` are from the line that `one` lies on, and whether the two may be one line.
  LineFit fit(const StraightStretch& one, const StraightStretch& other,
              const std::vector<Eigen::Matrix3d>& covariances) const {
    const Eigen::Matrix3d& drift = covariances[other.nodes.nodes[other.nodes.nodes.size() / 2]];
    const FollowedLine& line = one.as_line;
    const double away_m = (other.as_line.line.anchor - line.line.anchor).norm();
    FollowedLine doubtful = other.as_line;
    doubtful.sd_m = std::sqrt(square(doubtful.sd_m) + square(line.sd_m) + square(line.sd_rad * away_m));
    doubtful.sd_rad = std::hypot(doubtful.sd_rad, line.sd_rad);
    // A line that nobody measured may be of any length: as long as it takes.
    const Eigen::Vector2d reach = (away_m + other.length_m) * line.line.along();
    const Eigen::Vector2d from = line.line.anchor - reach;
    const Eigen::Vector2d to = line.line.anchor + reach;
    LineFit fit = fit_of(doubtful, {"", from.x(), from.y(), to.x(), to.y()}, {}, drift, away_m, options_);
    fit.agrees = fit.agrees && joined_sd_m(drift, options_.places);
    return fit;
  }

  void find_agreeing(NamedLine& line) const {
    constexpr std::size_t kMostTried = 60;  // a limit of time, as in graph/markers/marker_agreement
    line.agree.assign(line.all.size(), line.all.size() == 1);
    if (line.all.size() < 2) return;
    const std::size_t stride = 1 + line.all.size() / kMostTried;
    double most_m = 0.0;
    for (std::size_t i = 0; i < line.all.size(); i += stride) {
      const std::vector<Eigen::Matrix3d> covariances = tree_.covariances_from(line.all[i].as_line.node);
      std::vector<bool> agree;
      for (const StraightStretch& other : line.all) agree.push_back(fit(line.all[i], other, covariances).agrees);
      agree[i] = true;
      NamedLine judged{line.all, agree};
      const std::vector<std::size_t> list = judged.agreeing();
      if (list.size() < 2 || judged.length_of(list) <= most_m) continue;
      most_m = judged.length_of(list);
      line.agree = std::move(agree);
    }
  }

  /// Of those stretches together.
  FollowedLine together(const NamedLine& line, const std::vector<std::size_t>& list) const {
    std::vector<Eigen::Vector2d> places;
    for (const std::size_t i : list) {
      const std::vector<Eigen::Vector2d> more = places_of(line.all[i].nodes, poses_);
      places.insert(places.end(), more.begin(), more.end());
    }
    const StraightStretch& first = line.all[list.front()];
    return as_followed(places, first.nodes.sd_m, first.as_line.node, options_);
  }

  const MeasuredLine* row_of(std::size_t line) const {
    const auto row = std::find_if(drive_.line_map.begin(), drive_.line_map.end(),
                                  [&](const MeasuredLine& m) { return m.line == evidence_.names[line]; });
    return row == drive_.line_map.end() ? nullptr : &*row;
  }

  std::optional<Pose2> frame_of_lines() {
    if (drive_.line_map.empty()) return std::nullopt;
    std::vector<MeasuredAndFollowed> both;
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      const std::vector<std::size_t> list = lines_[i].agreeing();
      const MeasuredLine* row = row_of(i);
      if (row != nullptr && !list.empty()) both.push_back({*row, together(lines_[i], list)});
    }
    const LineFrame frame = line_frame(both, tree_, options_);
    if (!frame.map_from_survey) {
      evidence_.warnings.push_back(why_no_frame(both.size(), frame.ambiguous));
      return std::nullopt;
    }
    std::optional<std::string> too_far =
        why_too_far(*frame.map_from_survey, "line_map.csv", options_.places.farthest_m);
    if (!too_far) return frame.map_from_survey;
    evidence_.warnings.push_back(std::move(*too_far));
    return std::nullopt;
  }

  std::string why_no_frame(std::size_t followed, bool ambiguous) const {
    if (ambiguous) {
      return "line_map.csv leaves open which of two ways round the house lies, since its lines are the same after half "
             "a turn: measure and follow one more line that goes elsewhere; the map is in its own frame";
    }
    if (followed < 2) {
      return sentence(
          "line_map.csv does not define the map's frame: that takes two lines that are not parallel, or two surveyed "
          "markers, and of the %zu in it %zu %s followed; the map is in its own frame",
          drive_.line_map.size(), followed, followed == 1 ? "was" : "were");
    }
    return "line_map.csv does not define the map's frame, since no two of its lines cross, or lie to each other as in "
           "the map; measure again; the map is in its own frame";
  }

  void believe(std::size_t number) {
    NamedLine& line = lines_[number];
    if (line.all.empty()) return;
    if (const MeasuredLine* row = row_of(number); row != nullptr && evidence_.map_from_survey) {
      if (believe_measured(number, *row)) return;
    }
    const std::vector<std::size_t> list = line.agreeing();
    if (list.empty()) {
      for (const StraightStretch& s : line.all) {
        leave_out(s.nodes.stretch, "no two stretches that name this line lie on one");
      }
      return;
    }
    const FollowedLine middle = together(line, list);
    for (std::size_t i = 0; i < line.all.size(); ++i) {
      const StraightStretch& s = line.all[i];
      if (line.agree[i]) {
        evidence_.stretches.push_back(s.nodes);
        continue;
      }
      leave_out(s.nodes.stretch,
                sentence("%.2f m from where %zu other stretch%s put this line: it names another line, or the line was "
                         "moved",
                         off_m(s, middle.line), list.size(), list.size() == 1 ? "" : "es"));
    }
  }

  static double off_m(const StraightStretch& stretch, const FloorLine& line) {
    return std::max(std::abs(line.left_m(stretch.as_line.first_place())),
                    std::abs(line.left_m(stretch.as_line.last_place())));
  }

  /// By where the survey has the line; false where more of the way lies elsewhere, so that the survey is wrong.
  bool believe_measured(std::size_t number, const MeasuredLine& row) {
    const NamedLine& line = lines_[number];
    const Pose2& frame = *evidence_.map_from_survey;
    const FloorLine place = measured_line(row, frame);
    // What holds the frame lies all over the house: by the drift from the line to its far ends nothing more is known.
    const std::vector<Eigen::Matrix3d> covariances = tree_.covariances_from(0);
    std::vector<std::size_t> on_it;
    for (std::size_t i = 0; i < line.all.size(); ++i) {
      const FollowedLine& followed = line.all[i].as_line;
      const double away_m = (followed.line.anchor - poses_.front().translation()).norm();
      Eigen::Matrix3d drift = covariances[followed.node];
      if (!joined_sd_m(drift, options_.places)) drift.setZero();
      if (fit_of(followed, row, frame, drift, away_m, options_).agrees) on_it.push_back(i);
    }
    const std::vector<std::size_t> elsewhere = line.agreeing();
    const bool doubted =
        on_it.empty() || (!std::includes(on_it.begin(), on_it.end(), elsewhere.begin(), elsewhere.end()) &&
                          line.length_of(elsewhere) > line.length_of(on_it));
    if (doubted && elsewhere.size() > 1) {
      evidence_.warnings.push_back(
          sentence("line %s was followed %.2f m from where line_map.csv has it, so that its row was left out: correct "
                   "the row, or look whether the line was moved",
                   evidence_.names[number].c_str(), off_m(line.all[elsewhere.front()], place)));
      return false;
    }
    if (!on_it.empty()) evidence_.measured[number] = row;
    for (std::size_t i = 0; i < line.all.size(); ++i) {
      const StraightStretch& s = line.all[i];
      if (std::binary_search(on_it.begin(), on_it.end(), i)) {
        evidence_.stretches.push_back(s.nodes);
      } else {
        leave_out(s.nodes.stretch, sentence("%.2f m from where line_map.csv has this line: it names another line, or "
                                            "the line was moved",
                                            off_m(s, place)));
      }
    }
    return true;
  }

  const Drive& drive_;
  LineAgreementOptions options_;
  DriftTree tree_;
  std::vector<Pose2> poses_;
  std::vector<double> times_s_;
  std::vector<NamedLine> lines_;  // by line
  LineEvidence evidence_;
};

}  // namespace

LineEvidence agreeing_lines(const Drive& drive, const PoseGraph& graph, const std::optional<Pose2>& by_markers,
                            const LineAgreementOptions& options) {
  if (drive.followed.empty()) return {};
  return LinesAgreement(drive, graph, options).found(by_markers);
}

}  // namespace wainscot
