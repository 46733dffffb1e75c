#include "apps/simulator/plan_yaml.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <fstream>
#include <iterator>
#include <string_view>
#include <system_error>
#include <vector>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include "apps/simulator/nearest_name.hpp"
#include "core/errors.hpp"

namespace wainscot::simulator {

namespace {

/// A number of the file, where it belongs and what it may be.
template <typename T>
struct NumberKey {
  std::string_view name;
  double T::*member;
  double least;
  double greatest;
};

constexpr double kFar_m = 1000.0;

const std::vector<NumberKey<RobotSpec>> kRobotNumbers = {
    {"radius_m", &RobotSpec::radius_m, 0.03, 1.0},
    {"track_width_m", &RobotSpec::track_width_m, 0.03, 2.0},
    {"left_m_per_tick", &RobotSpec::left_m_per_tick, -0.1, 0.1},
    {"right_m_per_tick", &RobotSpec::right_m_per_tick, -0.1, 0.1},
    {"wheel_rate_hz", &RobotSpec::wheel_rate_hz, 1.0, 500.0},
    {"speed_m_s", &RobotSpec::speed_m_s, 0.02, 3.0},
    {"acceleration_m_s2", &RobotSpec::acceleration_m_s2, 0.05, 10.0},
    {"turn_rate_rad_s", &RobotSpec::turn_rate_rad_s, 0.1, 10.0},
    {"gyro_rate_hz", &RobotSpec::gyro_rate_hz, 1.0, 500.0},
    {"truth_rate_hz", &RobotSpec::truth_rate_hz, 1.0, 500.0}};

const std::vector<NumberKey<LidarSpec>> kLidarNumbers = {{"field_deg", &LidarSpec::field_deg, 10.0, 360.0},
                                                         {"first_beam_deg", &LidarSpec::first_beam_deg, -360.0, 360.0},
                                                         {"turns_per_s", &LidarSpec::turns_per_s, 0.5, 100.0},
                                                         {"min_range_m", &LidarSpec::min_range_m, 0.0, 10.0},
                                                         {"max_range_m", &LidarSpec::max_range_m, 0.5, 100.0},
                                                         {"x_m", &LidarSpec::x_m, -2.0, 2.0},
                                                         {"y_m", &LidarSpec::y_m, -2.0, 2.0},
                                                         {"heading_deg", &LidarSpec::heading_deg, -360.0, 360.0},
                                                         {"height_m", &LidarSpec::height_m, 0.01, 3.0},
                                                         {"range_step_m", &LidarSpec::range_step_m, 0.0, 0.1},
                                                         {"range_unit_m", &LidarSpec::range_unit_m, 1e-4, 1.0},
                                                         {"blind_from_deg", &LidarSpec::blind_from_deg, -360.0, 360.0},
                                                         {"blind_to_deg", &LidarSpec::blind_to_deg, -360.0, 360.0}};

// Keys that were not there from the beginning are written only where they say something.
const std::vector<NumberKey<LidarSpec>> kThinningNumbers = {{"scan_every_m", &LidarSpec::scan_every_m, 0.0, 1000.0},
                                                            {"scan_every_deg", &LidarSpec::scan_every_deg, 0.0, 360.0}};

const std::vector<NumberKey<Person>> kPersonNumbers = {{"speed_m_s", &Person::speed_m_s, 0.05, 5.0},
                                                       {"start_s", &Person::start_s, 0.0, 1e9},
                                                       {"end_s", &Person::end_s, 0.0, 1e9},
                                                       {"pause_s", &Person::pause_s, 0.0, 1e6}};

/// One mapping of the file: hands out values by key and complains with file and line.
class Section {
 public:
  Section(const YAML::Node& node, const std::string& file, std::string what, std::vector<std::string_view> known)
      : node_(node), file_(file), what_(std::move(what)) {
    if (!node.IsMap()) fail(node, fmt::format("{} must be \"key: value\" pairs", what_));
    for (const auto& pair : node) {
      const std::string key = pair.first.Scalar();
      if (std::find(known.begin(), known.end(), key) == known.end()) {
        fail(pair.first, fmt::format("{} has no key \"{}\"; the nearest known one is \"{}\"", what_, key,
                                     nearest_name(key, known)));
      }
      if (pair.second.Mark().pos != node[key].Mark().pos)
        fail(pair.first, fmt::format("key \"{}\" is there twice", key));
    }
  }

