#include "tests/bench/invented_log.hpp"

#include <zlib.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <map>
#include <numbers>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

#include "apps/simulator/random.hpp"
#include "apps/simulator/simulate.hpp"
#include "core/angles.hpp"
#include "tests/bench/faulty_drive.hpp"
#include "tests/bench/invented_words.hpp"

namespace wainscot::bench {
namespace {

using simulator::Random;

template <typename T>
T pick(Random& random, const std::vector<T>& choices) {
  return choices[static_cast<std::size_t>(random.below(static_cast<int>(choices.size())))];
}

enum class Arrangement { messages, files, wide };
enum class Form { table, json };
enum class Header { row, comment, none };
enum class ScanForm { turn, angles, numbers };
enum class AnglesTold { not_at_all, start_step, ends, headings, list };
enum class Motion { totals, increments, ways, poses };

struct UnitText {
  std::string name;
  double unit;
  int decimals;
};

/// One layout.
struct LogLayout {
  InventedWords words;
  Arrangement arrangement = Arrangement::messages;
  Form form = Form::table;
  Header header = Header::row;
  std::string separator = ",";
  bool decimal_comma = false;
  bool message_is_number = false, message_behind_time = false, message_in_json = true;
  ScanForm scan_form = ScanForm::turn;
  AnglesTold told = AnglesTold::not_at_all;
  bool radians = false, clockwise = false, numbers_from_one = false;
  UnitText time_unit, range_unit, way_unit;
  bool heading_degrees = false, gyro_degrees = false, gyro_backwards = false;
  std::string no_return;
  bool lost_rows_left_out = false;
  Motion motion = Motion::totals;
  bool right_first = false;
  double origin_s = 0.0, scan_origin_s = 0.0;
  bool own_clocks = false;
  bool gzip = false;
  bool strengths = false, battery = false, powers = false, checksum = false, bumper = false, counter = false;
  bool nested = false;
};

void draw_scans(LogLayout& l, Random& random) {
  const int form = random.below(10);
  l.scan_form = form < 6 ? ScanForm::turn : form < 8 ? ScanForm::angles : ScanForm::numbers;
  l.clockwise = random.chance(0.35);
  l.radians = random.chance(0.3);
  l.range_unit = pick<UnitText>(random, {{"m", 1.0, 3},
                                         {"m", 1.0, 3},
                                         {"m", 1.0, 2},
                                         {"mm", 0.001, 0},
                                         {"mm", 0.001, 0},
                                         {"cm", 0.01, 0},
                                         {"cm", 0.01, 1}});
  const bool json = l.form == Form::json;
  std::vector<AnglesTold> told = {AnglesTold::not_at_all, AnglesTold::not_at_all, AnglesTold::start_step,
                                  AnglesTold::start_step, AnglesTold::ends};
  told.push_back(json ? AnglesTold::list : l.header == Header::row ? AnglesTold::headings : AnglesTold::start_step);
  l.told = pick(random, told);
  std::vector<std::string> nothing = {"0", "0", "-1", "reach", json ? "null" : "nan", json ? "null" : ""};
  if (l.range_unit.name == "mm") nothing.emplace_back("65535");
  if (l.range_unit.name != "m") nothing.emplace_back("9999");
  if (l.range_unit.name == "m") nothing.emplace_back("99.9");
  l.no_return = pick(random, nothing);
  if (l.no_return.empty() && l.separator == " ") l.no_return = "0";
  l.lost_rows_left_out = random.chance(0.3);
  l.numbers_from_one = random.chance(0.1);
}

LogLayout draw_layout(bool scoring, Random& random) {
  LogLayout l;
  l.words = pick(random, invented_words(scoring));
  l.arrangement = pick<Arrangement>(random, {Arrangement::messages, Arrangement::messages, Arrangement::files,
                                             Arrangement::files, Arrangement::wide});
  l.form = random.chance(0.35) ? Form::json : Form::table;
  l.separator = pick<std::string>(random, {",", ",", ";", "\t", " ", ", "});
  l.decimal_comma = random.chance(0.5) && l.separator == ";" && l.form == Form::table;
  const int header = random.below(10);
  l.header = header < 6 ? Header::row : header < 7 ? Header::comment : Header::none;
  if (l.arrangement == Arrangement::messages) l.header = Header::none;
  l.message_is_number = random.chance(0.3);
  l.message_behind_time = random.chance(0.3);
  l.message_in_json = random.chance(0.7);
  draw_scans(l, random);
  l.time_unit = pick<UnitText>(
      random, {{"s", 1.0, 3}, {"s", 1.0, 6}, {"ms", 1e-3, 0}, {"ms", 1e-3, 1}, {"us", 1e-6, 0}, {"ns", 1e-9, 0}});
  const int motion = random.below(10);
  l.motion = motion < 5 ? Motion::totals : motion < 7 ? Motion::increments : motion < 8 ? Motion::ways : Motion::poses;
  l.way_unit = pick<UnitText>(random, {{"m", 1.0, 4}, {"mm", 0.001, 1}, {"cm", 0.01, 2}});
  l.heading_degrees = random.chance(0.5);
  l.gyro_degrees = random.chance(0.5);
  l.gyro_backwards = random.chance(0.1);
  l.right_first = random.chance(0.12);
  l.origin_s =
      random.chance(0.4) ? 1.7e9 + std::floor(random.uniform(0.0, 9e7)) : std::floor(random.uniform(0.0, 9000.0));
  l.scan_origin_s = l.origin_s;
  l.own_clocks = l.arrangement == Arrangement::files && random.chance(0.35);
  if (l.own_clocks) l.scan_origin_s = std::floor(random.uniform(0.0, 50000.0)) + random.uniform(-2.0, 2.0);
  l.gzip = random.chance(0.2);
  l.strengths = random.chance(0.25);
  l.battery = random.chance(0.4);
  l.powers = random.chance(0.3);
  l.checksum = random.chance(0.25);
  l.bumper = random.chance(0.25);
  l.counter = random.chance(0.2);
  l.nested = random.chance(0.4);
  return l;
}

/// A lidar whose angles a maker would choose.
simulator::Plan plan_of(std::uint64_t seed, const LogLayout& layout, Random& random) {
  simulator::Plan plan = short_plan(seed, "calibrated");
  simulator::LidarSpec& lidar = plan.robot.lidar;
  struct Kind {
    int beams;
    double field_deg;
  };
  const auto kind = pick<Kind>(random, {{360, 360.0},
                                        {400, 360.0},
                                        {450, 360.0},
                                        {500, 360.0},
                                        {720, 360.0},
                                        {240, 360.0},
                                        {481, 240.0},
                                        {541, 270.0},
                                        {361, 180.0}});
  const bool open = kind.field_deg < 360.0;
  const double sign = lidar.clockwise ? -1.0 : 1.0;
  lidar.beams = kind.beams;
  lidar.field_deg = kind.field_deg;
  lidar.first_beam_deg = open ? -sign * 0.5 * kind.field_deg : pick<double>(random, {0.0, 0.0, -sign * 180.0});
  if (open) lidar.heading_deg = 0.0;
  lidar.mirrored = false;
  lidar.range_unit_m = 1.0;
  plan.robot.lidar_log = simulator::LidarLog::scans;
  plan.robot.motion_log =
      layout.motion == Motion::poses ? simulator::MotionLog::odometry : simulator::MotionLog::wheels;
  plan.robot.gyro = random.chance(0.35);
  return plan;
}

struct LogField {
  std::string name, text;
  std::vector<std::string> list;
  bool is_list = false, is_word = false;
};

struct LogRecord {
  double arrival_s = 0.0;  ///< by which lines are ordered
  double stamp_s = 0.0;    ///< what the line says, from the drive's begin
  int kind = 0;            ///< 0 wheels, 1 scan, 2 gyro
  std::vector<LogField> fields;
};

class LogWriter {
 public:
  LogWriter(LogLayout layout, simulator::SimulatedDrive drive, simulator::RobotSpec spec, Random random)
      : l_(std::move(layout)), drive_(std::move(drive)), spec_(spec), random_(std::move(random)) {}

