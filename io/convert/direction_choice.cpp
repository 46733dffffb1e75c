#include "io/convert/direction_choice.hpp"

#include <optional>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "io/convert/column_text.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

DirectionEvidence evidence_of(const LogSample& sample, const RangeGuess& ranges, const ChosenMotion& motion) {
  DirectionEvidence evidence;
  if (const WheelGuess* const wheels = motion.wheels()) {
    evidence.fit = wheels->fit;
    evidence.names = side_by_names(sample, *wheels);
  }
  if (const OdometryGuess* const odometry = motion.odometry()) {
    evidence.fit = odometry->fit;
    evidence.odometry = true;
    evidence.flipped = odometry->flipped;
  }
  if (evidence.fit && evidence.fit->strides == 0) evidence.fit.reset();
  if (motion.gyro() != nullptr) evidence.gyro_against_lidar = motion.gyro()->against_lidar;
  evidence.angles_told = ranges.angles_told || ranges.open;
  return evidence;
}

/// Asks and tells which wheel is the left one, where no name says so.
void settle_sides(const LogSample& sample, const WheelGuess& wheels, ChosenDirection& chosen, GuessItems& items) {
  const std::vector<SampleColumn>& columns = sample.files[wheels.records.file].kinds[wheels.records.kind].columns;
  const bool swapped = chosen.likeliest().swapped;
  GuessedItem item{"left wheel",
                   name_text(columns[swapped ? wheels.second : wheels.first].name),
                   "no name says which is which: left stands before right in most logs, and wheels and scans agree so "
                   "or in a mirror",
                   percent_of(chosen.all, [](const Direction& d) { return d.swapped; }),
                   {name_text(columns[swapped ? wheels.first : wheels.second].name)}};
  const std::optional<std::size_t> answer = items.ask(item);
  items.tell(ItemSection::motion, std::move(item));
  if (!answer) return;
  chosen.evidence.names = (*answer == 0) == swapped ? -1 : 1;
  chosen.all = directions(chosen.evidence);
}

void settle_lidar(const ChosenRanges& ranges, const ChosenMotion& motion, ChosenDirection& chosen, GuessItems& items) {
  const bool mirrored = chosen.likeliest().mirrored;
  const char* const by = motion.wheels() != nullptr     ? "the wheels'"
                         : motion.odometry() != nullptr ? "the odometry's"
                                                        : "the gyro's";
  GuessedItem item{"direction of the lidar",
                   mirrored ? "its angles grow clockwise" : "its angles grow counter-clockwise",
                   chosen.evidence.fit || motion.gyro() != nullptr
                       ? fmt::format("so its {} of turns agree with {}", angle_text(ranges.track.turned_rad), by)
                       : "nothing in the log tells it, and most count so",
                   percent_of(chosen.all, [](const Direction& way) { return way.mirrored; }),
                   {mirrored ? "its angles grow counter-clockwise" : "its angles grow clockwise"}};
  if (items.ask(item).value_or(0) != 0) {
    std::erase_if(chosen.all, [mirrored](const Direction& way) { return way.mirrored == mirrored; });
  }
  items.tell(ItemSection::lidar, std::move(item));
}

void tell_counters(const ChosenDirection& chosen, GuessItems& items) {
  const Direction& d = chosen.likeliest();
  if (!d.left_backwards && !d.right_backwards) return;
  items.tell(
      ItemSection::motion,
      {"counters that run backwards",
       d.left_backwards && d.right_backwards ? "both"
       : d.left_backwards                    ? "the left one"
                                             : "the right one",
       "so the wheels' ways agree with the lidar's, which looks ahead then",
       percent_of(chosen.all, [](const Direction& way) { return std::pair(way.left_backwards, way.right_backwards); }),
       {d.right_backwards ? "the left one" : "the right one"}});
}

void tell_odometry_signs(const OdometryGuess& odometry, const ChosenDirection& chosen, GuessItems& items) {
  const Direction& d = chosen.likeliest();
  if (!d.swapped && !odometry.flipped && !d.left_backwards) return;
  const bool clockwise = d.swapped == odometry.flipped;
  items.tell(ItemSection::motion, {"signs of the odometry",
                                   clockwise ? "the heading runs clockwise" : "y points to the right",
                                   "so x and y go where the heading points, as the lidar does",
                                   percent_of(chosen.all, [](const Direction& way) { return way.swapped; }),
                                   {clockwise ? "y points to the right" : "the heading runs clockwise"}});
}

void tell_gyro(const LogSample& sample, const ChosenMotion& motion, const ChosenDirection& chosen, GuessItems& items) {
  const GyroGuess& gyro = *motion.gyro();
  const auto text = [&sample](const GyroGuess& g) {
    return column_text(sample, g.records.file, g.records.kind, g.column);
  };
  std::vector<std::string> others;
  for (std::size_t i = 1; i < motion.all.gyros.size(); ++i) others.push_back(text(motion.all.gyros[i]));
  items.tell(
      ItemSection::gyro,
      {"yaw rate",
       fmt::format("{}, {}{}", text(gyro), gyro.unit, chosen.likeliest().gyro_backwards ? ", clockwise positive" : ""),
       fmt::format("it explains {} of the turns that the scans show, {} of the lidar's for one of its own",
                   percent_text(gyro.records.clock.explained), percent_text(gyro.gain)),
       percent_of(chosen.all, [](const Direction& way) { return way.gyro_backwards; }), others});
}

}  // namespace

ChosenDirection choose_direction(const LogSample& sample, const ChosenRanges& ranges, const ChosenMotion& motion,
                                 GuessItems& items) {
  ChosenDirection chosen;
  chosen.evidence = evidence_of(sample, ranges.ranges, motion);
  chosen.all = directions(chosen.evidence);
  if (motion.wheels() != nullptr && chosen.evidence.names == 0) settle_sides(sample, *motion.wheels(), chosen, items);
  settle_lidar(ranges, motion, chosen, items);
  if (motion.wheels() != nullptr) tell_counters(chosen, items);
  if (motion.odometry() != nullptr) tell_odometry_signs(*motion.odometry(), chosen, items);
  if (motion.gyro() != nullptr) tell_gyro(sample, motion, chosen, items);
  return chosen;
}

}  // namespace wainscot
