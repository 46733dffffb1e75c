#include "io/convert/column_guess.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "core/errors.hpp"
#include "core/median.hpp"
#include "io/convert/column_words.hpp"
#include "io/convert/direction_guess.hpp"
#include "io/convert/lidar_track.hpp"
#include "io/convert/motion_guess.hpp"
#include "io/convert/range_guess.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

// Sections of columns.yaml whose names are settled at last.
constexpr const char* kLidar = "lidar";
constexpr const char* kMotion = "motion";

constexpr std::size_t kComparedScans = 250;   // some 30 s of an ordinary lidar: which of several arrays are the ranges
constexpr std::size_t kFollowedScans = 1200;  // two or three minutes

const RecordKind& kind_at(const LogSample& sample, std::size_t file, std::size_t kind) {
  return sample.files[file].kinds[kind];
}

/// A name as people read it: a table's column without one has its number.
std::string name_text(const std::string& name) {
  return name.find_first_not_of("0123456789") == std::string::npos ? "column " + name : name;
}

/// A column as people find it: its file where there are several, its message, its name.
std::string column_text(const LogSample& sample, std::size_t file, std::size_t kind, std::size_t column) {
  const RecordKind& records = kind_at(sample, file, kind);
  std::string text = name_text(records.columns[column].name);
  if (!records.choice.message.empty()) text += " of " + records.choice.message;
  return sample.files.size() > 1 ? text + " in " + sample.files[file].file.name : text;
}

std::string form_text(const LogFile& file) {
  if (file.form == LineForm::json) return "JSON lines";
  constexpr std::array kNames = {"commas", "semicolons", "tabs", "blanks"};
  return fmt::format("a table, separated by {}, {}", kNames.at(static_cast<std::size_t>(file.separator)),
                     file.header ? "with a header" : "without a header");
}

/// One guess in the making.
class Guesser {
 public:
  Guesser(const LogSample& sample, const AskUser& ask) : sample_(sample), ask_(ask) {}

  ColumnGuess guess() {
    tell_files();
    choose_ranges();
    motion_ = guess_motion(sample_, ranges_, track_);
    choose_motion();
    choose_direction();
    fill_columns();
    tell_robot();
    for (GuessedItem& item : result_.items) {
      if (item.section == kLidar) item.section = ranges_.array ? "scans" : "returns";
      if (item.section == kMotion)
        item.section = wheels_ != nullptr ? "wheels" : odometry_ != nullptr ? "odometry" : "";
    }
    return std::move(result_);
  }

 private:
  void tell_files() {
    for (const SampledFile& file : sample_.files) {
      result_.columns.files.push_back(file.file);
      std::string kinds;
      for (const RecordKind& kind : file.kinds) {
        if (kind.choice.message.empty()) continue;
        kinds += fmt::format("{}{} ({})", kinds.empty() ? "" : ", ", kind.choice.message, kind.records);
      }
      tell("", {"form of " + file.file.name,
                form_text(file.file),
                kinds.empty() ? fmt::format("{} of one kind were read", count_text(records_of(file), "record"))
                              : "messages and how many of each: " + kinds,
                99,
                {}});
    }
  }

  static std::size_t records_of(const SampledFile& file) {
    std::size_t records = 0;
    for (const RecordKind& kind : file.kinds) records += kind.records;
    return records;
  }

  /// Asks where two answers fit; the index of the answer, 0 where nobody is there to ask.
  std::size_t ask(GuessedItem& item) {
    if (!ask_ || item.percent >= kSurePercent || item.others.empty()) return 0;
    std::vector<std::string> answers = item.others;
    answers.insert(answers.begin(), item.value);
    const std::size_t answer = ask_(item, answers);
    std::swap(answers[0], answers[answer]);
    item.value = answers.front();
    item.why += "; you said so";
    item.percent = 100;
    item.others.clear();
    return answer;
  }

  void ask_unit(RangeGuess& ranges) {
    for (GuessedItem& item : ranges.items) {
      if (item.what != "unit of the ranges" || ask(item) == 0) continue;
      ranges.values.unit = item.value;
      ranges.values.unit_m = item.value == "m" ? 1.0 : item.value == "cm" ? 0.01 : 0.001;
    }
  }

