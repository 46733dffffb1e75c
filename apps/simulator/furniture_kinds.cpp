#include "apps/simulator/furniture_kinds.hpp"

namespace wainscot::simulator {

using enum FurnitureShape;

const std::vector<FurnitureKind>& kinds_for(RoomKind room) {
  using Place = FurniturePlace;
  static const std::vector<FurnitureKind> living = {{"sofa", box, Place::wall, 1.8, 2.6, 0.85, 0.95, 0.95},
                                                    {"tv bench", box, Place::wall, 1.2, 1.8, 0.35, 0.45, 0.9},
                                                    {"dining table", legs, Place::middle, 1.3, 1.9, 0.8, 0.95, 0.6, 6},
                                                    {"coffee table", legs, Place::middle, 0.8, 1.1, 0.5, 0.6, 0.6},
                                                    {"armchair", box, Place::wall, 0.75, 0.85, 0.75, 0.85, 0.6},
                                                    {"shelf", box, Place::wall, 0.8, 1.8, 0.28, 0.36, 0.8},
                                                    {"shelf", box, Place::wall, 0.6, 1.0, 0.28, 0.36, 0.4},
                                                    {"plant", round, Place::wall, 0.28, 0.42, 0.28, 0.42, 0.7},
                                                    {"floor lamp", round, Place::wall, 0.24, 0.30, 0.24, 0.30, 0.5}};
  static const std::vector<FurnitureKind> kitchen = {
      {"counter", box, Place::wall, 1.8, 3.2, 0.6, 0.62, 1.0},
      {"fridge", box, Place::wall, 0.6, 0.7, 0.62, 0.68, 0.9},
      {"counter", box, Place::wall, 0.9, 1.8, 0.6, 0.62, 0.6},
      {"kitchen table", legs, Place::middle, 0.9, 1.4, 0.7, 0.85, 0.7, 4},
      {"bin", round, Place::wall, 0.28, 0.34, 0.28, 0.34, 0.6}};
  static const std::vector<FurnitureKind> bath = {{"tub", box, Place::wall, 1.55, 1.7, 0.7, 0.75, 0.8},
                                                  {"basin", box, Place::wall, 0.5, 0.7, 0.42, 0.5, 0.9},
                                                  {"toilet", box, Place::wall, 0.36, 0.4, 0.55, 0.65, 0.9},
                                                  {"washing machine", box, Place::wall, 0.6, 0.6, 0.6, 0.62, 0.5}};
  static const std::vector<FurnitureKind> bedroom = {{"bed", box, Place::wall, 0.95, 1.65, 2.02, 2.1, 1.0},
                                                     {"wardrobe", box, Place::wall, 1.0, 2.2, 0.58, 0.64, 0.95},
                                                     {"bedside table", box, Place::wall, 0.4, 0.5, 0.36, 0.42, 0.6},
                                                     {"desk", legs, Place::wall, 1.0, 1.4, 0.6, 0.7, 0.5, 1},
                                                     {"chest of drawers", box, Place::wall, 0.8, 1.2, 0.42, 0.5, 0.5},
                                                     {"basket", round, Place::wall, 0.3, 0.45, 0.3, 0.45, 0.4}};
  static const std::vector<FurnitureKind> office = {{"desk", legs, Place::wall, 1.2, 1.7, 0.7, 0.8, 1.0, 1},
                                                    {"shelf", box, Place::wall, 0.8, 1.8, 0.28, 0.4, 0.9},
                                                    {"shelf", box, Place::wall, 0.8, 1.2, 0.28, 0.4, 0.6},
                                                    {"cabinet", box, Place::wall, 0.6, 0.9, 0.42, 0.5, 0.5},
                                                    {"bin", round, Place::wall, 0.24, 0.3, 0.24, 0.3, 0.6}};
  static const std::vector<FurnitureKind> store = {{"rack", box, Place::wall, 0.8, 1.4, 0.4, 0.5, 0.9},
                                                   {"boiler", round, Place::wall, 0.5, 0.6, 0.5, 0.6, 0.5},
                                                   {"box", box, Place::wall, 0.3, 0.5, 0.3, 0.4, 0.6}};
  static const std::vector<FurnitureKind> hall = {{"shoe cabinet", box, Place::wall, 0.7, 1.1, 0.18, 0.3, 0.8},
                                                  {"umbrella stand", round, Place::wall, 0.2, 0.26, 0.2, 0.26, 0.5},
                                                  {"side table", legs, Place::wall, 0.6, 0.9, 0.26, 0.34, 0.4}};
  switch (room) {
    case RoomKind::living:
      return living;
    case RoomKind::kitchen:
      return kitchen;
    case RoomKind::bath:
      return bath;
    case RoomKind::bedroom:
      return bedroom;
    case RoomKind::office:
      return office;
    case RoomKind::store:
      return store;
    case RoomKind::hall:
      break;
  }
  return hall;
}

}  // namespace wainscot::simulator
