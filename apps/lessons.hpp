#pragma once

// A path through the mapper for people who want to understand it: questions about one's own drive whose answers other
// commands confirm. Every figure of an answer is computed from the drive at hand.

#include <string>
#include <vector>

#include "core/drive.hpp"
#include "graph/mapping/stage_traces.hpp"

namespace wainscot {

inline constexpr int number_of_lessons = 7;

struct Question {
  std::string question;
  std::string check;  ///< a command, or where in the page to look
  std::string answer;
};

struct Lesson {
  std::string title;
  std::string words;  ///< a few sentences
  std::vector<Question> questions;
};

/// What a lesson asks about.
struct LessonDrive {
  const Drive& drive;
  const DriveExplanation& explanation;
  std::string drive_words;  ///< the drive as a word of a command line
};

/// `number`: 1 .. number_of_lessons, else std::invalid_argument. Lesson 4 maps the drive once more, without closures.
Lesson lesson(int number, const LessonDrive& about);

/// For a terminal; `simulated` is said where the drive is.
std::string lesson_text(int number, const Lesson& lesson, const std::string& drive_words, bool simulated,
                        bool with_answers);

}  // namespace wainscot