  void choose_ranges() {
    std::vector<RangeGuess> guesses = guess_ranges(sample_);
    if (guesses.empty()) {
      throw PoorData(
          "no guess: nothing in the logs looks like a lidar's ranges, many values a record or angle and range a "
          "record, "
          "with a time that grows; write columns.yaml by hand and give it with --columns");
    }
    constexpr std::size_t kMost = 4;
    constexpr double kClearlyLess = 0.35;
    std::size_t best = 0;
    double best_sure = -1.0;
    if (guesses.size() > 1) {
      for (std::size_t i = 0; i < std::min(kMost, guesses.size()); ++i) {
        if (guesses[i].likeness < guesses.front().likeness - kClearlyLess) break;
        const double sure = track_lidar(sampled_scans(sample_, guesses[i], kComparedScans)).sure;
        if (sure <= best_sure + 0.02) continue;
        best_sure = sure;
        best = i;
      }
    }
    ranges_ = std::move(guesses[best]);
    ask_unit(ranges_);
    track_ = track_lidar(sampled_scans(sample_, ranges_, kFollowedScans));
    const RecordKind& kind = kind_at(sample_, ranges_.file, ranges_.kind);
    const std::string on = ranges_.array && !kind.arrays[*ranges_.array].last_name.empty() ? " and on" : "";
    const std::string where = ranges_.array
                                  ? fmt::format("{}{}", name_text(kind.arrays[*ranges_.array].name) + on,
                                                kind.choice.message.empty() ? "" : " of " + kind.choice.message)
                                  : column_text(sample_, ranges_.file, ranges_.kind, ranges_.range_column);
    tell(kLidar, {"ranges",
                  where,
                  fmt::format("neighbours are alike, and {} of {} turns fit the one before as walls do",
                              percent_text(track_.sure), track_.scans.scans.size()),
                  track_.sure > 0.7   ? 99
                  : track_.sure > 0.4 ? 90
                                      : 50,
                  {}});
    tell_time(kLidar, "time of the scans", ranges_.file, ranges_.kind, ranges_.time);
    for (const GuessedItem& item : ranges_.items) tell(kLidar, item);
  }

  void tell(const std::string& section, GuessedItem item) {
    item.section = section;
    result_.items.push_back(std::move(item));
  }

  void tell_time(const std::string& section, const std::string& what, std::size_t file, std::size_t kind,
                 const TimeGuess& time) {
    tell(section, {what, column_text(sample_, file, kind, time.column) + ", " + time.unit, time.why,
                   time.sure ? 99 : 90, time.other_units});
  }

  std::string pair_text(const WheelGuess& wheels) const {
    return fmt::format(
        "{} and {}{}", column_text(sample_, wheels.records.file, wheels.records.kind, wheels.first),
        column_text(sample_, wheels.records.file, wheels.records.kind, wheels.second),
        (wheels.unit.empty() ? "" : ", in " + wheels.unit) + (wheels.increments ? ", increments" : ", totals"));
  }

  int names_of(const WheelGuess& wheels) const {
    const RecordKind& kind = kind_at(sample_, wheels.records.file, wheels.records.kind);
    return left_before_right(kind.columns[wheels.first].label, kind.columns[wheels.second].label);
  }

  void choose_motion() {
    const auto score = [this](const WheelGuess& w) {
      return w.records.clock.explained + (names_of(w) != 0 ? 0.01 : 0.0) + (w.increments ? 0.0 : 0.005);
    };
    std::stable_sort(motion_.wheels.begin(), motion_.wheels.end(),
                     [&](const WheelGuess& a, const WheelGuess& b) { return score(a) > score(b); });
    if (!motion_.wheels.empty()) {
      wheels_ = &motion_.wheels.front();
      tell_wheels();
    } else if (!motion_.odometry.empty()) {
      odometry_ = &motion_.odometry.front();
      tell_odometry();
    } else {
      tell(kMotion, {"wheels or odometry",
                     "none",
                     track_.tells() ? "no columns follow the turns that the scans show; the scans alone will "
                                      "say how the robot moved"
                                    : "the scans show too little motion to hold other columns against it",
                     track_.tells() ? 85 : 40,
                     {"the wheels' speeds, which a program has to add up: columns.yaml knows counts, ways and "
                      "poses"}});
    }
    if (!motion_.gyros.empty()) gyro_ = &motion_.gyros.front();
  }