  [[noreturn]] void fail(const YAML::Node& node, const std::string& what) const {
    const int line = node.Mark().line + 1;  // 0 for what is empty
    throw InputError(line > 0 ? fmt::format("{}, line {}: {}.", file_, line, what)
                              : fmt::format("{}: {}.", file_, what));
  }

  bool has(const char* key) const { return static_cast<bool>(node_[key]); }

  YAML::Node need(const char* key) const {
    const YAML::Node value = node_[key];
    if (!value) fail(node_, fmt::format("{} needs the key \"{}\"", what_, key));
    return value;
  }

  double number(const YAML::Node& value, std::string_view key, double least, double greatest) const {
    double result = 0.0;
    if (!value.IsScalar() || !YAML::convert<double>::decode(value, result) || !std::isfinite(result)) {
      fail(value, fmt::format("{} must be a number", key));
    }
    if (result < least || result > greatest) {
      fail(value, fmt::format("{} is {} and must lie within {} to {}", key, result, least, greatest));
    }
    return result;
  }

  double number(const char* key, double least, double greatest) const {
    return number(need(key), key, least, greatest);
  }
  double number(const char* key, double otherwise, double least, double greatest) const {
    return has(key) ? number(key, least, greatest) : otherwise;
  }

  template <typename T>
  void numbers(const std::vector<NumberKey<T>>& keys, T& into) const {
    for (const NumberKey<T>& key : keys) {
      const YAML::Node value = node_[std::string(key.name)];
      if (value) into.*key.member = number(value, key.name, key.least, key.greatest);
    }
  }

  int whole(const char* key, int otherwise, int least, int greatest) const {
    if (!has(key)) return otherwise;
    const double value = number(key, least, greatest);
    if (value != std::floor(value)) fail(node_[key], fmt::format("{} is {} and must be a whole number", key, value));
    return static_cast<int>(value);
  }

  bool flag(const char* key, bool otherwise) const {
    if (!has(key)) return otherwise;
    bool value = false;
    if (!YAML::convert<bool>::decode(node_[key], value)) fail(node_[key], fmt::format("{} must be true or false", key));
    return value;
  }

  std::string text(const char* key, const std::string& otherwise) const {
    if (!has(key)) return otherwise;
    if (!node_[key].IsScalar()) fail(node_[key], fmt::format("{} must be a word", key));
    return node_[key].Scalar();
  }

  /// The place of the word in `words`; the first one where the key is missing.
  std::size_t choice(const char* key, const std::vector<std::string_view>& words) const {
    const std::string word = text(key, std::string(words[0]));
    const auto found = std::find(words.begin(), words.end(), word);
    if (found == words.end()) fail(node_[key], fmt::format("{} must be one of {}", key, fmt::join(words, ", ")));
    return static_cast<std::size_t>(found - words.begin());
  }

  Point point(const YAML::Node& value, const char* key) const {
    if (!value.IsSequence() || value.size() != 2) fail(value, fmt::format("{} must be a place [x_m, y_m]", key));
    return {number(value[0], key, -kFar_m, kFar_m), number(value[1], key, -kFar_m, kFar_m)};
  }
  Point point(const char* key) const { return point(need(key), key); }

  std::vector<Point> points(const char* key, std::size_t least) const {
    std::vector<Point> all;
    for (const YAML::Node& value : list(key)) all.push_back(point(value, key));
    if (all.size() < least) fail(node_, fmt::format("{} needs at least {} places", key, least));
    return all;
  }

  std::vector<YAML::Node> list(const char* key) const {
    if (!has(key)) return {};
    if (!node_[key].IsSequence()) fail(node_[key], fmt::format("{} must be a list", key));
    return {node_[key].begin(), node_[key].end()};
  }

  Section inner(const char* key, std::vector<std::string_view> known) const {
    return Section(need(key), file_, key, std::move(known));
  }
  Section item(const YAML::Node& node, const char* what, std::vector<std::string_view> known) const {
    return Section(node, file_, what, std::move(known));
  }