  InventedLog write(const std::filesystem::path& folder) {
    fill_motion();
    fill_turns();
    if (l_.arrangement == Arrangement::wide) join_wide();
    fill_gyro();
    write_files(folder);
    tell();
    return std::move(log_);
  }

 private:
  std::string number(double value, int decimals) const {
    std::string text = fmt::format("{:.{}f}", value, decimals);
    if (l_.decimal_comma) std::replace(text.begin(), text.end(), '.', ',');
    return text;
  }

  std::string time_text(double time_s, double origin_s) const {
    if (l_.time_unit.decimals == 0) {
      const double whole = std::floor(origin_s);
      const auto units = static_cast<long long>(std::llround(1.0 / l_.time_unit.unit));
      return fmt::format(
          "{}", static_cast<long long>(whole) * units + std::llround((time_s + origin_s - whole) / l_.time_unit.unit));
    }
    return number((time_s + origin_s) / l_.time_unit.unit, l_.time_unit.decimals);
  }

  LogField field(const std::string& name, std::string text) const { return {name, std::move(text), {}, false, false}; }

  /// What else stands in a wheels' record.
  void add_extras(std::vector<LogField>& fields, double activity) {
    if (l_.powers) {
      fields.push_back(
          field(l_.words.power_left, fmt::format("{}", std::lround(activity * 90.0 + random_.normal() * 12.0))));
      fields.push_back(
          field(l_.words.power_right, fmt::format("{}", std::lround(activity * 90.0 + random_.normal() * 12.0))));
    }
    if (l_.battery) {
      fields.push_back(
          field(l_.words.battery,
                number(12.4 - 0.002 * static_cast<double>(records_.size() % 400) + 0.01 * random_.normal(), 2)));
      fields.push_back(field(l_.words.temperature, number(31.0 + 0.3 * random_.normal(), 1)));
    }
    if (l_.bumper) fields.push_back(field(l_.words.bumper, random_.chance(0.01) ? "1" : "0"));
    if (l_.checksum) fields.push_back(field(l_.words.checksum, fmt::format("{}", random_.below(256))));
  }

