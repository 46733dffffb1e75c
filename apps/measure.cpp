#include "apps/measure.hpp"

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "apps/laid_tapes.hpp"
#include "apps/print_result.hpp"
#include "apps/tape_text.hpp"
#include "core/errors.hpp"
#include "graph/compare/standing_pieces.hpp"
#include "graph/measure/placed_returns.hpp"
#include "graph/measure/room_tapes.hpp"
#include "graph/measure/tape_check.hpp"
#include "io/log/tape_reader.hpp"
#include "io/map/map_reader.hpp"
#include "io/number_reader.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

struct MeasureOptions {
  std::filesystem::path map;
  std::string from;  ///< both empty: not given
  std::string to;
  std::filesystem::path tapes;  ///< empty: not given
  std::string room;             ///< empty: not given
  double tape_sd_m = usual_tape_sd_m;
  bool robot_lines = false;
};

void say(const std::string& text) { std::fputs(text.c_str(), stderr); }

/// "X,Y" in metres.
Eigen::Vector2d point_of(const std::string& text) {
  const std::size_t comma = text.find(',');
  Eigen::Vector2d point;
  if (comma == std::string::npos ||
      read_number(std::string_view(text).substr(0, comma), point.x()) != NumberFault::none ||
      read_number(std::string_view(text).substr(comma + 1), point.y()) != NumberFault::none) {
    throw InputError(fmt::format(
        "{} is not a point; write X,Y in metres of the map's frame without spaces, as 1.5,-0.25", printable(text)));
  }
  return point;
}

void check_question(const MeasureOptions& options) {
  const int asked = (options.from.empty() ? 0 : 1) + (options.tapes.empty() ? 0 : 1) + (options.room.empty() ? 0 : 1);
  if (asked != 1) {
    throw InputError(
        "measure wants one of these: two points X1,Y1 X2,Y2, or --tapes FILE, or --room X,Y; see wainscot measure "
        "--help");
  }
  if (options.from.empty() != options.to.empty())
    throw InputError("measure wants two points, X1,Y1 X2,Y2; only one was given");
  if (options.robot_lines && options.tapes.empty())
    throw InputError("--robot-lines needs --tapes with a column tape_m");
}

TapeList tapes_of_room(const std::vector<WallPiece>& pieces, const std::string& room) {
  const RoomTapes tapes = room_tapes(pieces, point_of(room));
  TapeList list;
  if (tapes.width) list.tapes.push_back({"width", *tapes.width, {}});
  if (tapes.depth) list.tapes.push_back({"depth", *tapes.depth, {}});
  if (list.tapes.empty()) {
    throw PoorData(
        fmt::format("the map has no two walls that look at one another on both sides of {}", printable(room)));
  }
  if (list.tapes.size() == 1) say("In the other direction there is no wall on both sides within 15 m.\n");
  return list;
}

TapeList tapes_asked(const MeasureOptions& options, const Map& map) {
  if (!options.room.empty()) return tapes_of_room(map.wall_pieces, options.room);
  if (!options.tapes.empty()) {
    std::vector<std::string> warnings;
    TapeList list = read_tapes(options.tapes, warnings);
    for (const std::string& warning : warnings) say("Warning: " + warning + "\n");
    return list;
  }
  const Tape tape{point_of(options.from), point_of(options.to)};
  if (tape.from_m == tape.to_m) throw InputError("both points are the same; give two, each near a face of a wall");
  return {{{"tape", tape, {}}}, false};
}

/// What cannot be answered, and what is no plain tape across. Throws `PoorData` where nothing can be answered.
void tell_odd_answers(const std::vector<AnsweredTape>& tapes, double scale_sd, bool all) {
  std::size_t missing = 0;
  for (const AnsweredTape& tape : tapes) {
    if (!tape.answer.measure) {
      ++missing;
      if (tapes.size() > 1) say(no_wall_sentence(tape) + ".\n");
    } else if (all || is_odd(tape)) {
      say(tape_sentence(tape, scale_sd));
    }
  }
  if (missing < tapes.size()) return;
  throw PoorData(tapes.size() == 1 ? no_wall_sentence(tapes.front())
                                   : "none of the tapes has a face of a wall near both points");
}

/// Those with a tape's word. What is measured from point to point depends on where the points lie, and tells nothing.
std::vector<TapeReading> readings_of(const std::vector<AnsweredTape>& tapes, double tape_sd_m,
                                     std::vector<std::string>& names) {
  std::vector<TapeReading> readings;
  for (const AnsweredTape& tape : tapes) {
    if (!tape.asked.tape_m || !tape.answer.measure) continue;
    if (tape.answer.measure->kind == TapeKind::point_to_point) {
      say(printable(tape.asked.name) +
          " is left out of the comparison: between faces that are not parallel, a tape tells nothing of the map.\n");
      continue;
    }
    readings.push_back({*tape.asked.tape_m, tape_sd_m, *tape.answer.measure});
    names.push_back(tape.asked.name);
  }
  return readings;
}

