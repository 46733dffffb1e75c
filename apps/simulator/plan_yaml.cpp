#include "apps/simulator/plan_yaml.hpp"

#include <fstream>
#include <ios>
#include <system_error>
#include <vector>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include "apps/simulator/house_yaml.hpp"
#include "apps/simulator/plan_section.hpp"
#include "apps/simulator/robot_spec_yaml.hpp"
#include "core/errors.hpp"

namespace wainscot::simulator {

namespace {

const std::vector<NumberKey<Person>> kPersonNumbers = {{"speed_m_s", &Person::speed_m_s, 0.05, 5.0},
                                                       {"start_s", &Person::start_s, 0.0, 1e9},
                                                       {"end_s", &Person::end_s, 0.0, 1e9},
                                                       {"pause_s", &Person::pause_s, 0.0, 1e6}};

Waypoint read_waypoint(const PlanSection& section, const YAML::Node& node) {
  Waypoint waypoint;
  if (node.IsSequence()) {
    waypoint.point = section.point(node, "a waypoint");
    return waypoint;
  }
  const PlanSection inner = section.item(node, "a waypoint", {"at", "stop_s", "turn_on_spot", "lift"});
  waypoint.point = inner.point("at");
  waypoint.stop_s = inner.number("stop_s", 0.0, 0.0, 3600.0);
  waypoint.turn_on_spot = inner.flag("turn_on_spot", false);
  if (inner.has("lift")) {
    const PlanSection lift = inner.inner("lift", {"way", "heading_deg"});
    waypoint.lift = Lift{lift.points("way", 1), lift.number("heading_deg", -360.0, 360.0)};
  }
  return waypoint;
}

Person read_person(const PlanSection& section) {
  Person person;
  section.numbers(kPersonNumbers, person);
  person.cart_m = section.number("cart_m", 0.0, 0.0, 3.0);
  person.follows_m = section.number("follows_m", 0.0, 0.0, 100.0);
  if (person.follows_m == 0.0) person.waypoints = section.points("waypoints", 2);
  return person;
}

/// The name of a marker or a line, as it stands in tables. `what`: "a marker"; `key`: of what is at the place to blame.
std::string table_name(const PlanSection& section, const std::string& what, const char* key) {
  std::string name = section.text("name", "");
  if (name.empty() || name.find_first_of(",\"\n\r#") != std::string::npos) {
    section.fail(section.need(key), what + " needs a name without commas, quotes and #");
  }
  return name;
}

Marker read_marker(const PlanSection& section) {
  Marker marker{{}, section.point("at"), section.number("heading_deg", 0.0, -360.0, 360.0)};
  marker.name = table_name(section, "a marker", "at");
  return marker;
}

FloorLine read_line(const PlanSection& section) {
  FloorLine line{{}, section.point("from"), section.point("to")};
  line.name = table_name(section, "a line", "from");
  if (norm(line.to - line.from) < 0.3) section.fail(section.need("to"), "a line must be 0.3 m long at least");
  return line;
}

WheelSlip read_slip(const PlanSection& section) {
  WheelSlip slip;
  slip.at = section.point("at");
  slip.radius_m = section.number("radius_m", slip.radius_m, 0.02, 10.0);
  slip.crossing = section.whole("crossing", slip.crossing, 1, 100000);
  slip.left_m = section.number("left_m", slip.left_m, -10.0, 10.0);
  slip.right_m = section.number("right_m", slip.right_m, -10.0, 10.0);
  return slip;
}

/// Does it, and says where in the file it could not be done.
template <typename Action>
decltype(auto) at_line(const std::string& file, const YAML::Node& node, const Action& action) {
  try {
    return action();
  } catch (const InputError& error) {
    throw InputError(fmt::format("{}, line {}: {}", file, node.Mark().line + 1, error.what()));
  }
}

void read_defects(const PlanSection& plan, const YAML::Node& node, const std::string& file, Defects& defects) {
  if (!node.IsMap()) plan.fail(node, "defects must be \"defect: value\" pairs");
  for (const auto& pair : node) {
    at_line(file, pair.first, [&] { set_knob(defects, pair.first.Scalar(), pair.second.Scalar()); });
  }
}

Plan plan_from(const YAML::Node& root, const std::string& file) {
  const PlanSection section(
      root, file, "the plan",
      {"wainscot_plan", "name", "walls", "furniture", "floor", "floors", "people", "route", "slips", "markers",
       "markers_surveyed", "lines", "lines_measured", "robot", "defects", "not_told", "uncertainties_stated"});
  section.number("wainscot_plan", 1.0, 1.0);
  Plan plan;
  plan.name = section.text("name", "");
  plan.walls = read_walls(section);
  plan.furniture = read_furniture(section);
  plan.floor = section.text("floor", plan.floor);
  plan.floors = read_floors(section);
  for (const YAML::Node& node : section.list("people")) {
    plan.people.push_back(
        read_person(section.item(node, "a person", key_names(kPersonNumbers, {"waypoints", "follows_m", "cart_m"}))));
  }
  for (const YAML::Node& node : section.list("route")) plan.route.push_back(read_waypoint(section, node));
  for (const YAML::Node& node : section.list("slips")) {
    plan.slips.push_back(read_slip(section.item(node, "a slip", {"at", "radius_m", "crossing", "left_m", "right_m"})));
  }
  for (const YAML::Node& node : section.list("markers")) {
    plan.markers.push_back(read_marker(section.item(node, "a marker", {"name", "at", "heading_deg"})));
  }
  plan.markers_surveyed = section.flag("markers_surveyed", false);
  for (const YAML::Node& node : section.list("lines")) {
    plan.lines.push_back(read_line(section.item(node, "a line", {"name", "from", "to"})));
  }
  plan.lines_measured = section.flag("lines_measured", false);
  if (plan.route.size() < 2) section.fail(root, "route needs at least two waypoints");
  if (plan.route.front().lift || plan.route.back().lift) {
    section.fail(section.need("route"), "the robot cannot be lifted at the first waypoint or at the last");
  }
  plan.robot = read_robot(section);
  if (section.has("defects")) read_defects(section, section.need("defects"), file, plan.defects);
  for (const YAML::Node& node : section.list("not_told")) {
    const KnobEntry& entry = at_line(file, node, [&]() -> const KnobEntry& { return knob_entry(node.Scalar()); });
    plan.not_told.emplace_back(entry.name);
  }
  plan.uncertainties_stated = section.flag("uncertainties_stated", false);
  return plan;
}

std::string person_text(const Person& person) {
  std::string text = "  - {";
  for (const auto& key : kPersonNumbers) text += fmt::format("{}: {}, ", key.name, person.*key.member);
  if (person.cart_m > 0.0) text += fmt::format("cart_m: {}, ", person.cart_m);
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

std::string lines_text(const Plan& plan) {
  std::string text = plan.lines.empty() ? "" : "lines:\n";
  for (const FloorLine& line : plan.lines) {
    text += fmt::format("  - {{name: {}, from: {}, to: {}}}\n", quoted(line.name), place(line.from), place(line.to));
  }
  return text + (plan.lines_measured ? "lines_measured: true\n" : "");
}

}  // namespace

Plan read_plan(const std::filesystem::path& file) {
  constexpr std::size_t kMostBytes = 1'000'000;  // a house of ten thousand walls
  std::error_code unreadable;
  std::string text;
  if (std::filesystem::is_regular_file(file, unreadable)) {
    std::ifstream in(file, std::ios::binary);
    text.resize(kMostBytes + 1);
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(in.gcount()));
  }
  if (text.size() > kMostBytes) {
    throw InputError(
        fmt::format("{}: is larger than {} bytes; give a plan written in YAML.", file.string(), kMostBytes));
  }
  if (text.empty()) {
    throw InputError(fmt::format("{}: cannot be read or is empty; give a plan written in YAML.", file.string()));
  }
  try {
    const std::string name = file.string();
    return plan_from(YAML::Load(text), name);
  } catch (const YAML::Exception& error) {
    throw InputError(fmt::format("{}, line {}: this is not YAML ({}); see the example in data/demo.", file.string(),
                                 error.mark.line + 1, error.msg.substr(0, error.msg.find('\n'))));
  }
}

std::string plan_text(const Plan& plan) {
  std::string text =
      fmt::format("# A house, a robot and a drive for the simulator.\nwainscot_plan: 1\nname: {}\n", quoted(plan.name));
  text += walls_text(plan.walls) + furniture_text(plan.furniture);
  text += fmt::format("floor: {}\n", quoted(plan.floor)) + floors_text(plan.floors);
  if (!plan.people.empty()) text += "people:\n";
  for (const Person& person : plan.people) text += person_text(person);
  text += "route:\n";
  for (const Waypoint& w : plan.route) text += waypoint_text(w);
  text += slips_text(plan.slips) + markers_text(plan) + lines_text(plan);
  text += robot_text(plan.robot) + "defects:\n";
  for (const KnobEntry& entry : knob_table()) {
    const Knob& knob = plan.defects.*entry.member;
    if (!entry.written_where_off && knob.is(entry.off)) continue;
    text += fmt::format("  {}: {}\n", entry.name, to_text(knob));
  }
  if (!plan.not_told.empty()) text += fmt::format("not_told: [{}]\n", fmt::join(plan.not_told, ", "));
  return text + fmt::format("uncertainties_stated: {}\n", plan.uncertainties_stated);
}

void write_plan(const Plan& plan, const std::filesystem::path& file) {
  std::ofstream out(file, std::ios::binary);
  out << plan_text(plan);
  out.close();
  if (!out) throw InputError(fmt::format("{}: cannot be written; choose another place.", file.string()));
}

}  // namespace wainscot::simulator
