#include "io/convert/columns_yaml.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <optional>
#include <set>
#include <utility>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include "core/errors.hpp"
#include "io/convert/log_units.hpp"
#include "io/files/file_reader.hpp"
#include "io/files/shown.hpp"
#include "io/number_reader.hpp"
#include "io/robot/plain_yaml.hpp"
#include "io/robot/yaml_section.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kLargestColumnsFile = 100'000;  // bytes; some hundred lines of comments

struct LineKind {
  std::string word;
  LineForm form;
  Separator separator;
};

const std::array<LineKind, 5>& line_kinds() {
  static const std::array<LineKind, 5> kinds = {
      LineKind{"commas", LineForm::table, Separator::comma},
      LineKind{"semicolons", LineForm::table, Separator::semicolon}, LineKind{"tabs", LineForm::table, Separator::tab},
      LineKind{"blanks", LineForm::table, Separator::blanks}, LineKind{"json", LineForm::json, Separator::comma}};
  return kinds;
}

/// The sections of one columns.yaml.
class ColumnsFile {
 public:
  explicit ColumnsFile(std::string name) : name_(std::move(name)) {}

  LogColumns read(const YAML::Node& node) const {
    const YamlSection top(name_, "", node,
                          {"wainscot_columns", "files", "wheels", "odometry", "gyro", "scans", "returns"});
    check_version(top);
    LogColumns columns;
    columns.files = files(top);
    if (const YAML::Node at = top.find("wheels"); at.IsDefined()) columns.wheels = wheels(at, columns.files);
    if (const YAML::Node at = top.find("odometry"); at.IsDefined()) columns.odometry = odometry(at, columns.files);
    if (const YAML::Node at = top.find("gyro"); at.IsDefined()) columns.gyro = gyro(at, columns.files);
    if (const YAML::Node at = top.find("scans"); at.IsDefined()) columns.scans = scans(at, columns.files);
    if (const YAML::Node at = top.find("returns"); at.IsDefined()) columns.returns = returns(at, columns.files);
    check_sections(top, columns);
    return columns;
  }

 private:
  static void check_version(const YamlSection& top) {
    const std::optional<std::string> written = top.text("wainscot_columns");
    if (!written) top.fail("wainscot_columns", "is missing; begin the file with the line wainscot_columns: 1");
    if (*written != "1") {
      top.fail("wainscot_columns", fmt::format("is '{}'; this program reads form 1", printable(*written)));
    }
  }

  static void check_sections(const YamlSection& top, const LogColumns& columns) {
    if (columns.wheels && columns.odometry) {
      top.fail("odometry", "is there beside wheels, but only one may be; remove the one that should not be used");
    }
    if (columns.scans && columns.returns) {
      top.fail("returns", "is there beside scans, but only one may be; remove the one that should not be used");
    }
    if (!columns.scans && !columns.returns) {
      top.fail("scans", "is missing, and returns too; say where the lidar's ranges stand");
    }
  }

  LogFile log_file(const YAML::Node& node) const {
    const YamlSection section(name_, "files", node, {"name", "lines", "header"});
    LogFile file;
    file.name = needed(section, "name");
    const std::string lines = needed(section, "lines");
    const auto kind = std::find_if(line_kinds().begin(), line_kinds().end(),
                                   [&lines](const LineKind& one) { return one.word == lines; });
    if (kind == line_kinds().end()) {
      section.fail("lines", fmt::format("is '{}'; write commas, semicolons, tabs, blanks or json", printable(lines)));
    }
    file.form = kind->form;
    file.separator = kind->separator;
    section.set_flag("header", file.header);
    if (file.header && file.form == LineForm::json)
      section.fail("header", "is true, but JSON lines have none; remove it");
    return file;
  }

  std::vector<LogFile> files(const YamlSection& top) const {
    const YAML::Node list = top.find("files");
    if (!list.IsDefined() || !list.IsSequence() || list.size() == 0) {
      top.fail("files", "is no list of the logs; write a line such as - {name: robot.log, lines: commas} for each");
    }
    std::vector<LogFile> result;
    std::set<std::string> names;
    for (const auto& entry : list) {
      result.push_back(log_file(entry));
      if (!names.insert(result.back().name).second) {
        fail_at(name_, entry.Mark(),
                fmt::format("the file {} is there twice; remove one", printable(result.back().name)));
      }
    }
    return result;
  }