  void tell_wheels() {
    constexpr double kAsGood = 0.01;
    std::vector<std::string> others;
    const double explained = wheels_->records.clock.explained;
    int percent = explained > 0.9 ? 99 : 90;
    for (std::size_t i = 1; i < motion_.wheels.size(); ++i) {
      const WheelGuess& other = motion_.wheels[i];
      others.push_back(pair_text(other));
      if (other.records.clock.explained > explained - kAsGood) percent = std::min(percent, 90);
    }
    if (!motion_.odometry.empty()) others.emplace_back("a pose that the robot integrated, which is in the log too");
    tell(kMotion,
         {"wheel counts", pair_text(*wheels_),
          fmt::format("they explain {} of the turns that the scans show", percent_text(explained)), percent, others});
    tell_time(kMotion, "time of the wheels", wheels_->records.file, wheels_->records.kind, wheels_->records.time);
    if (wheels_->wraps_at_bits) {
      tell(kMotion, {"counters",
                     fmt::format("wrap at {} bits", *wheels_->wraps_at_bits),
                     "they leap by that much; robot.yaml says so (counter_bits)",
                     99,
                     {}});
    }
  }

  void tell_odometry() {
    const OdometryGuess& o = *odometry_;
    const auto text = [&](std::size_t c) { return column_text(sample_, o.records.file, o.records.kind, c); };
    std::vector<std::string> others;
    for (std::size_t i = 1; i < motion_.odometry.size(); ++i) {
      const OdometryGuess& other = motion_.odometry[i];
      others.push_back(
          fmt::format("{}, {}, {}", kind_at(sample_, other.records.file, other.records.kind).columns[other.x].name,
                      kind_at(sample_, other.records.file, other.records.kind).columns[other.y].name,
                      kind_at(sample_, other.records.file, other.records.kind).columns[other.heading].name));
    }
    tell(kMotion,
         {"odometry", fmt::format("{}, {}, {}", text(o.x), text(o.y), text(o.heading)),
          fmt::format(
              "the heading, in {}, explains {} of the turns that the scans show, and {} of the way in x and y goes "
              "along it",
              o.heading_unit, percent_text(o.records.clock.explained), percent_text(std::abs(o.arcs))),
          99, others});
    const double metre = std::abs(o.fit.left_m_per_tick);
    tell(kMotion, {"unit of x and y",
                   o.unit,
                   fmt::format("one metre of them is {} by the lidar", length_text(metre)),
                   metre > 0.7 && metre < 1.4 ? 98 : 70,
                   {}});
    tell_time(kMotion, "time of the odometry", o.records.file, o.records.kind, o.records.time);
  }

  void ask_sides() {
    if (!wheels_ || evidence_.names != 0) return;
    GuessedItem& item = result_.items.emplace_back();
    const RecordKind& kind = kind_at(sample_, wheels_->records.file, wheels_->records.kind);
    const bool swapped = directions_.front().swapped;
    item.section = kMotion;
    item.what = "left wheel";
    item.value = kind.columns[swapped ? wheels_->second : wheels_->first].name;
    item.others = {kind.columns[swapped ? wheels_->first : wheels_->second].name};
    item.percent = percent_of(directions_, [](const Direction& d) { return d.swapped; });
    item.why =
        "no name says which is which: left stands before right in most logs, and wheels and scans agree so or in "
        "a mirror";
    const std::size_t answer = ask(item);
    const bool answered = item.percent == 100;
    if (!answered) return;
    evidence_.names = (answer == 0) == swapped ? -1 : 1;
    directions_ = directions(evidence_);
  }

