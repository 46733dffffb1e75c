#include "apps/simulator/house_yaml.hpp"

#include <algorithm>
#include <cstddef>

#include <fmt/format.h>

namespace wainscot::simulator {

namespace {

double read_open_deg(const PlanSection& section, double otherwise) {
  const double open_deg = section.number("open_deg", otherwise, 0.0, 180.0);
  if (open_deg > 0.0 && open_deg < 60.0) {
    section.fail(section.need("open_deg"), fmt::format("open_deg is {} and must be 0 (shut) or 60 to 180", open_deg));
  }
  return open_deg;
}

/// The times of a list of moves must rise.
template <typename Move>
void need_rising(const PlanSection& section, const YAML::Node& node, const std::vector<Move>& moves) {
  if (moves.size() > 1 && moves.back().from_s <= moves[moves.size() - 2].from_s) {
    section.fail(node, "from_s must rise from move to move");
  }
}

DoorLeaf read_leaf(const PlanSection& section) {
  DoorLeaf leaf = {section.choice("hinge", {"start", "end"}) == 0, section.choice("swings", {"left", "right"}) == 0,
                   read_open_deg(section, 90.0)};
  for (const YAML::Node& node : section.list("moves")) {
    const PlanSection move = section.item(node, "a leaf's move", {"from_s", "open_deg"});
    leaf.moves.push_back({move.number("from_s", 0.0, 1e9), read_open_deg(move, 0.0)});
    need_rising(section, node, leaf.moves);
  }
  return leaf;
}

Opening read_opening(const PlanSection& section) {
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

Wall read_wall(const PlanSection& section) {
  Wall wall;
  wall.from = section.point("from");
  wall.to = section.point("to");
  wall.thickness_m = section.number("thickness_m", 0.1, 0.01, 2.0);
  const double length = norm(wall.to - wall.from);
  if (length < 0.01) section.fail(section.need("to"), "the wall's ends are the same place");
  for (const YAML::Node& node : section.list("openings")) {
    const PlanSection inner = section.item(node, "an opening", {"at_m", "width_m", "leaf", "glass", "threshold"});
    const Opening opening = read_opening(inner);
    if (opening.at_m - opening.width_m / 2.0 < 0.0 || opening.at_m + opening.width_m / 2.0 > length) {
      section.fail(node, fmt::format("the opening does not lie within its wall, which is {:.3f} m long", length));
    }
    wall.openings.push_back(opening);
  }
  for (const YAML::Node& node : section.list("mirrors")) {
    const PlanSection inner = section.item(node, "a mirror", {"at_m", "width_m", "side"});
    const Mirror mirror = {inner.number("at_m", 0.0, kFar_m), inner.number("width_m", 0.05, 100.0),
                           inner.choice("side", {"left", "right"}) == 0};
    if (mirror.at_m - mirror.width_m / 2.0 < 0.0 || mirror.at_m + mirror.width_m / 2.0 > length) {
      section.fail(node, fmt::format("the mirror does not lie within its wall, which is {:.3f} m long", length));
    }
    wall.mirrors.push_back(mirror);
  }
  return wall;
}

Furniture read_item(const PlanSection& section) {
  Furniture item;
  item.name = section.text("name", "");
  const std::size_t shape = section.choice("shape", {"box", "round", "legs"});
  item.shape = std::vector{FurnitureShape::box, FurnitureShape::round, FurnitureShape::legs}[shape];
  item.centre = section.point("centre");
  for (const YAML::Node& node : section.list("moves")) {
    const PlanSection move = section.item(node, "furniture's move", {"from_s", "centre", "heading_deg"});
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

std::string item_text(const Furniture& item) {
  std::string text = fmt::format("  - {{name: {}, {}", quoted(item.name), shape_text(item));
  std::vector<std::string> moves;
  for (const FurnitureMove& move : item.moves) {
    moves.push_back(
        fmt::format("{{from_s: {}, centre: {}, heading_deg: {}}}", move.from_s, place(move.centre), move.heading_deg));
  }
  if (!moves.empty()) text += fmt::format(", moves: [{}]", fmt::join(moves, ", "));
  return text + "}\n";
}

}  // namespace

std::vector<Wall> read_walls(const PlanSection& plan) {
  std::vector<Wall> walls;
  for (const YAML::Node& node : plan.list("walls")) {
    walls.push_back(read_wall(plan.item(node, "a wall", {"from", "to", "thickness_m", "openings", "mirrors"})));
  }
  return walls;
}

std::vector<Furniture> read_furniture(const PlanSection& plan) {
  std::vector<Furniture> furniture;
  for (const YAML::Node& node : plan.list("furniture")) {
    furniture.push_back(read_item(
        plan.item(node, "furniture",
                  {"name", "shape", "centre", "length_m", "width_m", "diameter_m", "heading_deg", "leg_m", "moves"})));
  }
  return furniture;
}

std::vector<Floor> read_floors(const PlanSection& plan) {
  std::vector<Floor> floors;
  for (const YAML::Node& node : plan.list("floors")) {
    const PlanSection floor = plan.item(node, "a floor", {"name", "outline"});
    floors.push_back({floor.text("name", "floor"), floor.points("outline", 3)});
  }
  return floors;
}

std::string walls_text(const std::vector<Wall>& walls) {
  std::string text = "walls:\n";
  for (const Wall& wall : walls) text += wall_text(wall);
  return text;
}

std::string furniture_text(const std::vector<Furniture>& furniture) {
  std::string text = furniture.empty() ? "" : "furniture:\n";
  for (const Furniture& item : furniture) text += item_text(item);
  return text;
}

std::string floors_text(const std::vector<Floor>& floors) {
  std::string text = floors.empty() ? "" : "floors:\n";
  for (const Floor& floor : floors) {
    text += fmt::format("  - {{name: {}, outline: {}}}\n", quoted(floor.name), places(floor.outline));
  }
  return text;
}

}  // namespace wainscot::simulator