  void begin_record(int kind, double time_s, double origin_s) {
    LogRecord& record = records_.emplace_back();
    record.arrival_s = record.stamp_s = time_s;
    record.kind = kind;
    if (l_.counter) record.fields.push_back(field(l_.words.counter, fmt::format("{}", records_.size())));
    record.fields.push_back(field(l_.words.time, time_text(time_s, origin_s)));
  }

  void fill_motion() {
    const double wrap = std::pow(2.0, spec_.counter_bits);
    const double left_sign = spec_.left_m_per_tick < 0.0 ? -1.0 : 1.0;
    const double right_sign = spec_.right_m_per_tick < 0.0 ? -1.0 : 1.0;
    double left = 0.0, right = 0.0;
    for (std::size_t i = 0; i < drive_.wheels.size(); ++i) {
      const WheelCounts& row = drive_.wheels[i];
      const auto step = [&](std::int64_t now, std::int64_t before) {
        return std::remainder(static_cast<double>(now - before), wrap);
      };
      const double dl = i > 0 ? step(row.left_ticks, drive_.wheels[i - 1].left_ticks) : 0.0;
      const double dr = i > 0 ? step(row.right_ticks, drive_.wheels[i - 1].right_ticks) : 0.0;
      left += dl;
      right += dr;
      log_.wheels.push_back({row.time_s, std::llround(left_sign * left), std::llround(right_sign * right)});
      begin_record(0, row.time_s, l_.origin_s);
      std::vector<LogField>& fields = records_.back().fields;
      LogField first, second;
      if (l_.motion == Motion::ways) {
        first = field(l_.words.left,
                      number(left * std::abs(spec_.left_m_per_tick) / l_.way_unit.unit, l_.way_unit.decimals));
        second = field(l_.words.right,
                       number(right * std::abs(spec_.right_m_per_tick) / l_.way_unit.unit, l_.way_unit.decimals));
      } else if (l_.motion == Motion::increments) {
        first = field(l_.words.left, fmt::format("{}", std::llround(dl)));
        second = field(l_.words.right, fmt::format("{}", std::llround(dr)));
      } else {
        first = field(l_.words.left, fmt::format("{}", row.left_ticks));
        second = field(l_.words.right, fmt::format("{}", row.right_ticks));
      }
      if (l_.right_first) std::swap(first, second);
      fields.push_back(first);
      fields.push_back(second);
      add_extras(fields, 0.5 * (std::abs(dl) + std::abs(dr)) / 10.0);
    }
    if (l_.motion == Motion::ways) log_.metres_per_tick = std::abs(spec_.left_m_per_tick);
    log_.odometry = drive_.odometry;
    for (const TimedPose& row : drive_.odometry) {
      begin_record(0, row.time_s, l_.origin_s);
      std::vector<LogField>& fields = records_.back().fields;
      fields.push_back(field(l_.words.x, number(row.pose.x_m / l_.way_unit.unit, l_.way_unit.decimals)));
      fields.push_back(field(l_.words.y, number(row.pose.y_m / l_.way_unit.unit, l_.way_unit.decimals)));
      const double heading = l_.heading_degrees ? row.pose.heading_rad * kDegreesPerRadian : row.pose.heading_rad;
      fields.push_back(field(l_.words.heading, number(heading, l_.heading_degrees ? 2 : 4)));
      add_extras(fields, 0.5);
    }
  }

