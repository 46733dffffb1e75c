#include "graph/mapping/adjustment_warning.hpp"

#include "graph/sentence.hpp"

namespace wainscot {
namespace {

std::string rounds(int count) { return count == 1 ? "1 round" : sentence("%d rounds", count); }

}  // namespace

std::optional<std::string> adjustment_warning(const JointResult& adjusted) {
  static const std::string what_to_do =
      ": look for walls that are drawn twice; if there are any, check robot.yaml or drive again through known rooms, "
      "and do not measure in this map";
  switch (adjusted.end) {
    case AdjustmentEnd::settled:
      break;
    case AdjustmentEnd::moving:
      return sentence(
                 "the last round of the adjustment still moved a part of the path by %.2f m, so that the map may be "
                 "off by as much",
                 adjusted.last_move_m) +
             what_to_do;
    case AdjustmentEnd::cost_rose:
      return "the adjustment of path, walls and the robot's constants was stopped after " +
             rounds(adjusted.rounds_done) + ", since going on made the map fit the scans worse, not better; the map " +
             "is as it was then" + what_to_do;
    case AdjustmentEnd::unsolvable:
      return "the adjustment of path, walls and the robot's constants could not be computed after " +
             rounds(adjusted.rounds_done) + "; the map is as it was then, and its uncertainties mean little" +
             what_to_do;
  }
  return std::nullopt;
}

}  // namespace wainscot