  static std::string needed(const YamlSection& section, const std::string& key) {
    const std::optional<std::string> text = section.text(key);
    if (!text || text->empty()) section.fail(key, "is missing; add it");
    return *text;
  }

  RecordChoice records(const YamlSection& section, const std::vector<LogFile>& files) const {
    RecordChoice choice;
    const std::optional<std::string> file = section.text("file");
    if (file) choice.file = *file;
    if (!file && files.size() > 1) section.fail("file", "is missing, but there are several files; name one of them");
    const bool known =
        std::any_of(files.begin(), files.end(), [&](const LogFile& one) { return one.name == choice.file; });
    if (file && !known) section.fail("file", fmt::format("is '{}', which is not listed under files", printable(*file)));
    const YAML::Node where = section.find("where");
    if (!where.IsDefined()) return choice;
    const std::string form =
        "tells no lines apart; write a column and what stands there, such as {kind: W}, or a column";
    if (where.IsScalar()) {
      choice.message_column = where.Scalar();
    } else if (where.IsMap() && where.size() == 1 && where.begin()->first.IsScalar() &&
               where.begin()->second.IsScalar()) {
      choice.message_column = where.begin()->first.Scalar();
      choice.message = where.begin()->second.Scalar();
    } else {
      section.fail("where", form);
    }
    if (choice.message_column.empty()) section.fail("where", form);
    return choice;
  }

  /// "-0.5 deg"; a number without a unit is refused, since it would be half understood.
  static double amount(const YamlSection& section, const std::string& key, const std::string& text, UnitKind kind,
                       std::string* unit_name) {
    const std::size_t space = text.find(' ');
    double value = 0.0;
    const std::string unit_text = space == std::string::npos ? "" : text.substr(text.find_last_of(' ') + 1);
    const LogUnit* const unit = find_log_unit(unit_text);
    if (read_number(std::string_view(text).substr(0, space), value) != NumberFault::none || unit == nullptr ||
        unit->kind != kind) {
      section.fail(key, fmt::format("is '{}'; write a number and its unit, {}", printable(text), unit_choice(kind)));
    }
    if (unit_name != nullptr) {
      *unit_name = unit->name;
      return value;
    }
    return value * unit->si;
  }

  enum class Counts { none, allowed };  ///< of wheels, which may also turn by an angle

  Quantity column(const YamlSection& above, const std::string& key, UnitKind kind, Counts counts = Counts::none) const {
    const YAML::Node node = above.find(key);
    if (!node.IsDefined()) above.fail(key, "is missing; add it, such as {column: NAME, unit: UNIT}");
    if (!node.IsMap()) above.fail(key, "is no column; write it such as {column: NAME, unit: UNIT}");
    const YamlSection section(name_, fmt::format("{}.{}", above.name(), key), node,
                              {"column", "unit", "sign", "offset"});
    Quantity quantity;
    quantity.column = needed(section, "column");
    quantity.unit = section.text("unit").value_or("");
    const LogUnit* const unit = find_log_unit(quantity.unit);
    const bool may_count = counts == Counts::allowed;
    const UnitKind also = may_count ? UnitKind::angle : kind;
    const bool fits = unit != nullptr ? unit->kind == kind || unit->kind == also : quantity.unit.empty() && may_count;
    if (!fits) {
      section.fail("unit", quantity.unit.empty()
                               ? fmt::format("is missing; write {}", unit_choice(kind))
                               : fmt::format("is '{}'; write {}{}", printable(quantity.unit), unit_choice(kind),
                                             may_count ? ", rad or deg, or none for counts" : ""));
    }
    section.set_choice("sign", {1, -1}, quantity.sign);
    if (const std::optional<std::string> offset = section.text("offset")) {
      if (unit == nullptr) section.fail("offset", "is there, but counts begin anywhere; remove it");
      quantity.offset = amount(section, "offset", *offset, unit->kind, nullptr);
    }
    return quantity;
  }

