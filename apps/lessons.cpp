#include "apps/lessons.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <stdexcept>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "core/trajectory_error.hpp"
#include "graph/adjust/adjustment_trace.hpp"
#include "graph/mapping/mapper.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

std::string sql(const std::string& query) { return "sqlite3 lesson-map/graph.sqlite \"" + query + "\""; }

std::string millimetres(double metres) { return fixed_text(1000.0 * metres, 1) + " mm"; }

TrajectoryError error_of(const Map& map, Pose2 TrajectoryRow::*pose_of_row, const std::vector<TimedPose>& truth) {
  std::vector<TimedPose> path;
  for (const TrajectoryRow& row : map.trajectory) path.push_back({row.time_s, row.*pose_of_row});
  return absolute_trajectory_error(path, truth);
}

std::string compare_command(const LessonDrive& about, const std::string& map) {
  return fmt::format("wainscot compare {} --truth {}/truth.csv", map, about.drive_words);
}

Lesson wheels_alone(const LessonDrive& about) {
  const Map& map = about.explanation.map;
  Lesson result{
      "The wheels alone",
      "Counting wheel turns gives a path: each step is an arc, and its small errors add up. A heading that is "
      "off by one degree moves everything driven afterwards by 1.7 cm a metre.",
      {}};
  result.questions.push_back({"How far from the robot's real last place did the wheels alone end?",
                              "grep start_to_end_odometry_m lesson-map/summary.json",
                              fmt::format("{} m", fixed_text(map.quality.start_to_end_odometry_m, 4))});
  if (!about.drive.truth.empty()) {
    result.questions.push_back(
        {"And over the whole drive, as a root mean square?", compare_command(about, "lesson-map"),
         fmt::format("{} by the wheels alone, {} by the map (the column RMSE)",
                     millimetres(error_of(map, &TrajectoryRow::odometry, about.drive.truth).position_rmse_m),
                     millimetres(error_of(map, &TrajectoryRow::pose, about.drive.truth).position_rmse_m))});
  }
  return result;
}

double turn_deg(const Pose2& from, const Pose2& to) {
  return kDegreesPerRadian * std::abs(wrap_angle(to.heading_rad - from.heading_rad));
}

Lesson one_match(const LessonDrive& about) {
  const MatchExplanation& match = about.explanation.match;
  const TracedMatch& done = match.matches.front().traced;
  const TracedMatch& far = match.matches.back().traced;
  const Tangent2& shift = match.matches.back().shift;
  Lesson result{"One match",
                "Each return is paired with the piece of wall that it lies on, the whole scan is moved so that the "
                "distances become small, and again, until it moves no more. Open part 1 of explain.html.",
                {}};
  result.questions.push_back({"How many steps does the match take, and to what does its residual fall?",
                              "explain.html, part 1, step 4: Play",
                              fmt::format("{}; from {} to {} mm", count_text(done.iterations.size(), "step"),
                                          fixed_text(1000.0 * done.iterations.front().residual_rms_m, 2),
                                          fixed_text(1000.0 * done.iterations.back().residual_rms_m, 2))});
  result.questions.push_back(
      {fmt::format("Begin the match {} m further ahead, {} m to the left and turned by {}° (with the sliders, or "
                   "choose that start): does "
                   "it still find the place?",
                   fixed_text(shift.x(), 2), fixed_text(shift.y(), 2), fixed_text(57.29577951308232 * shift.z(), 1)),
       "explain.html, part 1, Try it yourself",
       fmt::format("it ends {} m and {}° from where the mapper put it, with {} of the returns paired instead of {}: a "
                   "match is sure only near its solution, so a wide search comes before it where the drift is large",
                   fixed_text((far.result.pose.translation() - done.result.pose.translation()).norm(), 2),
                   fixed_text(turn_deg(done.result.pose, far.result.pose), 1), percent_text(far.result.overlap),
                   percent_text(done.result.overlap))});
  return result;
}