 private:
  YAML::Node node_;
  const std::string& file_;
  std::string what_;
};

double read_open_deg(const Section& section, double otherwise) {
  const double open_deg = section.number("open_deg", otherwise, 0.0, 180.0);
  if (open_deg > 0.0 && open_deg < 60.0) {
    section.fail(section.need("open_deg"), fmt::format("open_deg is {} and must be 0 (shut) or 60 to 180", open_deg));
  }
  return open_deg;
}

/// The times of a list of moves must rise.
template <typename Move>
void need_rising(const Section& section, const YAML::Node& node, const std::vector<Move>& moves) {
  if (moves.size() > 1 && moves.back().from_s <= moves[moves.size() - 2].from_s) {
    section.fail(node, "from_s must rise from move to move");
  }
}

DoorLeaf read_leaf(const Section& section) {
  DoorLeaf leaf = {section.choice("hinge", {"start", "end"}) == 0, section.choice("swings", {"left", "right"}) == 0,
                   read_open_deg(section, 90.0)};
  for (const YAML::Node& node : section.list("moves")) {
    const Section move = section.item(node, "a leaf's move", {"from_s", "open_deg"});
    leaf.moves.push_back({move.number("from_s", 0.0, 1e9), read_open_deg(move, 0.0)});
    need_rising(section, node, leaf.moves);
  }
  return leaf;
}

Opening read_opening(const Section& section) {
  Opening opening;
  opening.at_m = section.number("at_m", 0.0, kFar_m);
  opening.width_m = section.number("width_m", 0.05, 100.0);
  opening.glass = section.flag("glass", false);
  opening.threshold = section.flag("threshold", false);
  if (section.has("leaf")) {
    opening.leaf = read_leaf(section.inner("leaf", {"hinge", "swings", "open_deg", "moves"}));
  }
  return opening;
}

Wall read_wall(const Section& section) {
  Wall wall;
  wall.from = section.point("from");
  wall.to = section.point("to");
  wall.thickness_m = section.number("thickness_m", 0.1, 0.01, 2.0);
  const double length = norm(wall.to - wall.from);
  if (length < 0.01) section.fail(section.need("to"), "the wall's ends are the same place");
  for (const YAML::Node& node : section.list("openings")) {
    const Section inner = section.item(node, "an opening", {"at_m", "width_m", "leaf", "glass", "threshold"});
    const Opening opening = read_opening(inner);
    if (opening.at_m - opening.width_m / 2.0 < 0.0 || opening.at_m + opening.width_m / 2.0 > length) {
      section.fail(node, fmt::format("the opening does not lie within its wall, which is {:.3f} m long", length));
    }
    wall.openings.push_back(opening);
  }
  for (const YAML::Node& node : section.list("mirrors")) {
    const Section inner = section.item(node, "a mirror", {"at_m", "width_m", "side"});
    const Mirror mirror = {inner.number("at_m", 0.0, kFar_m), inner.number("width_m", 0.05, 100.0),
                           inner.choice("side", {"left", "right"}) == 0};
    if (mirror.at_m - mirror.width_m / 2.0 < 0.0 || mirror.at_m + mirror.width_m / 2.0 > length) {
      section.fail(node, fmt::format("the mirror does not lie within its wall, which is {:.3f} m long", length));
    }
    wall.mirrors.push_back(mirror);
  }
  return wall;
}

Furniture read_furniture(const Section& section) {
  Furniture item;
  item.name = section.text("name", "");
  const std::size_t shape = section.choice("shape", {"box", "round", "legs"});
  item.shape = std::vector{FurnitureShape::box, FurnitureShape::round, FurnitureShape::legs}[shape];
  item.centre = section.point("centre");
  for (const YAML::Node& node : section.list("moves")) {
    const Section move = section.item(node, "furniture's move", {"from_s", "centre", "heading_deg"});
    item.moves.push_back(
        {move.number("from_s", 0.0, 1e9), move.point("centre"), move.number("heading_deg", 0.0, -360.0, 360.0)});
    need_rising(section, node, item.moves);
  }
  if (item.shape == FurnitureShape::round) {
    item.length_m = item.width_m = section.number("diameter_m", 0.005, 50.0);
    return item;
  }
  item.length_m = section.number("length_m", 0.005, 50.0);
  item.width_m = section.number("width_m", 0.005, 50.0);
  item.heading_deg = section.number("heading_deg", 0.0, -360.0, 360.0);
  if (item.shape == FurnitureShape::legs) {
    item.leg_m = section.number("leg_m", item.leg_m, 0.005, std::min(item.length_m, item.width_m) / 2.0);
  }
  return item;
}

Waypoint read_waypoint(const Section& section, const YAML::Node& node) {
  Waypoint waypoint;
  if (node.IsSequence()) {
    waypoint.point = section.point(node, "a waypoint");
    return waypoint;
  }
  const Section inner = section.item(node, "a waypoint", {"at", "stop_s", "turn_on_spot", "lift"});
  waypoint.point = inner.point("at");
  waypoint.stop_s = inner.number("stop_s", 0.0, 0.0, 3600.0);
  waypoint.turn_on_spot = inner.flag("turn_on_spot", false);
  if (inner.has("lift")) {
    const Section lift = inner.inner("lift", {"way", "heading_deg"});
    waypoint.lift = Lift{lift.points("way", 1), lift.number("heading_deg", -360.0, 360.0)};
  }
  return waypoint;
}

template <typename T>
std::vector<std::string_view> names(const std::vector<NumberKey<T>>& keys, std::vector<std::string_view> others) {
  for (const NumberKey<T>& key : keys) others.push_back(key.name);
  return others;
}

LidarSpec read_lidar(const Section& section) {
  LidarSpec lidar;
  section.numbers(kLidarNumbers, lidar);
  section.numbers(kThinningNumbers, lidar);
  lidar.beams = section.whole("beams", lidar.beams, 4, 20000);
  lidar.clockwise = section.flag("clockwise", lidar.clockwise);
  lidar.mirrored = section.flag("mirrored", lidar.mirrored);
  lidar.sweep_stated = section.flag("sweep_stated", lidar.sweep_stated);
  lidar.all_at_once = section.flag("all_at_once", lidar.all_at_once);
  return lidar;
}

RobotSpec read_robot(const Section& section) {
  RobotSpec robot;
  section.numbers(kRobotNumbers, robot);
  if (robot.left_m_per_tick == 0.0 || robot.right_m_per_tick == 0.0) {
    section.fail(section.need(robot.left_m_per_tick == 0.0 ? "left_m_per_tick" : "right_m_per_tick"),
                 "a wheel's metres per tick must not be 0");
  }
  robot.counter_bits = section.whole("counter_bits", robot.counter_bits, 16, 32);
  if (robot.counter_bits != 16 && robot.counter_bits != 32) {
    section.fail(section.need("counter_bits"), "counter_bits must be 16 or 32");
  }
  robot.gyro = section.flag("gyro", robot.gyro);
  robot.motion_log =
      section.choice("motion_log", {"wheels", "odometry"}) == 0 ? MotionLog::wheels : MotionLog::odometry;
  robot.lidar_log = section.choice("lidar_log", {"scans", "returns"}) == 0 ? LidarLog::scans : LidarLog::returns;
  if (section.has("lidar")) {
    robot.lidar =
        read_lidar(section.inner("lidar", names(kLidarNumbers, {"beams", "clockwise", "mirrored", "sweep_stated",
                                                                "all_at_once", "scan_every_m", "scan_every_deg"})));
  }
  if (robot.lidar.all_at_once && robot.lidar_log == LidarLog::returns) {
    section.fail(section.need("lidar_log"), "a lidar whose beams are all_at_once logs scans, not returns");
  }
  return robot;
}

Person read_person(const Section& section) {
  Person person;
  section.numbers(kPersonNumbers, person);
  person.follows_m = section.number("follows_m", 0.0, 0.0, 100.0);
  if (person.follows_m == 0.0) person.waypoints = section.points("waypoints", 2);
  return person;
}

Marker read_marker(const Section& section) {
  Marker marker{section.text("name", ""), section.point("at"), section.number("heading_deg", 0.0, -360.0, 360.0)};
  if (marker.name.empty() || marker.name.find_first_of(",\"\n\r#") != std::string::npos) {
    section.fail(section.need("at"), "a marker needs a name without commas, quotes and #");
  }
  return marker;
}

WheelSlip read_slip(const Section& section) {
  WheelSlip slip;
  slip.at = section.point("at");
  slip.radius_m = section.number("radius_m", slip.radius_m, 0.02, 10.0);
  slip.crossing = section.whole("crossing", slip.crossing, 1, 100000);
  slip.left_m = section.number("left_m", slip.left_m, -10.0, 10.0);
  slip.right_m = section.number("right_m", slip.right_m, -10.0, 10.0);
  return slip;
}

void read_defects(const Section& plan, const YAML::Node& node, const std::string& file, Defects& defects) {
  if (!node.IsMap()) plan.fail(node, "defects must be \"defect: value\" pairs");
  for (const auto& pair : node) {
    try {
      set_knob(defects, pair.first.Scalar(), pair.second.Scalar());
    } catch (const InputError& error) {
      throw InputError(fmt::format("{}, line {}: {}", file, pair.first.Mark().line + 1, error.what()));
    }
  }
}

Plan plan_from(const YAML::Node& root, const std::string& file) {
  const Section section(root, file, "the plan",
                        {"wainscot_plan", "name", "walls", "furniture", "floor", "floors", "people", "route", "slips",
                         "markers", "markers_surveyed", "robot", "defects", "uncertainties_stated"});
  section.number("wainscot_plan", 1.0, 1.0);
  Plan plan;
  plan.name = section.text("name", "");
  for (const YAML::Node& node : section.list("walls")) {
    plan.walls.push_back(read_wall(section.item(node, "a wall", {"from", "to", "thickness_m", "openings", "mirrors"})));
  }
  for (const YAML::Node& node : section.list("furniture")) {
    plan.furniture.push_back(read_furniture(section.item(
        node, "furniture",
        {"name", "shape", "centre", "length_m", "width_m", "diameter_m", "heading_deg", "leg_m", "moves"})));
  }
  plan.floor = section.text("floor", plan.floor);
  for (const YAML::Node& node : section.list("floors")) {
    const Section floor = section.item(node, "a floor", {"name", "outline"});
    plan.floors.push_back({floor.text("name", "floor"), floor.points("outline", 3)});
  }
  for (const YAML::Node& node : section.list("people")) {
    plan.people.push_back(
        read_person(section.item(node, "a person", names(kPersonNumbers, {"waypoints", "follows_m"}))));
  }
  for (const YAML::Node& node : section.list("route")) plan.route.push_back(read_waypoint(section, node));
  for (const YAML::Node& node : section.list("slips")) {
    plan.slips.push_back(read_slip(section.item(node, "a slip", {"at", "radius_m", "crossing", "left_m", "right_m"})));
  }
  for (const YAML::Node& node : section.list("markers")) {
    plan.markers.push_back(read_marker(section.item(node, "a marker", {"name", "at", "heading_deg"})));
  }
  plan.markers_surveyed = section.flag("markers_surveyed", false);
  if (plan.route.size() < 2) section.fail(root, "route needs at least two waypoints");
  if (plan.route.front().lift || plan.route.back().lift) {
    section.fail(section.need("route"), "the robot cannot be lifted at the first waypoint or at the last");
  }
  if (section.has("robot")) {
    plan.robot = read_robot(
        section.inner("robot", names(kRobotNumbers, {"counter_bits", "gyro", "motion_log", "lidar_log", "lidar"})));
  }
  if (section.has("defects")) read_defects(section, section.need("defects"), file, plan.defects);
  plan.uncertainties_stated = section.flag("uncertainties_stated", false);
  return plan;
}

std::string quoted(const std::string& text) {
  YAML::Emitter out;
  out << YAML::DoubleQuoted << text;
  return out.c_str();
}

std::string place(Point p) { return fmt::format("[{}, {}]", p.x_m, p.y_m); }

std::string places(const std::vector<Point>& points) {
  std::vector<std::string> all;
  all.reserve(points.size());
  for (const Point p : points) all.push_back(place(p));
  return fmt::format("[{}]", fmt::join(all, ", "));
}

std::string leaf_text(const DoorLeaf& leaf) {
  std::string text = fmt::format("{{hinge: {}, swings: {}, open_deg: {}", leaf.hinge_at_start ? "start" : "end",
                                 leaf.swings_left ? "left" : "right", leaf.open_deg);
  std::vector<std::string> moves;
  for (const LeafMove& move : leaf.moves) {
    moves.push_back(fmt::format("{{from_s: {}, open_deg: {}}}", move.from_s, move.open_deg));
  }
  if (!moves.empty()) text += fmt::format(", moves: [{}]", fmt::join(moves, ", "));
  return text + "}";
}

std::string opening_text(const Opening& opening) {
  std::string text = fmt::format("{{at_m: {}, width_m: {}", opening.at_m, opening.width_m);
  if (opening.glass) text += ", glass: true";
  if (opening.threshold) text += ", threshold: true";
  if (opening.leaf) text += fmt::format(", leaf: {}", leaf_text(*opening.leaf));
  return text + "}";
}

std::string wall_text(const Wall& wall) {
  std::string text =
      fmt::format("  - {{from: {}, to: {}, thickness_m: {}", place(wall.from), place(wall.to), wall.thickness_m);
  std::vector<std::string> openings;
  for (const Opening& opening : wall.openings) openings.push_back(opening_text(opening));
  if (!openings.empty()) text += fmt::format(", openings: [{}]", fmt::join(openings, ", "));
  std::vector<std::string> mirrors;
  for (const Mirror& mirror : wall.mirrors) {
    mirrors.push_back(fmt::format("{{at_m: {}, width_m: {}, side: {}}}", mirror.at_m, mirror.width_m,
                                  mirror.on_left ? "left" : "right"));
  }
  if (!mirrors.empty()) text += fmt::format(", mirrors: [{}]", fmt::join(mirrors, ", "));
  return text + "}\n";
}

std::string shape_text(const Furniture& item) {
  switch (item.shape) {
    case FurnitureShape::round:
      return fmt::format("shape: round, centre: {}, diameter_m: {}", place(item.centre), item.length_m);
    case FurnitureShape::legs:
      return fmt::format("shape: legs, centre: {}, length_m: {}, width_m: {}, heading_deg: {}, leg_m: {}",
                         place(item.centre), item.length_m, item.width_m, item.heading_deg, item.leg_m);
    case FurnitureShape::box:
      break;
  }
  return fmt::format("shape: box, centre: {}, length_m: {}, width_m: {}, heading_deg: {}", place(item.centre),
                     item.length_m, item.width_m, item.heading_deg);
}

std::string furniture_text(const Furniture& item) {
  std::string text = fmt::format("  - {{name: {}, {}", quoted(item.name), shape_text(item));
  std::vector<std::string> moves;
  for (const FurnitureMove& move : item.moves) {
    moves.push_back(
        fmt::format("{{from_s: {}, centre: {}, heading_deg: {}}}", move.from_s, place(move.centre), move.heading_deg));
  }
  if (!moves.empty()) text += fmt::format(", moves: [{}]", fmt::join(moves, ", "));
  return text + "}\n";
}

std::string person_text(const Person& person) {
  std::string text = "  - {";
  for (const auto& key : kPersonNumbers) text += fmt::format("{}: {}, ", key.name, person.*key.member);
  if (person.follows_m > 0.0) return text + fmt::format("follows_m: {}}}\n", person.follows_m);
  return text + fmt::format("waypoints: {}}}\n", places(person.waypoints));
}

std::string waypoint_text(const Waypoint& w) {
  if (w.stop_s == 0.0 && !w.turn_on_spot && !w.lift) return fmt::format("  - {}\n", place(w.point));
  std::string text =
      fmt::format("  - {{at: {}, stop_s: {}, turn_on_spot: {}", place(w.point), w.stop_s, w.turn_on_spot);
  if (w.lift) text += fmt::format(", lift: {{way: {}, heading_deg: {}}}", places(w.lift->way), w.lift->heading_deg);
  return text + "}\n";
}

std::string slips_text(const std::vector<WheelSlip>& slips) {
  std::string text = slips.empty() ? "" : "slips:\n";
  for (const WheelSlip& slip : slips) {
    text += fmt::format("  - {{at: {}, radius_m: {}, crossing: {}, left_m: {}, right_m: {}}}\n", place(slip.at),
                        slip.radius_m, slip.crossing, slip.left_m, slip.right_m);
  }
  return text;
}

std::string markers_text(const Plan& plan) {
  std::string text = plan.markers.empty() ? "" : "markers:\n";
  for (const Marker& marker : plan.markers) {
    text += fmt::format("  - {{name: {}, at: {}, heading_deg: {}}}\n", quoted(marker.name), place(marker.at),
                        marker.heading_deg);
  }
  return text + (plan.markers_surveyed ? "markers_surveyed: true\n" : "");
}

std::string robot_text(const RobotSpec& robot) {
  std::string text = "robot:\n";
  for (const auto& key : kRobotNumbers) text += fmt::format("  {}: {}\n", key.name, robot.*key.member);
  text += fmt::format("  counter_bits: {}\n  gyro: {}\n  motion_log: {}\n  lidar_log: {}\n  lidar:\n",
                      robot.counter_bits, robot.gyro, robot.motion_log == MotionLog::wheels ? "wheels" : "odometry",
                      robot.lidar_log == LidarLog::scans ? "scans" : "returns");
  for (const auto& key : kLidarNumbers) text += fmt::format("    {}: {}\n", key.name, robot.lidar.*key.member);
  for (const auto& key : kThinningNumbers) {
    if (robot.lidar.*key.member > 0.0) text += fmt::format("    {}: {}\n", key.name, robot.lidar.*key.member);
  }
  if (robot.lidar.all_at_once) text += "    all_at_once: true\n";
  return text + fmt::format("    beams: {}\n    clockwise: {}\n    mirrored: {}\n    sweep_stated: {}\n",
                            robot.lidar.beams, robot.lidar.clockwise, robot.lidar.mirrored, robot.lidar.sweep_stated);
}

}  // namespace

Plan read_plan(const std::filesystem::path& file) {
  std::error_code unreadable;
  std::string text;
  if (std::filesystem::is_regular_file(file, unreadable)) {
    std::ifstream in(file, std::ios::binary);
    text.assign(std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>());
  }
  if (text.empty()) {
    throw InputError(fmt::format("{}: cannot be read or is empty; give a plan written in YAML.", file.string()));
  }
  try {
    const std::string name = file.string();
    return plan_from(YAML::Load(text), name);
  } catch (const YAML::Exception& error) {
    throw InputError(fmt::format("{}, line {}: this is not YAML ({}); see the example in data/demo.", file.string(),
                                 error.mark.line + 1, error.msg));
  }
}

std::string plan_text(const Plan& plan) {
  std::string text = fmt::format(
      "# A house, a robot and a drive for the simulator.\nwainscot_plan: 1\nname: {}\nwalls:\n", quoted(plan.name));
  for (const Wall& wall : plan.walls) text += wall_text(wall);
  if (!plan.furniture.empty()) text += "furniture:\n";
  for (const Furniture& item : plan.furniture) text += furniture_text(item);
  text += fmt::format("floor: {}\n", quoted(plan.floor));
  if (!plan.floors.empty()) text += "floors:\n";
  for (const Floor& floor : plan.floors) {
    text += fmt::format("  - {{name: {}, outline: {}}}\n", quoted(floor.name), places(floor.outline));
  }
  if (!plan.people.empty()) text += "people:\n";
  for (const Person& person : plan.people) text += person_text(person);
  text += "route:\n";
  for (const Waypoint& w : plan.route) text += waypoint_text(w);
  text += slips_text(plan.slips) + markers_text(plan);
  text += robot_text(plan.robot) + "defects:\n";
  for (const KnobEntry& entry : knob_table()) {
    text += fmt::format("  {}: {}\n", entry.name, to_text(plan.defects.*entry.member));
  }
  return text + fmt::format("uncertainties_stated: {}\n", plan.uncertainties_stated);
}

void write_plan(const Plan& plan, const std::filesystem::path& file) {
  std::ofstream out(file, std::ios::binary);
  out << plan_text(plan);
  out.close();
  if (!out) throw InputError(fmt::format("{}: cannot be written; choose another place.", file.string()));
}

}  // namespace wainscot::simulator