  /// A column, or a constant such as "-90 deg".
  Quantity angle(const YamlSection& above, const std::string& key) const {
    const YAML::Node node = above.find(key);
    if (!node.IsDefined() || !node.IsScalar()) return column(above, key, UnitKind::angle);
    Quantity quantity;
    quantity.constant = amount(above, key, node.Scalar(), UnitKind::angle, &quantity.unit);
    return quantity;
  }

  static std::vector<double> no_return(const YamlSection& section) {
    const YAML::Node node = section.find("no_return");
    std::vector<double> values;
    if (!node.IsDefined()) return values;
    if (!node.IsSequence()) section.fail("no_return", "is no list of numbers; write it such as [65535]");
    for (const auto& entry : node) {
      double value = 0.0;
      if (!entry.IsScalar() || read_number(entry.Scalar(), value) != NumberFault::none) {
        section.fail("no_return", "has something that is no number; write it such as [65535]", entry.Mark());
      }
      values.push_back(value);
    }
    return values;
  }

  WheelColumns wheels(const YAML::Node& node, const std::vector<LogFile>& files) const {
    const YamlSection section(name_, "wheels", node, {"file", "where", "time", "left", "right", "counts"});
    WheelColumns wheels;
    wheels.records = records(section, files);
    wheels.time = column(section, "time", UnitKind::time);
    wheels.left = column(section, "left", UnitKind::length, Counts::allowed);
    wheels.right = column(section, "right", UnitKind::length, Counts::allowed);
    const std::string counts = section.text("counts").value_or("totals");
    if (counts != "totals" && counts != "increments") {
      section.fail("counts", fmt::format("is '{}'; write totals or increments", printable(counts)));
    }
    wheels.increments = counts == "increments";
    return wheels;
  }

  OdometryColumns odometry(const YAML::Node& node, const std::vector<LogFile>& files) const {
    const YamlSection section(name_, "odometry", node, {"file", "where", "time", "x", "y", "heading"});
    return {records(section, files), column(section, "time", UnitKind::time), column(section, "x", UnitKind::length),
            column(section, "y", UnitKind::length), column(section, "heading", UnitKind::angle)};
  }

  GyroColumns gyro(const YAML::Node& node, const std::vector<LogFile>& files) const {
    const YamlSection section(name_, "gyro", node, {"file", "where", "time", "yaw_rate"});
    return {records(section, files), column(section, "time", UnitKind::time),
            column(section, "yaw_rate", UnitKind::yaw_rate)};
  }

  ScanColumns scans(const YAML::Node& node, const std::vector<LogFile>& files) const {
    const YamlSection section(name_, "scans", node,
                              {"file", "where", "time", "ranges", "angles", "first_angle", "angle_step", "no_return"});
    ScanColumns scans;
    scans.records = records(section, files);
    scans.time = column(section, "time", UnitKind::time);
    const YAML::Node ranges = section.find("ranges");
    if (!ranges.IsDefined()) section.fail("ranges", "is missing; add it, such as {from: r0, to: r359, unit: mm}");
    const YamlSection inner(name_, "scans.ranges", ranges, {"from", "to", "unit"});
    scans.ranges = needed(inner, "from");
    scans.last_range = inner.text("to").value_or("");
    scans.range_unit = needed(inner, "unit");
    const LogUnit* const unit = find_log_unit(scans.range_unit);
    if (unit == nullptr || unit->kind != UnitKind::length) {
      inner.fail("unit", fmt::format("is '{}'; write {}", printable(scans.range_unit), unit_choice(UnitKind::length)));
    }
    if (section.find("angles").IsDefined()) {
      scans.angles = column(section, "angles", UnitKind::angle);
    } else {
      scans.first_angle = angle(section, "first_angle");
      scans.angle_step = angle(section, "angle_step");
      if (scans.angle_step.constant == 0.0) section.fail("angle_step", "is 0; write the angle from beam to beam");
    }
    scans.no_return = no_return(section);
    return scans;
  }