Lesson pose_graph(const LessonDrive& about) {
  const PoseGraph& graph = about.explanation.map.graph;
  std::map<std::string, int> kinds;
  for (const Edge& edge : graph.edges) {
    ++kinds[edge.kind == EdgeKind::closure ? "closure" : edge.kind == EdgeKind::match ? "match" : "odometry"];
  }
  std::string by_kind;
  for (const auto& [kind, count] : kinds) by_kind += fmt::format("{}{} {}", by_kind.empty() ? "" : ", ", count, kind);
  const auto variance = [](const Node& node) { return std::max(node.covariance(0, 0), node.covariance(1, 1)); };
  const auto worst = std::max_element(graph.nodes.begin(), graph.nodes.end(),
                                      [&](const Node& a, const Node& b) { return variance(a) < variance(b); });
  Lesson result{"The pose graph",
                "Every 30 cm or 17 degrees a scan becomes a node. An edge is a measured pose of one node seen from "
                "another, with how sure it is; the map is whatever fits all edges best.",
                {}};
  result.questions.push_back(
      {"How many edges are there of each kind?", sql("SELECT kind, count(*) FROM edges GROUP BY kind"), by_kind});
  result.questions.push_back({"Which node's place is known worst, and how well?",
                              sql("SELECT node, 1000 * sqrt(max(covariance_xx_m2, covariance_yy_m2)) AS mm FROM nodes "
                                  "ORDER BY mm DESC LIMIT 1"),
                              fmt::format("node {}: {} (standard uncertainty against node 0)",
                                          worst - graph.nodes.begin(), millimetres(std::sqrt(variance(*worst))))});
  return result;
}

/// How far from the finished map a replay ends, at the node furthest off.
double furthest_m(const Replay& replay, const std::vector<Pose2>& adjusted) {
  double furthest = 0.0;
  const std::vector<Pose2>& last = replay.poses_by_iteration.back();
  for (std::size_t i = 0; i < adjusted.size(); ++i) {
    furthest = std::max(furthest, (last[i].translation() - adjusted[i].translation()).norm());
  }
  return furthest;
}