  void choose_direction() {
    if (wheels_) evidence_.fit = wheels_->fit;
    if (odometry_) {
      evidence_.fit = odometry_->fit;
      evidence_.odometry = true;
      evidence_.flipped = odometry_->flipped;
    }
    if (evidence_.fit && evidence_.fit->strides == 0) evidence_.fit.reset();
    if (wheels_) evidence_.names = names_of(*wheels_);
    if (gyro_) evidence_.gyro_against_lidar = gyro_->against_lidar;
    evidence_.angles_told = ranges_.angles_told || ranges_.open;
    directions_ = directions(evidence_);
    ask_sides();
    const Direction& d = directions_.front();
    GuessedItem lidar{"direction of the lidar",
                      d.mirrored ? "clockwise" : "counter-clockwise",
                      evidence_.fit || gyro_
                          ? fmt::format("so its {} of turns agree with {}", angle_text(track_.turned_rad),
                                        wheels_     ? "the wheels'"
                                        : odometry_ ? "the odometry's"
                                                    : "the gyro's")
                          : "nothing in the log tells it, and most count so",
                      percent_of(directions_, [](const Direction& way) { return way.mirrored; }),
                      {d.mirrored ? "counter-clockwise" : "clockwise"}};
    if (ask(lidar) != 0) {
      std::erase_if(directions_, [mirrored = d.mirrored](const Direction& way) { return way.mirrored == mirrored; });
    }
    tell(kLidar, std::move(lidar));
    tell_signs();
  }

  void tell_signs() {
    const Direction& d = directions_.front();
    if (wheels_ && (d.left_backwards || d.right_backwards)) {
      tell(kMotion,
           {"counters that run backwards",
            d.left_backwards && d.right_backwards ? "both"
            : d.left_backwards                    ? "the left one"
                                                  : "the right one",
            "so the wheels' ways agree with the lidar's, which looks ahead then",
            percent_of(directions_,
                       [](const Direction& way) { return std::pair(way.left_backwards, way.right_backwards); }),
            {d.right_backwards ? "the left one" : "the right one"}});
    }
    if (odometry_ && (d.swapped || odometry_->flipped || d.left_backwards)) {
      tell(kMotion, {"signs of the odometry",
                     d.swapped == odometry_->flipped ? "the heading runs clockwise" : "y points to the right",
                     "so x and y go where the heading points, as the lidar does",
                     percent_of(directions_, [](const Direction& way) { return way.swapped; }),
                     {d.swapped == odometry_->flipped ? "y points to the right" : "the heading runs clockwise"}});
    }
    if (!gyro_) return;
    std::vector<std::string> others;
    for (std::size_t i = 1; i < motion_.gyros.size(); ++i) {
      others.push_back(
          column_text(sample_, motion_.gyros[i].records.file, motion_.gyros[i].records.kind, motion_.gyros[i].column));
    }
    tell("gyro", {"yaw rate",
                  fmt::format("{}, {}{}", column_text(sample_, gyro_->records.file, gyro_->records.kind, gyro_->column),
                              gyro_->unit, d.gyro_backwards ? ", clockwise positive" : ""),
                  fmt::format("it explains {} of the turns that the scans show, {} of the lidar's for one of its own",
                              percent_text(gyro_->records.clock.explained), percent_text(gyro_->gain)),
                  percent_of(directions_, [](const Direction& way) { return way.gyro_backwards; }), others});
  }

  static Quantity quantity(const std::string& column, const std::string& unit, bool negative = false) {
    Quantity q;
    q.column = column;
    q.unit = unit;
    q.sign = negative ? -1 : 1;
    return q;
  }

  static Quantity constant(double value, const std::string& unit, bool negative) {
    Quantity q;
    q.constant = negative ? -value : value;
    q.unit = unit;
    return q;
  }

  Quantity quantity_of(const MotionRecords& records, std::size_t column, const std::string& unit,
                       bool negative = false) const {
    return quantity(kind_at(sample_, records.file, records.kind).columns[column].name, unit, negative);
  }

