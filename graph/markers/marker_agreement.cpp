#include "graph/markers/marker_agreement.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include <Eigen/Dense>

#include "core/square.hpp"
#include "graph/drift.hpp"
#include "graph/markers/survey_frame.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

class Agreement {
 public:
  Agreement(const Drive& drive, const std::vector<NodeSighting>& sightings, const PoseGraph& graph,
            const MarkerAgreementOptions& options)
      : drive_(drive), sightings_(sightings), graph_(graph), options_(options), tree_(graph) {
    evidence_.names = marker_names(drive);
    if (evidence_.names.size() > options.most_markers) evidence_.names.resize(options.most_markers);
    evidence_.surveyed.resize(evidence_.names.size());
    evidence_.survey_sd_m = options.survey_sd_m;
    evidence_.survey_sd_rad = options.survey_sd_rad;
    places_.resize(evidence_.names.size());
  }

  MarkerEvidence found() {
    leave_out_those_without_node();
    std::map<std::size_t, std::vector<std::size_t>> of_marker;
    for (std::size_t i = 0; i < sightings_.size(); ++i) {
      if (sightings_[i].marker < evidence_.names.size()) {
        of_marker[sightings_[i].marker].push_back(i);
      } else {
        leave_out(sightings_[i].sighting, sentence("more than %zu different markers", evidence_.names.size()));
      }
    }
    for (const auto& [marker, list] : of_marker) keep_agreeing(marker, list);
    believe_survey();
    std::sort(evidence_.sightings.begin(), evidence_.sightings.end(),
              [](const NodeSighting& a, const NodeSighting& b) { return a.sighting < b.sighting; });
    std::sort(evidence_.left_out.begin(), evidence_.left_out.end(),
              [](const LeftOutSighting& a, const LeftOutSighting& b) { return a.sighting < b.sighting; });
    return std::move(evidence_);
  }

 private:
  Eigen::Vector2d place_of(const NodeSighting& s) const { return graph_.nodes[s.node].pose * s.at_m; }

  void leave_out(std::size_t sighting, std::string reason) {
    const MarkerSighting& seen = drive_.markers[sighting];
    evidence_.left_out.push_back({sighting, seen.time_s, seen.marker, std::move(reason)});
  }

  void leave_out_those_without_node() {
    std::size_t next = 0;
    for (std::size_t i = 0; i < drive_.markers.size(); ++i) {
      if (next < sightings_.size() && sightings_[next].sighting == i) {
        ++next;
      } else {
        leave_out(i, "no scan was mapped near this time, or the robot was carried or slid");
      }
    }
  }

  /// Of each sighting in `list`, whether it puts the marker where sighting `middle` does.
  std::vector<bool> agreeing_with(std::size_t middle, const std::vector<std::size_t>& list) const {
    const NodeSighting& m = sightings_[middle];
    const std::vector<Eigen::Matrix3d> covariances = tree_.covariances_from(m.node);
    std::vector<bool> agree;
    for (const std::size_t i : list) {
      const NodeSighting& s = sightings_[i];
      const std::optional<double> drift = joined_sd_m(covariances[s.node], options_);
      const double reach = (s.at_m.norm() + m.at_m.norm()) * std::sqrt(covariances[s.node](2, 2));
      const double sd = std::sqrt(square(s.sd_m) + square(m.sd_m) + square(drift.value_or(0.0)) + square(reach));
      agree.push_back(drift && (place_of(s) - place_of(m)).norm() <= options_.sds * sd + options_.bend_m);
    }
    return agree;
  }

  /// Keeps those sightings of one marker that agree with the one that most others agree with.
  void keep_agreeing(std::size_t marker, const std::vector<std::size_t>& list) {
    // A limit of time: where half of the sightings are misread, no right one is among 60 with a chance of 2^-60.
    constexpr std::size_t kMostTried = 60;
    const std::size_t stride = 1 + list.size() / kMostTried;
    std::vector<bool> best;
    std::size_t best_middle = list.front();
    std::ptrdiff_t most = 0;
    for (std::size_t i = 0; i < list.size(); i += stride) {
      std::vector<bool> agree = agreeing_with(list[i], list);
      const std::ptrdiff_t count = std::count(agree.begin(), agree.end(), true);
      if (count <= most) continue;
      most = count;
      best = std::move(agree);
      best_middle = list[i];
    }
    const Eigen::Vector2d middle = place_of(sightings_[best_middle]);
    if (most < 2 && list.size() > 1) {
      for (const std::size_t i : list) {
        leave_out(sightings_[i].sighting, "no two sightings of this marker agree on its place");
      }
      return;
    }
    std::vector<std::size_t> kept;
    for (std::size_t i = 0; i < list.size(); ++i) {
      if (best[i]) {
        kept.push_back(list[i]);
      } else {
        leave_out(sightings_[list[i]].sighting,
                  sentence("%.2f m from where %td other sightings put this marker: a misread number, or it was moved",
                           (place_of(sightings_[list[i]]) - middle).norm(), most));
      }
    }
    for (const std::size_t i : kept) evidence_.sightings.push_back(sightings_[i]);
    places_[marker] = mean_place(kept, best_middle);
  }