/// The reason that most rejected candidates share; "" where none was rejected.
std::string commonest_reason(const std::vector<LoopCandidate>& candidates) {
  std::map<std::string, int> reasons;
  for (const LoopCandidate& c : candidates) {
    if (c.verdict == Verdict::rejected) ++reasons[c.reason];
  }
  const auto most = std::max_element(reasons.begin(), reasons.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
  return most == reasons.end() ? "" : fmt::format("{} ({} times)", most->first, most->second);
}

Lesson coming_back(const LessonDrive& about) {
  const std::vector<LoopCandidate>& candidates = about.explanation.map.candidates;
  const auto accepted = std::count_if(candidates.begin(), candidates.end(),
                                      [](const LoopCandidate& c) { return c.verdict == Verdict::accepted; });
  Lesson result{
      "Coming back",
      "Two nodes that might be the same place are a candidate. It becomes a closure only if walls coincide, free "
      "space agrees, the drift allows it, and it agrees with the other closures.",
      {}};
  result.questions.push_back({"How many pairs of places were tried, and how many were believed?",
                              sql("SELECT count(*), sum(verdict = 'accepted') FROM candidates"),
                              fmt::format("{} tried, {} believed", candidates.size(), accepted)});
  if (const std::string reason = commonest_reason(candidates); !reason.empty()) {
    result.questions.push_back({"Why were most of the others not?",
                                sql("SELECT reason, count(*) AS times FROM candidates WHERE verdict = 'rejected' GROUP "
                                    "BY reason ORDER BY times DESC"),
                                reason});
  }
  for (const Replay& replay : about.explanation.graph.replays) {
    if (replay.true_closures || replay.false_closure || replay.poses_by_iteration.empty()) continue;
    result.questions.push_back({"How far had matching alone drifted, at the node that lay furthest off?",
                                "explain.html, part 2, step 5, both kinds of closures switched off",
                                millimetres(furthest_m(replay, about.explanation.graph.adjusted))});
  }
  if (!about.drive.truth.empty()) {
    MapperOptions open;
    open.close_loops = false;
    const Map without = build_map(about.drive, open);
    result.questions.push_back(
        {"And how far from the true path is a map without loop closure, whose walls are still adjusted together "
         "afterwards?",
         fmt::format("wainscot build {} --out lesson-open --no-loop-closure && {} && {}", about.drive_words,
                     compare_command(about, "lesson-open"), compare_command(about, "lesson-map")),
         fmt::format(
             "{} instead of {} (found, RMSE)",
             millimetres(error_of(without, &TrajectoryRow::pose, about.drive.truth).position_rmse_m),
             millimetres(error_of(about.explanation.map, &TrajectoryRow::pose, about.drive.truth).position_rmse_m))});
  }
  return result;
}

Lesson optimiser(const LessonDrive& about) {
  const GraphExplanation& graph = about.explanation.graph;
  const Quality& quality = about.explanation.map.quality;
  Lesson result{
      "The optimiser",
      "Every edge is a spring as stiff as it is sure. The optimiser moves all nodes until the springs together "
      "are slackest; the cost is half of the weighted squares of what remains.",
      {}};
  result.questions.push_back(
      {"From what to what did the cost fall?", "grep cost_ lesson-map/summary.json",
       fmt::format("from {} to {}", short_text(quality.cost_before, 3), short_text(quality.cost_after, 3))});
  for (const Replay& replay : graph.replays) {
    if (!replay.true_closures || !replay.false_closure || replay.poses_by_iteration.empty()) continue;
    result.questions.push_back(
        {replay.robust ? "And if closures that do not fit lose weight?"
                       : "How far would one false closure move the node that it moves most?",
         "explain.html, part 2, step 5 (last iteration)",
         fmt::format("{} m from the finished map", fixed_text(furthest_m(replay, graph.adjusted), 2))});
  }
  return result;
}

Lesson occupancy(const LessonDrive& about) {
  const RasteriserOptions& voting = about.explanation.voting;
  const auto probability = [](double log_odds) { return fixed_text(1.0 / (1.0 + std::exp(-log_odds)), 2); };
  Lesson result{
      "Wall or floor",
      "A cell's log-odds begin below even. Beams that end in it add to them, beams that cross it take from them, "
      "and no visit counts without bounds.",
      {}};
  result.questions.push_back(
      {"What probability has a cell that one scan hit and none crossed? And after two scans?",
       fmt::format("awk 'BEGIN {{ L = {}; print 1 / (1 + exp(-(L + {}))), 1 / (1 + exp(-(L + 2 * {}))) }}'",
                   short_text(voting.prior_log_odds, 2), short_text(voting.hit_log_odds, 2),
                   short_text(voting.hit_log_odds, 2)),
       fmt::format("{} and {}: one hit alone makes no wall", probability(voting.prior_log_odds + voting.hit_log_odds),
                   probability(voting.prior_log_odds + 2.0 * voting.hit_log_odds))});
  for (const CellExplanation& cell : about.explanation.cells) {
    if (cell.events.empty()) continue;
    result.questions.push_back(
        {fmt::format("How many scans touched the cell \"{}\" of the page, and what were its log-odds in the end?",
                     cell.what),
         "explain.html, part 3 (last scan)",
         fmt::format("{}; {}", count_text(cell.events.size(), "scan"),
                     fixed_text(cell.events.back().event.log_odds, 2))});
  }
  return result;
}

std::string thickness_text(const AdjustmentTrace& walls, const TriedConstants& tried) {
  return fixed_text(1000.0 * thickness_m(walls, tried), 2) + " mm";
}

/// What a clock that is off does to the walls, and what a heading can make good of it.
Question about_the_clock(const AdjustmentTrace& walls) {
  constexpr double kLaterS = 0.05;
  TriedConstants late = walls.found;
  late.time_offset_s += kLaterS;
  const auto with_heading = [&](std::optional<Turning> turning) {
    return fixed_text(1000.0 * thickness_m(walls, with_best_heading(walls, late, turning), turning), 1) + " mm";
  };
  return {
      "Move the clock's offset to 50 ms more than found: how thin can the best heading of the lidar make the walls "
      "then, by turns to the left alone, by turns to the right alone and by all returns?",
      "explain.html, part 4, step 4",
      fmt::format("{}, {} and {}: the heading makes good in turns one way what it spoils in the others",
                  with_heading(Turning::left), with_heading(Turning::right), with_heading({}))};
}

Lesson walls_and_constants(const LessonDrive& about) {
  const std::vector<RefinedConstant>& constants = about.explanation.map.constants;
  const AdjustmentTrace& walls = about.explanation.walls;
  const auto told =
      std::count_if(constants.begin(), constants.end(), [](const RefinedConstant& c) { return c.observed; });
  Lesson result{
      "Walls and constants",
      "At the end the path, all pieces of wall and the robot's constants are moved together until the walls are "
      "thinnest. What a drive cannot tell stays as robot.yaml says. Open part 4 of explain.html.",
      {}};
  result.questions.push_back(
      {"How many of the robot's constants were tried, and how many could this drive tell?",
       sql("SELECT count(*), sum(observed) FROM constants"),
       fmt::format("{} tried, {} told (their uncertainty fell to less than half)", constants.size(), told)});
  for (const RefinedConstant& c : constants) {
    if (c.name != "lidar.heading_deg") continue;
    result.questions.push_back(
        {"Where does the lidar look, in degrees to the left of straight ahead, and how sure is that?",
         sql("SELECT found, found_sd FROM constants WHERE name = 'lidar.heading_deg'"),
         fmt::format("{}, standard uncertainty {}", fixed_text(c.found, 3), fixed_text(c.found_sd, 3))});
  }
  if (walls.pieces.empty()) return result;
  result.questions.push_back({"How thick are the walls of the page as found, and with what robot.yaml said?",
                              "explain.html, part 4: As found, As robot.yaml said",
                              fmt::format("{} as found, {} with what robot.yaml said",
                                          thickness_text(walls, walls.found), thickness_text(walls, walls.stated))});
  if (seen_in(walls, Turning::left) && seen_in(walls, Turning::right)) {
    result.questions.push_back(about_the_clock(walls));
  }
  return result;
}

}  // namespace

