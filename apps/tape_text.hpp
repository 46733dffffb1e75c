#pragma once

// What `measure` says, as text: the table of io/FORMATS.md, sentences for people, and lines for robot.yaml.

#include <string>
#include <vector>

#include "core/robot.hpp"
#include "graph/measure/tape.hpp"
#include "graph/measure/tape_check.hpp"
#include "io/log/tape_reader.hpp"

namespace wainscot {

/// Differences so large that they come by chance less often than this mean that map and tape do not agree.
constexpr double least_agreement = 0.05;

/// A tape with its answer.
struct AnsweredTape {
  NamedTape asked;
  TapeAnswer answer;
};

/// name,distance_m,standard_uncertainty_m and, where `with_tape`, tape_m,difference_m (map - tape); cells without a
/// value are empty.
std::string tape_table(const std::vector<AnsweredTape>& tapes, bool with_tape);

/// Whether the answer needs a word: not square across, or the points far from opposite each other, which leaves the
/// direction of the tape to the faces alone.
bool is_odd(const AnsweredTape& tape);

/// One sentence: between which places, how, and how sure. `tape` must have been measured.
std::string tape_sentence(const AnsweredTape& tape, double scale_sd);

/// One sentence without full stop: why there is no answer, and how far the nearest wall is.
std::string no_wall_sentence(const AnsweredTape& tape);

/// Whether map and tapes agree, in plain words; several lines. `names`: of the readings, in their order.
std::string verdict_text(const TapeCheck& check, const std::vector<std::string>& names);

/// Keys and values for robot.yaml, with which the map built again comes out as the tapes say.
std::string robot_lines(const Map& map, const Robot& stated, const MapCorrection& correction);

}  // namespace wainscot
