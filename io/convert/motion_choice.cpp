#include "io/convert/motion_choice.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "io/convert/column_text.hpp"
#include "io/convert/column_words.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

std::string text_of(const LogSample& sample, const MotionRecords& records, std::size_t column) {
  return column_text(sample, records.file, records.kind, column);
}

std::string pair_text(const LogSample& sample, const WheelGuess& wheels) {
  return fmt::format("{} and {}{}{}", text_of(sample, wheels.records, wheels.first),
                     text_of(sample, wheels.records, wheels.second), wheels.unit.empty() ? "" : ", in " + wheels.unit,
                     wheels.increments ? ", increments" : ", totals");
}

void tell_wheels(const LogSample& sample, const MotionGuess& guess, GuessItems& items) {
  constexpr double kAsGood = 0.01;
  const WheelGuess& wheels = guess.wheels.front();
  const double explained = wheels.records.clock.explained;
  std::vector<std::string> others;
  int percent = explained > 0.9 ? 99 : 90;
  for (std::size_t i = 1; i < guess.wheels.size(); ++i) {
    const WheelGuess& other = guess.wheels[i];
    others.push_back(pair_text(sample, other));
    if (other.records.clock.explained > explained - kAsGood) percent = std::min(percent, 90);
  }
  if (!guess.odometry.empty()) others.emplace_back("a pose that the robot integrated, which is in the log too");
  items.tell(
      ItemSection::motion,
      {"wheel counts", pair_text(sample, wheels),
       fmt::format("they explain {} of the turns that the scans show", percent_text(explained)), percent, others});
  items.tell_time(ItemSection::motion, "time of the wheels",
                  text_of(sample, wheels.records, wheels.records.time.column), wheels.records.time);
  if (!wheels.wraps_at_bits) return;
  items.tell(ItemSection::motion, {"counters",
                                   fmt::format("wrap at {} bits", *wheels.wraps_at_bits),
                                   "they leap by that much; robot.yaml says so (counter_bits)",
                                   99,
                                   {}});
}

void tell_odometry(const LogSample& sample, const MotionGuess& guess, GuessItems& items) {
  const OdometryGuess& o = guess.odometry.front();
  std::vector<std::string> others;
  for (std::size_t i = 1; i < guess.odometry.size(); ++i) {
    const OdometryGuess& other = guess.odometry[i];
    const std::vector<SampleColumn>& columns = sample.files[other.records.file].kinds[other.records.kind].columns;
    others.push_back(
        fmt::format("{}, {}, {}", columns[other.x].name, columns[other.y].name, columns[other.heading].name));
  }
  items.tell(ItemSection::motion,
             {"odometry",
              fmt::format("{}, {}, {}", text_of(sample, o.records, o.x), text_of(sample, o.records, o.y),
                          text_of(sample, o.records, o.heading)),
              fmt::format(
                  "the heading, in {}, explains {} of the turns that the scans show, and {} of the way in x and y goes "
                  "along it",
                  o.heading_unit, percent_text(o.records.clock.explained), percent_text(std::abs(o.arcs))),
              99, others});
  const double metre = std::abs(o.fit.left_m_per_tick);
  items.tell(ItemSection::motion, {"unit of x and y",
                                   o.unit,
                                   fmt::format("one metre of them is {} by the lidar", length_text(metre)),
                                   metre > 0.7 && metre < 1.4 ? 98 : 70,
                                   {}});
  items.tell_time(ItemSection::motion, "time of the odometry", text_of(sample, o.records, o.records.time.column),
                  o.records.time);
}

void tell_none(const LidarTrack& track, GuessItems& items) {
  items.tell(ItemSection::motion,
             {"wheels or odometry",
              "none",
              track.tells() ? "no columns follow the turns that the scans show; the scans alone will say how the robot "
                              "moved"
                            : "the scans show too little motion to hold other columns against it",
              track.tells() ? 85 : 40,
              {"the wheels' speeds, which a program has to add up: columns.yaml knows counts, ways and poses"}});
}

}  // namespace

const MotionRecords* ChosenMotion::records() const {
  if (wheels() != nullptr) return &wheels()->records;
  return odometry() != nullptr ? &odometry()->records : nullptr;
}

int side_by_names(const LogSample& sample, const WheelGuess& wheels) {
  const std::vector<SampleColumn>& columns = sample.files[wheels.records.file].kinds[wheels.records.kind].columns;
  return left_before_right(columns[wheels.first].label, columns[wheels.second].label);
}

ChosenMotion choose_motion(const LogSample& sample, MotionGuess guess, const LidarTrack& track, GuessItems& items) {
  const auto score = [&sample](const WheelGuess& w) {
    return w.records.clock.explained + (side_by_names(sample, w) != 0 ? 0.01 : 0.0) + (w.increments ? 0.0 : 0.005);
  };
  std::stable_sort(guess.wheels.begin(), guess.wheels.end(),
                   [&](const WheelGuess& a, const WheelGuess& b) { return score(a) > score(b); });
  if (!guess.wheels.empty()) {
    tell_wheels(sample, guess, items);
  } else if (!guess.odometry.empty()) {
    tell_odometry(sample, guess, items);
  } else {
    tell_none(track, items);
  }
  return {std::move(guess)};
}

}  // namespace wainscot