Lesson lesson(int number, const LessonDrive& about) {
  switch (number) {
    case 1:
      return wheels_alone(about);
    case 2:
      return one_match(about);
    case 3:
      return pose_graph(about);
    case 4:
      return coming_back(about);
    case 5:
      return optimiser(about);
    case 6:
      return occupancy(about);
    case 7:
      return walls_and_constants(about);
    default:
      throw std::invalid_argument("there is no such lesson");
  }
}

std::string lesson_text(int number, const Lesson& lesson, const std::string& drive_words, bool simulated,
                        bool with_answers) {
  std::string text = fmt::format("Lesson {} of {}: {}{}\n\n{}\n\n", number, number_of_lessons, lesson.title,
                                 simulated ? " (a simulated drive)" : "", lesson.words);
  text += fmt::format(
      "Make the map and the page once:\n  wainscot build {0} --out lesson-map\n"
      "  wainscot explain {0} --out explain.html\n",
      drive_words);
  for (std::size_t i = 0; i < lesson.questions.size(); ++i) {
    const Question& q = lesson.questions[i];
    text += fmt::format("\nQuestion {}. {}\n  To check: {}\n", i + 1, q.question, q.check);
    if (with_answers) text += fmt::format("  Answer: {}\n", q.answer);
  }
  text += "\n";
  if (!with_answers)
    text += fmt::format("The answers: wainscot explain {} --lesson {} --answers\n", drive_words, number);
  if (number < number_of_lessons)
    text += fmt::format("Next: wainscot explain {} --lesson {}\n", drive_words, number + 1);
  return text;
}

}  // namespace wainscot