  std::string range_text(float range_m) const {
    if (std::isfinite(range_m) && range_m > 0.0F)
      return number(static_cast<double>(range_m) / l_.range_unit.unit, l_.range_unit.decimals);
    return l_.no_return == "reach" ? number(spec_.lidar.max_range_m / l_.range_unit.unit, l_.range_unit.decimals)
                                   : l_.no_return;
  }

  double angle_logged(double angle_deg) const {
    const double angle = l_.clockwise ? -angle_deg : angle_deg;
    return l_.radians ? angle * kDegree : angle;
  }

  void fill_turns() {
    const std::vector<double>& beams = drive_.beams_deg;
    for (std::size_t i = 0; i < drive_.scans.size(); ++i) {
      const simulator::ScanRow& row = drive_.scans[i];
      TrueTurn turn;
      turn.time_s = row.time_s;
      for (std::size_t b = 0; b < beams.size(); ++b) {
        const float range = row.range_m[b];
        // What the log rounds to nothing or calls the lidar's reach is no return there.
        if (!std::isfinite(range) || !(range > 0.0F) || range_text(range) == range_text(0.0F)) continue;
        turn.angles_rad.push_back(beams[b] * kDegree);
        turn.ranges_m.push_back(static_cast<double>(range));
      }
      log_.turns.push_back(std::move(turn));
      if (l_.scan_form == ScanForm::turn) {
        add_turn(row);
      } else {
        const double next_s = i + 1 < drive_.scans.size() ? drive_.scans[i + 1].time_s : row.time_s + 1.0;
        add_beams(row, std::min(1.0 / spec_.lidar.turns_per_s, next_s - row.time_s));
      }
    }
    log_.range_step_m = l_.range_unit.unit * std::pow(10.0, -l_.range_unit.decimals);
    log_.angles_told =
        l_.scan_form == ScanForm::angles || (l_.scan_form == ScanForm::turn && l_.told != AnglesTold::not_at_all);
    log_.heading_deg = spec_.lidar.heading_deg;
  }

