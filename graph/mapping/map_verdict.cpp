#include "graph/mapping/map_verdict.hpp"

#include <algorithm>
#include <vector>

#include "graph/mapping/doubts.hpp"
#include "graph/sentence.hpp"

namespace wainscot {
namespace {

struct Doubt {
  Grade grade = Grade::usable;
  std::string reason;
  std::string next;
};

using Doubts = std::vector<Doubt>;

std::string millimetres(double m) { return m < 0.1 ? sentence("%.0f mm", 1000.0 * m) : sentence("%.2f m", m); }

/// ", around (1.2, 3.4) m,": where a node lies; `share`: "most of it ". Empty where it is not known.
std::string around(const Map& map, std::size_t node, const char* share = "") {
  if (node >= map.graph.nodes.size()) return "";
  const Pose2& pose = map.graph.nodes[node].pose;
  return sentence(", %saround (%.1f, %.1f) m,", share, pose.x_m, pose.y_m);
}

/// Of nodes in ascending order the middle of the longest run of neighbours; of none one that is not there.
std::size_t middle_of_longest_run(const std::vector<std::size_t>& nodes) {
  std::size_t middle = static_cast<std::size_t>(-1);
  std::size_t longest = 0;
  for (std::size_t first = 0, last = 0; first < nodes.size(); first = last) {
    for (last = first + 1; last < nodes.size() && nodes[last] == nodes[last - 1] + 1; ++last) {
    }
    if (last - first <= longest) continue;
    longest = last - first;
    middle = nodes[first + longest / 2];
  }
  return middle;
}

void doubt_of_constants(const Map& map, Doubts& doubts) {
  for (const RefinedConstant& c : map.constants) {
    if (is_possible(c)) continue;
    doubts.push_back({Grade::unusable,
                      sentence("%s came out as %.3g where robot.yaml has %.3g, which no robot's is", c.name.c_str(),
                               c.found, c.stated),
                      "look for what is wrong in robot.yaml or in the log with wainscot check"});
    return;
  }
}

void doubt_of_walls(const Quality& q, Doubts& doubts) {
  if (!q.trustworthy()) {
    doubts.push_back(
        {Grade::unusable,
         sentence("only %.0f %% of the returns end on the map's own walls, so that the scans contradict one "
                  "another",
                  100.0 * q.matched_fraction),
         "look for what is wrong in robot.yaml or in the log with wainscot check"});
  } else if (q.matched_fraction < kManyOnWalls) {
    doubts.push_back({Grade::usable,
                      sentence("only %.0f %% of the returns end on its walls, the others where it was seen to be free",
                               100.0 * q.matched_fraction),
                      "look at the map for walls that stand twice; where they do, drive that part again, slower"});
  }
}

void doubt_of_joints(const Map& map, Doubts& doubts) {
  const Quality& q = map.quality;
  if (q.position_sd_worst_m > kNotJoinedM) {
    doubts.push_back(
        {Grade::unusable, "a part of it is not joined to the rest, so that its place means nothing",
         "drive again, from known rooms into that part and back, or say in hints.csv where the robot was"});
  } else if (q.place_sd_worst_m > kLooseM) {
    // Nodes that are not joined may be less sure, and are told apart.
    const auto worst = std::find(map.place_sds_m.begin(), map.place_sds_m.end(), q.place_sd_worst_m);
    const std::string where = around(map, static_cast<std::size_t>(worst - map.place_sds_m.begin()));
    doubts.push_back({Grade::usable,
                      sentence("its least certain part%s is known to %s only", where.c_str(),
                               millimetres(2.0 * q.place_sd_worst_m).c_str()),
                      "drive back through known rooms, so that loops can be closed"});
  }
  const std::vector<std::size_t>& unjoined = map.troubles.unjoined;
  if (unjoined.empty() || !map.few_unjoined()) return;
  const bool one = unjoined.size() == 1;
  const std::string where = around(map, middle_of_longest_run(unjoined), one ? "" : "most of them ");
  doubts.push_back({Grade::usable,
                    sentence("%zu of its %zu nodes%s %s not joined to the rest: between them is a step that odometry "
                             "alone tells of",
                             unjoined.size(), map.graph.nodes.size(), where.c_str(), one ? "is" : "are"),
                    "drive there again, slower, from known rooms and back"});
}

void doubt_of_jumps(const Map& map, Doubts& doubts) {
  const std::vector<std::size_t>& unconfirmed = map.troubles.unconfirmed;
  if (unconfirmed.empty()) return;
  doubts.push_back({Grade::usable,
                    sentence("where the robot slid or was lifted%s one scan alone says where it came to: no place seen "
                             "before and after it confirms that",
                             around(map, unconfirmed.front(), unconfirmed.size() > 1 ? "first " : "").c_str()),
                    "drive back through rooms known before it, so that a loop spans it"});
}

void doubt_of_the_way(const Map& map, Doubts& doubts) {
  if (map.quality.way_left_open_m > kMuchLeftOpenM) {
    const std::string where = around(map, middle_of_longest_run(map.troubles.left_open), "most of it ");
    doubts.push_back({Grade::usable,
                      sentence("along %.0f m of the way%s the walls left a direction open, and odometry's word was "
                               "kept",
                               map.quality.way_left_open_m, where.c_str()),
                      "check one distance along that way with a tape, or put a box where the walls are bare"});
  }
  std::vector<std::size_t> loose;
  for (const Edge& edge : map.graph.edges) {
    if (edge.kind == EdgeKind::odometry) loose.push_back(edge.to);
  }
  std::sort(loose.begin(), loose.end());
  // Of the nodes: below, it is an event here and there, which warnings name (chosen by hand).
  constexpr double kMany = 0.01;
  if (static_cast<double>(loose.size()) > kMany * static_cast<double>(map.graph.nodes.size())) {
    doubts.push_back(
        {Grade::usable,
         sentence("at %zu of %zu nodes%s the scans fit no wall, and the path rests on odometry alone", loose.size(),
                  map.graph.nodes.size(),
                  around(map, middle_of_longest_run(loose), loose.size() > 1 ? "most of them " : "").c_str()),
         "drive there again, slower or nearer to walls"});
  }
}

void doubt_of_scale(const Quality& q, Doubts& doubts) {
  if (q.scale_sd <= kPoorScale) return;
  doubts.push_back({Grade::usable, sentence("lengths are right to %.1f %% only", 200.0 * q.scale_sd),
                    "measure one long room with a tape, and give it to wainscot build --tapes"});
}

MapVerdict good_verdict(const Quality& q) {
  // For 95 % of places 1.73 standard uncertainties are enough where a place is as sure in both directions, 1.96 where
  // it is much less sure in one.
  const double good_to_m = 2.0 * q.place_sd_m;
  constexpr double kGoodScale = 0.001;  // a room of 5 m is right to 1 cm then, with odds of 19 in 20
  const bool measures = q.scale_sd <= kGoodScale;
  return {Grade::good,
          sentence("%s: 19 of 20 places lie within %s of where they should, and lengths are right to %.2f %%",
                   measures ? "to navigate by, and to measure rooms in" : "to navigate by",
                   millimetres(good_to_m).c_str(), 200.0 * q.scale_sd),
          measures ? "" : "to measure in it as well, tape one long room and give it to wainscot build --tapes", 0};
}

}  // namespace

std::string_view grade_name(Grade grade) {
  return grade == Grade::good ? "good" : grade == Grade::usable ? "usable" : "unusable";
}

MapVerdict map_verdict(const Map& map, Drives drives) {
  Doubts doubts;
  for (const Drive& drive : drives) {
    for (const std::string& warning : drive.warnings) {
      if (!warning.starts_with(kMappedEvenSo)) continue;
      doubts.push_back({Grade::unusable, warning.substr(kMappedEvenSo.size()), "mend that first"});
    }
  }
  doubt_of_walls(map.quality, doubts);
  doubt_of_constants(map, doubts);
  doubt_of_joints(map, doubts);
  doubt_of_jumps(map, doubts);
  doubt_of_the_way(map, doubts);
  doubt_of_scale(map.quality, doubts);
  if (doubts.empty()) return good_verdict(map.quality);
  const auto worst =
      std::max_element(doubts.begin(), doubts.end(), [](const Doubt& a, const Doubt& b) { return a.grade < b.grade; });
  return {worst->grade, worst->reason, worst->next, static_cast<int>(doubts.size()) - 1};
}

}  // namespace wainscot