  /// `needed`: the column or array without which a record is another one, where no message tells them apart.
  RecordChoice choice_of(std::size_t file, std::size_t kind, const std::string& needed) const {
    RecordChoice choice = kind_at(sample_, file, kind).choice;
    if (sample_.files.size() == 1) choice.file.clear();
    const auto in_all = [&](const RecordKind& records) {
      return std::any_of(records.columns.begin(), records.columns.end(),
                         [&](const SampleColumn& c) {
                           return c.name == needed && std::none_of(c.values.begin(), c.values.end(),
                                                                   [](double v) { return std::isnan(v); });
                         }) ||
             std::any_of(records.arrays.begin(), records.arrays.end(), [&](const SampleArray& a) {
               return a.name == needed &&
                      std::none_of(a.rows.begin(), a.rows.end(), [](const auto& row) { return row.empty(); });
             });
    };
    const std::vector<RecordKind>& kinds = sample_.files[file].kinds;
    if (choice.message_column.empty() && !std::all_of(kinds.begin(), kinds.end(), in_all))
      choice.message_column = needed;
    return choice;
  }

  RecordChoice choice_of(const MotionRecords& records, std::size_t column) const {
    return choice_of(records.file, records.kind, kind_at(sample_, records.file, records.kind).columns[column].name);
  }

  /// What is added to the scans' times, and to the gyro's.
  void set_offsets() {
    constexpr double kWorthSaying = 0.3;  // s; less is a delay, which the map's making finds to a millisecond
    const MotionRecords* motion = wheels_ ? &wheels_->records : odometry_ ? &odometry_->records : nullptr;
    const auto differs = [](const MotionRecords& records) {
      return records.own_clock || std::abs(records.clock.offset_s) > kWorthSaying;
    };
    const auto tell_clock = [this](const std::string& section, const std::string& what, double offset_s,
                                   const MotionRecords& by) {
      tell(section, {what,
                     fmt::format("{} s are added", short_text(offset_s, 3)),
                     fmt::format("the files have clocks of their own, and turns agree best so: {} explained, "
                                 "standard uncertainty {} s",
                                 percent_text(by.clock.explained), short_text(by.clock.offset_sd_s, 4)),
                     by.clock.explained > 0.9 ? 97 : 85,
                     {}});
    };
    if (motion && differs(*motion)) {
      scans_offset_s_ = motion->lidar_offset_s();
      tell_clock(kLidar, "clock of the scans", scans_offset_s_, *motion);
    }
    if (gyro_ && (differs(gyro_->records) || scans_offset_s_ != 0.0)) {
      const double offset_s = scans_offset_s_ - (differs(gyro_->records) ? gyro_->records.lidar_offset_s() : 0.0);
      const bool with_motion = motion && motion->file == gyro_->records.file;
      if (with_motion || std::abs(offset_s) < kWorthSaying) return;
      gyro_offset_s_ = offset_s;
      tell_clock("gyro", "clock of the gyro", gyro_offset_s_, gyro_->records);
    }
  }

  void fill_columns() {
    set_offsets();
    LogColumns& columns = result_.columns;
    const Direction& d = directions_.front();
    const auto time_of = [this](const MotionRecords& records) {
      return quantity_of(records, records.time.column, records.time.unit);
    };
    if (wheels_) {
      const bool s = d.swapped;
      columns.wheels = WheelColumns{
          choice_of(wheels_->records, wheels_->first), time_of(wheels_->records),
          quantity_of(wheels_->records, s ? wheels_->second : wheels_->first, wheels_->unit, d.left_backwards),
          quantity_of(wheels_->records, s ? wheels_->first : wheels_->second, wheels_->unit, d.right_backwards),
          wheels_->increments};
    }
    if (odometry_) {
      const OdometryGuess& o = *odometry_;
      const bool negate_y = o.flipped != d.swapped;
      columns.odometry = OdometryColumns{
          choice_of(o.records, o.x), time_of(o.records), quantity_of(o.records, o.x, o.unit),
          quantity_of(o.records, o.y, o.unit, negate_y), quantity_of(o.records, o.heading, o.heading_unit, d.swapped)};
    }
    if (gyro_) {
      columns.gyro = GyroColumns{choice_of(gyro_->records, gyro_->column), time_of(gyro_->records),
                                 quantity_of(gyro_->records, gyro_->column, gyro_->unit, d.gyro_backwards)};
      columns.gyro->time.offset = gyro_offset_s_;
    }
    fill_ranges(d.mirrored);
  }

  Quantity angle_quantity(const RecordKind& kind, const AngleGuess& angle, bool mirrored) const {
    return angle.column ? quantity(kind.columns[*angle.column].name, angle.unit, mirrored)
                        : constant(angle.value, angle.unit, mirrored && angle.value != 0.0);
  }