  void add_turn(const simulator::ScanRow& row) {
    const std::vector<double>& beams = drive_.beams_deg;
    begin_record(1, row.time_s, l_.scan_origin_s);
    std::vector<LogField>& fields = records_.back().fields;
    const int decimals = l_.radians ? 6 : 3;
    const double step = angle_logged(beams[1] - beams[0]);
    if (l_.told == AnglesTold::start_step) {
      fields.push_back(field(l_.words.start, number(angle_logged(beams.front()), decimals)));
      fields.push_back(field(l_.words.step, number(step, decimals + 2)));
    } else if (l_.told == AnglesTold::ends) {
      fields.push_back(field(l_.words.start, number(angle_logged(beams.front()), decimals)));
      fields.push_back(field(l_.words.end, number(angle_logged(beams.back()), decimals)));
    }
    LogField ranges{l_.words.ranges, {}, {}, true, false};
    for (const float range : row.range_m) ranges.list.push_back(range_text(range));
    fields.push_back(std::move(ranges));
    if (l_.told == AnglesTold::list) {
      LogField angles{l_.words.angle, {}, {}, true, false};
      for (const double beam : beams) angles.list.push_back(number(angle_logged(beam), decimals));
      fields.push_back(std::move(angles));
    }
    if (l_.strengths) {
      LogField strengths{l_.words.strength, {}, {}, true, false};
      for (std::size_t b = 0; b < beams.size(); ++b)
        strengths.list.push_back(fmt::format("{}", 20 + random_.below(200)));
      fields.push_back(std::move(strengths));
    }
  }

  void add_beams(const simulator::ScanRow& row, double turn_s) {
    const std::vector<double>& beams = drive_.beams_deg;
    const bool stamped_each = l_.range_unit.decimals != 0;  // drawn already, and nothing else hangs on it
    for (std::size_t b = 0; b < beams.size(); ++b) {
      const bool lost = !(row.range_m[b] > 0.0F);
      if (lost && l_.lost_rows_left_out) continue;
      const double time = row.time_s + (stamped_each ? turn_s * std::abs(beams[b] - beams[0]) / 361.0 : 0.0);
      begin_record(1, time, l_.scan_origin_s);
      records_.back().arrival_s = row.time_s;
      std::vector<LogField>& fields = records_.back().fields;
      if (l_.scan_form == ScanForm::angles) {
        const double full = l_.radians ? 2.0 * std::numbers::pi : 360.0;
        double angle = angle_logged(beams[b]);
        if (angle < 0.0 && spec_.lidar.field_deg >= 360.0) angle += full;
        fields.push_back(field(l_.words.angle, number(angle, l_.radians ? 4 : 2)));
      } else {
        fields.push_back(field(l_.words.number, fmt::format("{}", b + (l_.numbers_from_one ? 1 : 0))));
      }
      fields.push_back(field(l_.words.range, range_text(row.range_m[b])));
      if (l_.strengths) fields.push_back(field(l_.words.strength, fmt::format("{}", 20 + random_.below(200))));
    }
  }

  /// Wheels stand in the scans' records, as they were at that moment.
  void join_wide() {
    std::vector<LogRecord> wide;
    std::vector<WheelCounts> wheels;
    std::vector<TimedPose> odometry;
    std::size_t next = 0;
    const auto motions = static_cast<std::size_t>(
        std::count_if(records_.begin(), records_.end(), [](const LogRecord& r) { return r.kind == 0; }));
    double last_left = 0.0, last_right = 0.0;
    for (LogRecord& record : records_) {
      if (record.kind != 1) continue;
      while (next + 1 < motions && records_[next + 1].arrival_s <= record.arrival_s) ++next;
      const std::size_t skip = l_.counter ? 2 : 1;
      std::vector<LogField> motion(records_[next].fields.begin() + static_cast<std::ptrdiff_t>(skip),
                                   records_[next].fields.end());
      const bool new_scan = wheels.empty() || wheels.back().time_s != record.stamp_s;
      if (!log_.wheels.empty()) {
        const WheelCounts& row = log_.wheels[next];
        if (new_scan) wheels.push_back({record.stamp_s, row.left_ticks, row.right_ticks});
        if (l_.motion == Motion::increments) {
          const double left_sign = spec_.left_m_per_tick < 0.0 ? -1.0 : 1.0;
          const auto left = left_sign * static_cast<double>(row.left_ticks),
                     right = static_cast<double>(row.right_ticks);
          motion[0].text = fmt::format("{}", std::llround((l_.right_first ? right - last_right : left - last_left)));
          motion[1].text = fmt::format("{}", std::llround((l_.right_first ? left - last_left : right - last_right)));
          last_left = left;
          last_right = right;
        }
      } else if (odometry.empty() || odometry.back().time_s != record.stamp_s) {
        odometry.push_back({record.stamp_s, log_.odometry[next].pose});
      }
      record.fields.insert(record.fields.begin() + static_cast<std::ptrdiff_t>(skip), motion.begin(), motion.end());
      wide.push_back(std::move(record));
    }
    records_ = std::move(wide);
    log_.wheels = std::move(wheels);
    log_.odometry = std::move(odometry);
  }