  ReturnColumns returns(const YAML::Node& node, const std::vector<LogFile>& files) const {
    const YamlSection section(
        name_, "returns", node,
        {"file", "where", "time", "angle", "number", "first_angle", "angle_step", "range", "no_return"});
    ReturnColumns returns;
    returns.records = records(section, files);
    returns.time = column(section, "time", UnitKind::time);
    if (const YAML::Node number = section.find("number"); number.IsDefined()) {
      if (section.find("angle").IsDefined()) section.fail("number", "is there beside angle; remove one");
      if (!number.IsMap()) section.fail("number", "is no column; write it such as {column: NAME}");
      const YamlSection inner(name_, "returns.number", number, {"column"});
      returns.angle.column = needed(inner, "column");
      returns.first_angle = angle(section, "first_angle");
      returns.angle_step = angle(section, "angle_step");
    } else {
      returns.angle = column(section, "angle", UnitKind::angle);
    }
    returns.range = column(section, "range", UnitKind::length);
    returns.no_return = no_return(section);
    return returns;
  }

  std::string name_;
};

}  // namespace

LogColumns parse_columns_yaml(std::string_view text, const std::string& name) {
  const YAML::Node node = load_plain_yaml(std::string(text), name);
  if (node.IsNull()) {
    throw InputError(fmt::format("{}: has no content; begin it with the line wainscot_columns: 1", name));
  }
  return ColumnsFile(name).read(node);
}

LogColumns read_columns_yaml(const std::filesystem::path& path) {
  bool is_link = false;
  const std::string text = read_small_file(path, kLargestColumnsFile, nullptr, &is_link);
  const std::string name = shown(path);
  try {
    return parse_columns_yaml(text, name);
  } catch (const InputError&) {
    if (!is_link) throw;
    throw InputError(fmt::format("{}: {}", name, kFaultBehindLink));
  }
}

namespace {

/// A word as YAML reads it back, whatever stands in it.
std::string yaml_word(const std::string& word) {
  YAML::Emitter out;
  out << YAML::Flow << YAML::BeginSeq;
  double ignored = 0.0;
  const bool looks_like_more =
      read_number(word, ignored) != NumberFault::none &&
      word.find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_.-") != std::string::npos;
  if (looks_like_more || word.empty()) out << YAML::DoubleQuoted;
  out << word << YAML::EndSeq;
  const std::string text = out.c_str();
  return text.substr(1, text.size() - 2);
}

std::string amount_text(double value, const std::string& unit) { return fmt::format("{} {}", value, unit); }

std::string quantity_text(const Quantity& quantity) {
  if (quantity.constant) return amount_text(*quantity.constant, quantity.unit);
  std::string text = "{column: " + yaml_word(quantity.column);
  if (!quantity.unit.empty()) text += ", unit: " + quantity.unit;
  if (quantity.sign < 0) text += ", sign: -1";
  if (quantity.offset != 0.0) {
    const LogUnit* const unit = find_log_unit(quantity.unit);
    const std::array<const char*, 4> si = {"s", "m", "rad", "rad/s"};
    if (unit != nullptr)
      text += ", offset: " + amount_text(quantity.offset, si.at(static_cast<std::size_t>(unit->kind)));
  }
  return text + "}";
}

class ColumnsText {
 public:
  explicit ColumnsText(const ColumnNotes& notes) : notes_(notes) {}