  void fill_ranges(bool mirrored) {
    const RecordKind& kind = kind_at(sample_, ranges_.file, ranges_.kind);
    Quantity time = quantity(kind.columns[ranges_.time.column].name, ranges_.time.unit);
    time.offset = scans_offset_s_;
    if (ranges_.array) {
      const SampleArray& array = kind.arrays[*ranges_.array];
      ScanColumns scans;
      scans.records = choice_of(ranges_.file, ranges_.kind, array.name);
      scans.time = time;
      scans.ranges = array.name;
      if (!array.to_the_end) scans.last_range = array.last_name;
      scans.range_unit = ranges_.values.unit;
      scans.first_angle = angle_quantity(kind, ranges_.first, mirrored);
      scans.angle_step = angle_quantity(kind, ranges_.step, mirrored);
      scans.no_return = ranges_.values.no_return;
      result_.columns.scans = scans;
      return;
    }
    ReturnColumns returns;
    returns.records = choice_of(ranges_.file, ranges_.kind, kind.columns[ranges_.range_column].name);
    returns.time = time;
    returns.range = quantity(kind.columns[ranges_.range_column].name, ranges_.values.unit);
    returns.no_return = ranges_.values.no_return;
    const std::string& angle = kind.columns[ranges_.angle_column].name;
    if (ranges_.numbered) {
      returns.angle = quantity(angle, "");
      returns.angle_step = angle_quantity(kind, ranges_.step, mirrored);
      returns.first_angle = angle_quantity(kind, ranges_.first, mirrored);
    } else {
      returns.angle = quantity(angle, ranges_.first.unit, mirrored);
    }
    result_.columns.returns = returns;
  }

  void tell_robot() {
    const Direction& d = directions_.front();
    Robot& robot = result_.robot;
    if (wheels_ && wheels_->wraps_at_bits) {
      robot.drive = DriveConstants{};
      robot.drive->counter_bits = *wheels_->wraps_at_bits;
    }
    std::vector<double> ranges;
    for (const Scan& scan : track_.scans.scans) {
      for (const Return& beam : scan.returns) ranges.push_back(static_cast<double>(beam.range_m));
    }
    constexpr double kNearlyAll = 0.999;
    robot.lidar.max_range_m = std::max(robot.lidar.max_range_m, std::ceil(quantile(ranges, kNearlyAll)));
    if (!evidence_.fit || !evidence_.fit->drove) return;
    result_.robot_is_known = true;
    if (wheels_) {
      if (!robot.drive) robot.drive = DriveConstants{};
      // Of a way or an angle a tick is a millionth (kTickOfUnit).
      const double unit = wheels_->ticks_of_unit;
      robot.drive->left_m_per_tick = d.left_m_per_tick / unit;
      robot.drive->right_m_per_tick = d.right_m_per_tick / unit;
      robot.drive->track_width_m = evidence_.fit->track_width_m;
    }
    robot.lidar.x_m = rounded(d.mounting.x_m, 3);
    robot.lidar.y_m = rounded(d.mounting.y_m, 3);
    robot.lidar.heading_deg = rounded(d.mounting.heading_rad * kDegreesPerRadian, 1);
  }

  const LogSample& sample_;
  const AskUser& ask_;
  ColumnGuess result_;
  RangeGuess ranges_;
  LidarTrack track_;
  MotionGuess motion_;
  const WheelGuess* wheels_ = nullptr;
  const OdometryGuess* odometry_ = nullptr;
  const GyroGuess* gyro_ = nullptr;
  DirectionEvidence evidence_;
  std::vector<Direction> directions_;
  double scans_offset_s_ = 0.0;
  double gyro_offset_s_ = 0.0;
};

}  // namespace

bool ColumnGuess::has_doubts() const {
  return std::any_of(items.begin(), items.end(), [](const GuessedItem& item) { return item.percent < kSurePercent; });
}

ColumnGuess guess_columns(const LogSample& sample, const AskUser& ask) { return Guesser(sample, ask).guess(); }

}  // namespace wainscot