  void fill_gyro() {
    if (l_.arrangement == Arrangement::wide) return;
    log_.gyro = drive_.gyro;
    for (const YawRate& row : drive_.gyro) {
      begin_record(2, row.time_s, l_.origin_s);
      std::vector<LogField>& fields = records_.back().fields;
      const double rate =
          (l_.gyro_backwards ? -1.0 : 1.0) * row.yaw_rate_rad_s * (l_.gyro_degrees ? kDegreesPerRadian : 1.0);
      if (l_.battery) fields.push_back(field(l_.words.x + "_acc", number(0.05 * random_.normal(), 3)));
      fields.push_back(field(l_.words.yaw_rate, number(rate, l_.gyro_degrees ? 2 : 4)));
    }
  }

  std::string table_line(const LogRecord& record, bool names) const {
    std::vector<std::string> cells;
    for (const LogField& f : record.fields) {
      if (!f.is_list) cells.push_back(names ? f.name : f.text);
      for (std::size_t i = 0; i < f.list.size(); ++i) cells.push_back(names ? heading_of(f, i) : f.list[i]);
    }
    if (l_.arrangement == Arrangement::messages) {
      const std::size_t place = l_.message_behind_time ? 1 : 0;
      cells.insert(cells.begin() + static_cast<std::ptrdiff_t>(place), message_of(record.kind));
    }
    return fmt::format("{}\n", fmt::join(cells, l_.separator));
  }

  std::string heading_of(const LogField& f, std::size_t i) const {
    if (l_.told != AnglesTold::headings || f.name != l_.words.ranges) return fmt::format("{}{}", f.name, i);
    return fmt::format("{}{:.{}f}", f.name + "_", angle_logged(drive_.beams_deg[i]), l_.radians ? 4 : 2);
  }

  std::string message_of(int kind) const {
    if (l_.message_is_number) return fmt::format("{}", 3 + 4 * kind);
    return kind == 0 ? l_.words.wheel_message : kind == 1 ? l_.words.scan_message : l_.words.gyro_message;
  }

  std::string json_line(const LogRecord& record) const {
    std::vector<std::string> outer, inner;
    if (l_.arrangement == Arrangement::messages && l_.message_in_json) {
      outer.push_back(fmt::format("\"{}\": \"{}\"", l_.words.message, message_of(record.kind)));
    }
    for (std::size_t i = 0; i < record.fields.size(); ++i) {
      const LogField& f = record.fields[i];
      const std::string value = f.is_list ? fmt::format("[{}]", fmt::join(f.list, ", ")) : f.text;
      std::vector<std::string>& place = l_.nested && f.name != l_.words.time ? inner : outer;
      place.push_back(fmt::format("\"{}\": {}", f.name, value));
    }
    if (!inner.empty()) outer.push_back(fmt::format("\"{}\": {{{}}}", "data", fmt::join(inner, ", ")));
    return fmt::format("{{{}}}\n", fmt::join(outer, ", "));
  }