  MarkerPlace mean_place(const std::vector<std::size_t>& kept, std::size_t middle) const {
    MarkerPlace place;
    place.node = sightings_[middle].node;
    place.at_m.setZero();
    Eigen::Vector2d direction(0.0, 0.0);
    for (const std::size_t i : kept) {
      const NodeSighting& s = sightings_[i];
      place.at_m += place_of(s) / static_cast<double>(kept.size());
      if (!s.heading_rad) continue;
      const double heading = graph_.nodes[s.node].pose.heading_rad + *s.heading_rad;
      direction += Eigen::Vector2d(std::cos(heading), std::sin(heading));
    }
    if (direction.norm() > 1e-6) place.heading_rad = std::atan2(direction.y(), direction.x());
    place.sd_m = sightings_[middle].sd_m;
    place.sightings = kept.size();
    return place;
  }

  /// The markers that were surveyed and are believed to be somewhere, by their number.
  std::vector<SeenSurveyed> seen_surveyed() const {
    std::vector<SeenSurveyed> seen;
    for (const SurveyedMarker& s : drive_.marker_map) {
      const auto name = std::lower_bound(evidence_.names.begin(), evidence_.names.end(), s.marker);
      if (name == evidence_.names.end() || *name != s.marker) continue;
      const auto marker = static_cast<std::size_t>(name - evidence_.names.begin());
      if (places_[marker]) seen.push_back({marker, s, *places_[marker]});
    }
    return seen;
  }

  void believe_survey() {
    if (drive_.marker_map.empty()) return;
    const std::vector<SeenSurveyed> seen = seen_surveyed();
    const std::optional<SurveyFrame> frame = survey_frame(seen, tree_, options_);
    if (!frame) {
      evidence_.warnings.push_back(why_no_frame(seen));
      return;
    }
    if (auto too_far = why_too_far(frame->map_from_survey, "marker_map.csv", options_.farthest_m)) {
      evidence_.warnings.push_back(std::move(*too_far));
      return;
    }
    evidence_.map_from_survey = frame->map_from_survey;
    for (std::size_t i = 0; i < seen.size(); ++i) {
      const SeenSurveyed& one = seen[i];
      if (std::find(frame->agreeing.begin(), frame->agreeing.end(), i) != frame->agreeing.end()) {
        evidence_.surveyed[one.marker] = one.surveyed;
        continue;
      }
      const Eigen::Vector2d there = frame->map_from_survey * Eigen::Vector2d(one.surveyed.x_m, one.surveyed.y_m);
      doubt(one.marker, (there - one.place.at_m).norm());
    }
  }

  std::string why_no_frame(const std::vector<SeenSurveyed>& seen) const {
    if (seen.size() < 2) {
      return sentence(
          "marker_map.csv does not define the map's frame: that takes two markers that were seen, or one with "
          "its heading in both files, and of the %zu in it %zu %s seen; the map is in its own frame",
          drive_.marker_map.size(), seen.size(), seen.size() == 1 ? "was" : "were");
    }
    const SurveyedMarker& a = seen[0].surveyed;
    const SurveyedMarker& b = seen[1].surveyed;
    return sentence(
        "marker_map.csv does not define the map's frame, since no two of its markers lie to each other as in "
        "the map: %s and %s, for example, %.2f m apart and not %.2f m; measure again; the map is in its own "
        "frame",
        a.marker.c_str(), b.marker.c_str(), std::hypot(b.x_m - a.x_m, b.y_m - a.y_m),
        (seen[1].place.at_m - seen[0].place.at_m).norm());
  }

  /// A marker that was not seen where the survey has it: seen once, its number was likely misread; seen more often, the
  /// survey is likely wrong.
  void doubt(std::size_t marker, double off_m) {
    if (places_[marker]->sightings > 1) {
      evidence_.warnings.push_back(
          sentence("marker %s was seen %.2f m from where marker_map.csv has it, so that its row was left out: correct "
                   "the row, or look whether the marker was moved",
                   evidence_.names[marker].c_str(), off_m));
      return;
    }
    const auto only = std::find_if(evidence_.sightings.begin(), evidence_.sightings.end(),
                                   [&](const NodeSighting& s) { return s.marker == marker; });
    leave_out(only->sighting,
              sentence("seen this once only, %.2f m from where marker_map.csv has it: a misread number", off_m));
    evidence_.sightings.erase(only);
  }

  const Drive& drive_;
  const std::vector<NodeSighting>& sightings_;
  const PoseGraph& graph_;
  MarkerAgreementOptions options_;
  DriftTree tree_;
  std::vector<std::optional<MarkerPlace>> places_;  // by marker
  MarkerEvidence evidence_;
};

}  // namespace

MarkerEvidence agreeing_markers(const Drive& drive, const std::vector<NodeSighting>& sightings, const PoseGraph& graph,
                                const MarkerAgreementOptions& options) {
  if (drive.markers.empty()) return {};
  return Agreement(drive, sightings, graph, options).found();
}

}  // namespace wainscot