/// The verdict, and the lines for robot.yaml where they are wanted.
void compare_with_tapes(const MeasureOptions& options, const SavedMap& saved, const MeasurableMap& map,
                        const std::vector<AnsweredTape>& answered) {
  std::vector<std::string> names;
  const std::vector<TapeReading> readings = readings_of(answered, options.tape_sd_m, names);
  if (readings.empty()) {
    if (!options.robot_lines) return;
    throw PoorData(printable(options.tapes.string(), 200) +
                   ": has no tape_m for a tape between parallel faces or corners; --robot-lines needs one");
  }
  const TapeCheck check = check_tapes(readings, map.scale_sd());
  say(verdict_text(check, names));
  if (!options.robot_lines) {
    say(check.agreement < least_agreement
            ? "Lines for robot.yaml that put it right: the same command with --robot-lines.\n"
            : "Nothing has to be put right; --robot-lines prints the constants as the tapes refine them.\n");
    return;
  }
  // The tapes' own faces may be brighter or darker than the house's mean by some millimetres.
  const double offset_sd_m = std::hypot(map.range_offset_sd_m(), WallModel().piece_bias_sd_m);
  const MapCorrection correction = correct_map(readings, map.scale_sd(), offset_sd_m);
  print_result(robot_lines(saved.map, saved.drives.front().robot, correction));
  say(fmt::format(
      "{} robot.yaml in place of those there and build the map again; its scale is then known to {} (standard "
      "uncertainty).\n",
      check.agreement < least_agreement ? "Put these keys into"
                                        : "Map and tapes agree, so nothing has to be put right. For a "
                                          "better known scale, put these keys into",
      percent_text(correction.scale_sd)));
}

void run_measure(const MeasureOptions& options) {
  check_question(options);
  // Before the map is read: whatever is wrong with the question.
  for (const std::string& point : {options.from, options.to, options.room}) {
    if (!point.empty()) point_of(point);
  }
  SavedMap saved = read_map(options.map);
  const double gone_m = gone_length_m(saved.map.wall_pieces, saved.map.grid);
  saved.map.wall_pieces = standing_pieces(saved.map.wall_pieces, saved.map.grid);
  const TapeList list = tapes_asked(options, saved.map);
  const MeasurableMap map(saved.map, placed_returns(saved.map, saved.drives));
  std::vector<AnsweredTape> answered;
  for (const NamedTape& tape : list.tapes) answered.push_back({tape, measure_tape(map, tape.tape)});

  if (saved.origin.simulated) say("Simulated drive: these figures say nothing of a real robot.\n");
  if (gone_m > 0.0) {
    say(
        fmt::format("Not measured to: {} of faces that were gone when the robot last looked; the grid shows the house "
                    "as it was seen "
                    "last.\n",
                    length_text(gone_m)));
  }
  if (!options.robot_lines) print_result(tape_table(answered, list.has_tape_column));
  tell_odd_answers(answered, map.scale_sd(), options.tapes.empty());
  compare_with_tapes(options, saved, map, answered);
}

}  // namespace

void add_measure(CLI::App& app) {
  auto options = std::make_shared<MeasureOptions>();
  CLI::App* measure = app.add_subcommand(
      "measure", "Say how far two walls of a map are apart and how sure that is, or whether map and tape agree.");
  measure->add_option("MAP", options->map, "the folder of a map")->required();
  measure
      ->add_option("FROM", options->from,
                   "a point X,Y in metres of the map's frame, within 0.4 m of the face of a wall")
      ->type_name("X,Y");
  measure->add_option("TO", options->to, "another one, near the wall that is to be measured to")->type_name("X,Y");
  measure
      ->add_option(
          "--tapes", options->tapes,
          "a list of tapes in metres: name,x1_m,y1_m,x2_m,y2_m and optionally tape_m, what a tape measure says")
      ->type_name("FILE");
  measure->add_option("--room", options->room, "width and depth of the room around this point, face to face")
      ->type_name("X,Y");
  add_tape_sd(*measure, options->tape_sd_m);
  measure->add_flag("--robot-lines", options->robot_lines,
                    "print the wheels' and the lidar's constants as the tapes correct them, as lines for robot.yaml, "
                    "in place of the table");
  measure->footer(
      "Points are read off the edges of wainscot draw's picture, or in the tape measure of report.html. Distances come "
      "from the scans' points by the path found, not from the grid's cells; what a later drive found gone is not "
      "measured to.\n"
      "Standard output is a table in CSV, in metres; standard error says in words what it means.\n\n"
      "Example:\n  wainscot measure flat 0.7,-1.4 0.2,2.8\n  wainscot measure flat --room 0.5,0\n"
      "  wainscot measure flat --tapes tapes.csv");
  measure->callback([options] { run_measure(*options); });
}

}  // namespace wainscot