  void note(const std::string& section) {
    const auto found = notes_.find(section);
    if (found == notes_.end()) return;
    for (const std::string& line : found->second) text_ += line.empty() ? "#\n" : "# " + printable(line, 1000) + "\n";
  }
  void line(const std::string& text, const std::string& comment = "") {
    text_ += comment.empty() ? text + "\n" : fmt::format("{:<46} # {}\n", text, comment);
  }
  void begin(const std::string& section, const RecordChoice& records) {
    text_ += "\n";
    note(section);
    line(section + ":");
    if (!records.file.empty()) line("  file: " + yaml_word(records.file));
    if (records.message_column.empty()) return;
    const std::string column = yaml_word(records.message_column);
    if (records.message.empty()) {
      line("  where: " + column, "lines that have this value");
    } else {
      line("  where: {" + column + ": " + yaml_word(records.message) + "}", "lines where this stands there");
    }
  }
  void add(const std::string& key, const Quantity& quantity, const std::string& comment = "") {
    line("  " + key + ": " + quantity_text(quantity), comment);
  }
  void add_no_return(const std::vector<double>& values) {
    if (!values.empty()) line(fmt::format("  no_return: [{}]", fmt::join(values, ", ")), "besides empty, nan and 0");
  }
  const std::string& text() const { return text_; }

 private:
  const ColumnNotes& notes_;
  std::string text_;
};

void add_files(const std::vector<LogFile>& files, ColumnsText& out) {
  out.line("files:");
  for (const LogFile& file : files) {
    const auto kind = std::find_if(line_kinds().begin(), line_kinds().end(), [&file](const LineKind& one) {
      return one.form == file.form && (file.form == LineForm::json || one.separator == file.separator);
    });
    out.line(fmt::format("  - {{name: {}, lines: {}{}}}", yaml_word(file.name), kind->word,
                         file.header ? ", header: true" : ""));
  }
}

void add_scans(const ScanColumns& scans, ColumnsText& out) {
  out.begin("scans", scans.records);
  out.add("time", scans.time, "of the first beam");
  const std::string to = scans.last_range.empty() ? "" : ", to: " + yaml_word(scans.last_range);
  out.line(fmt::format("  ranges: {{from: {}{}, unit: {}}}", yaml_word(scans.ranges), to, scans.range_unit));
  if (scans.angles) {
    out.add("angles", *scans.angles);
  } else {
    out.add("first_angle", scans.first_angle, "of the first range; 0 is ahead, counter-clockwise");
    out.add("angle_step", scans.angle_step, "negative where the lidar counts clockwise");
  }
  out.add_no_return(scans.no_return);
}

void add_returns(const ReturnColumns& returns, ColumnsText& out) {
  out.begin("returns", returns.records);
  out.add("time", returns.time);
  if (returns.angle_step) {
    out.line("  number: {column: " + yaml_word(returns.angle.column) + "}", "of the beam, from 0");
    out.add("first_angle", returns.first_angle, "of beam 0; 0 is ahead, counter-clockwise");
    out.add("angle_step", *returns.angle_step, "negative where the lidar counts clockwise");
  } else {
    out.add("angle", returns.angle, "0 is ahead, counter-clockwise; else sign: -1");
  }
  out.add("range", returns.range);
  out.add_no_return(returns.no_return);
}

}  // namespace

std::string columns_yaml_text(const LogColumns& columns, const ColumnNotes& notes) {
  ColumnsText out(notes);
  out.note("");
  out.line("wainscot_columns: 1", "what stands where in the logs; io/FORMATS.md lists every key");
  add_files(columns.files, out);
  if (const auto& wheels = columns.wheels) {
    out.begin("wheels", wheels->records);
    out.add("time", wheels->time);
    out.add("left", wheels->left, "sign: -1 where it counts backwards");
    out.add("right", wheels->right);
    out.line(wheels->increments ? "  counts: increments" : "  counts: totals", "or increments, from line to line");
  }
  if (const auto& odometry = columns.odometry) {
    out.begin("odometry", odometry->records);
    out.add("time", odometry->time);
    out.add("x", odometry->x);
    out.add("y", odometry->y);
    out.add("heading", odometry->heading, "counter-clockwise; else sign: -1");
  }
  if (const auto& gyro = columns.gyro) {
    out.begin("gyro", gyro->records);
    out.add("time", gyro->time);
    out.add("yaw_rate", gyro->yaw_rate, "counter-clockwise; else sign: -1");
  }
  if (columns.scans) add_scans(*columns.scans, out);
  if (columns.returns) add_returns(*columns.returns, out);
  return out.text();
}

}  // namespace wainscot
