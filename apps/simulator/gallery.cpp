#include "apps/simulator/gallery.hpp"

#include <vector>

#include <fmt/format.h>

#include "apps/simulator/bare_places.hpp"
#include "apps/simulator/changing_homes.hpp"
#include "apps/simulator/hard_drives.hpp"
#include "apps/simulator/hard_rooms.hpp"
#include "apps/simulator/recorded_places.hpp"
#include "core/errors.hpp"
#include "core/nearest_name.hpp"

namespace wainscot::simulator {

namespace {

struct Entry {
  HardPlace place;
  Plan (*make)(std::uint64_t seed);
};

const std::vector<Entry>& entries() {
  static const std::vector<Entry> all = {
      {{"identical-rooms", "Equal rooms with equal furniture on both sides of a corridor."}, identical_rooms},
      {{"mirrored-flats", "Two flats that mirror each other beside one stairwell, both driven through."},
       mirrored_flats},
      {{"bare-corridor", "A long corridor without doors, of which a lidar of 6 m sees only the two side walls."},
       bare_corridor},
      {{"pillar-hall-6m", "A hall of 30 m by 20 m with equal pillars and a lidar that sees 6 m."},
       [](std::uint64_t s) { return pillar_hall(s, 6.0); }},
      {{"pillar-hall-12m", "The same hall with a lidar that sees 12 m."},
       [](std::uint64_t s) { return pillar_hall(s, 12.0); }},
      {{"round-room", "A round wall tells how far it is, but not which way the robot looks."}, round_room},
      {{"thin-legs", "A dining hall of tables and chairs: hundreds of thin legs, hardly a wall near by."}, thin_legs},
      {{"glass-and-mirrors", "Rooms behind glass along a corridor, and mirrors that show rooms that are not there."},
       glass_and_mirrors},
      {{"followed-robot", "People walk behind the robot all the time, so part of the view moves along."},
       followed_robot},
      {{"closing-doors", "Doors are shut and opened again between two visits."}, closing_doors},
      {{"moved-furniture", "Furniture stands elsewhere at the second visit."}, moved_furniture},
      {{"slip-at-threshold", "Twice the wheels spin, or the robot slides, by half a metre at a threshold."},
       slip_at_threshold},
      {{"lifted-robot", "The robot is lifted, carried and put down elsewhere while its wheels count nothing."},
       lifted_robot},
      {{"lidar-240", "The lidar sees 240 degrees ahead."}, [](std::uint64_t s) { return narrow_lidar(s, 240.0); }},
      {{"lidar-180", "The lidar sees 180 degrees ahead, so a way back shows other walls."},
       [](std::uint64_t s) { return narrow_lidar(s, 180.0); }},
      {{"sparse-large-building",
        "A kilometre through an office building with a scan now and then and odometry that ends a quarter turn "
        "off or more."},
       sparse_large_building},
      {{"no-loop", "A chain of rooms in which no place is seen twice, so no closure can help."}, no_loop},
      {{"same-tour-1", "One tour through a home: what the next three are measured against."},
       [](std::uint64_t s) { return same_tour(s, 1); }},
      {{"same-tour-2", "The same tour twice."}, [](std::uint64_t s) { return same_tour(s, 2); }},
      {{"same-tour-4", "The same tour four times."}, [](std::uint64_t s) { return same_tour(s, 4); }},
      {{"same-tour-6", "The same tour six times: the map should stop growing."},
       [](std::uint64_t s) { return same_tour(s, 6); }},
      {{"one-hour", "An hour's drive from room to room."}, one_hour},
      {{"hall-40m", "A hall of 40 m with stands, people and a cart, logged as recordings of real robots are.", true},
       hall_40m},
      {{"corridor-100m", "A corridor of 100 m with rooms, there and back, logged as recordings are.", true},
       corridor_100m},
      {{"building-2km", "Two kilometres through an office building, logged as recordings are.", true}, building_2km},
      {{"like-recorded-flat", "A home, logged as recordings are: scans far apart, odometry with heavy tails and slips.",
        true},
       like_recorded_flat},
      {{"buffered-odometry", "The wheels' rows wait for 2 to 4 s now and then and are then stamped all at once.", true},
       buffered_odometry},
      {{"misstated-noise", "robot.yaml states noise of ranges and slip three times too large or too small.", true},
       misstated_noise},
      {{"half-lidar-both-ways", "A lidar of 180 degrees in a corridor, so that the way back sees what lay behind.",
        true},
       half_lidar_both_ways},
      {{"no-odometry", "The wheels' counters say 0 all the time.", true}, no_odometry},
      {{"steps-of-5cm", "Ranges come in steps of 5 cm, and robot.yaml does not know.", true}, steps_of_5cm},
      {{"people-and-carts", "Two people and two carts move about all the time.", true}, people_and_carts},
      {{"other-laws", "Slip grows with the squares of the speeds, and ranges with the angle a wall is met at.", true},
       other_laws},
  };
  return all;
}

std::vector<HardPlace> places() {
  std::vector<HardPlace> all;
  for (const Entry& entry : entries()) all.push_back(entry.place);
  return all;
}

}  // namespace

std::span<const HardPlace> gallery() {
  static const std::vector<HardPlace> all = places();
  return all;
}

namespace {

const Entry& entry_of(const std::string& name) {
  std::vector<std::string> names;
  for (const Entry& entry : entries()) {
    if (entry.place.name == name) return entry;
    names.emplace_back(entry.place.name);
  }
  throw InputError(fmt::format("There is no hard place \"{}\"; the nearest known one is \"{}\".", name,
                               names[nearest_name(name, names)]));
}

}  // namespace

void need_hard_place(const std::string& name) { entry_of(name); }

Plan hard_place(const std::string& name, std::uint64_t seed) { return entry_of(name).make(seed); }

}  // namespace wainscot::simulator