  void write_files(const std::filesystem::path& folder) {
    std::stable_sort(records_.begin(), records_.end(),
                     [](const LogRecord& a, const LogRecord& b) { return a.arrival_s < b.arrival_s; });
    std::map<int, std::string> texts;
    std::map<int, bool> began;
    for (const LogRecord& record : records_) {
      const int file = l_.arrangement == Arrangement::files ? record.kind : 0;
      std::string& text = texts[file];
      if (!std::exchange(began[file], true) && l_.form == Form::table) {
        if (l_.header == Header::row) text += table_line(record, true);
        if (l_.header == Header::comment) text += "# " + table_line(record, true);
      }
      text += l_.form == Form::json ? json_line(record) : table_line(record, false);
    }
    for (const auto& [file, text] : texts) {
      const auto path =
          folder / fmt::format("part{}{}{}", file + 1, l_.form == Form::json ? ".jsonl" : ".log", l_.gzip ? ".gz" : "");
      if (l_.gzip) {
        const gzFile zip = gzopen(path.c_str(), "wb1");
        if (zip == nullptr || gzwrite(zip, text.data(), static_cast<unsigned>(text.size())) == 0 ||
            gzclose(zip) != Z_OK) {
          throw std::runtime_error("the invented log could not be written");
        }
      } else {
        std::ofstream(path, std::ios::binary) << text;
      }
      log_.files.push_back(path);
    }
  }

  void tell() {
    constexpr std::array kArrangements = {"messages", "files", "wide"};
    constexpr std::array kForms = {"turns", "angle rows", "number rows"};
    constexpr std::array kTold = {"angles not told", "start and step", "ends", "headings", "list of angles"};
    constexpr std::array kMotions = {"totals", "increments", "ways", "poses"};
    const bool json = l_.form == Form::json;
    log_.own_clocks = l_.own_clocks;
    log_.beside_beams = l_.arrangement == Arrangement::wide && l_.scan_form != ScanForm::turn;
    log_.wheels_named =
        (json || l_.header != Header::none) && l_.words.spirit != "nonsense" && l_.words.spirit != "letters";
    log_.layout = fmt::format(
        "{} {} {}{}, {}{}, {}{}, ranges in {} (nothing: '{}'), time in {}{}, {}{}{}{}", l_.words.spirit,
        json ? "JSON" : "table", kArrangements.at(static_cast<std::size_t>(l_.arrangement)),
        json                        ? ""
        : l_.header == Header::none ? " without header"
                                    : " with header",
        kForms.at(static_cast<std::size_t>(l_.scan_form)),
        l_.scan_form == ScanForm::turn ? std::string(", ") + kTold.at(static_cast<std::size_t>(l_.told)) : "",
        l_.clockwise ? "clockwise, " : "", fmt::format("{} beams in {} deg", spec_.lidar.beams, spec_.lidar.field_deg),
        l_.range_unit.name, l_.no_return, l_.time_unit.name, l_.own_clocks ? ", own clocks" : "",
        kMotions.at(static_cast<std::size_t>(l_.motion)), l_.right_first ? ", right first" : "",
        log_.gyro.empty()   ? ""
        : l_.gyro_backwards ? ", gyro backwards"
                            : ", gyro",
        l_.gzip ? ", gzip" : "");
  }

  LogLayout l_;
  simulator::SimulatedDrive drive_;
  simulator::RobotSpec spec_;
  Random random_;
  std::vector<LogRecord> records_;
  InventedLog log_;
};

}  // namespace

InventedLog write_invented_log(std::uint64_t seed, bool scoring, double seconds, const std::filesystem::path& folder) {
  Random random(seed, "invented log");
  const LogLayout layout = draw_layout(scoring, random);
  const simulator::Plan plan = plan_of(seed, layout, random);
  simulator::SimulatedDrive drive = simulator::simulate(plan, seed);
  cut(drive, seconds);
  return LogWriter(layout, std::move(drive), plan.robot, random).write(folder);
}

}  // namespace wainscot::bench
