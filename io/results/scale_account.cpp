#include "io/results/scale_account.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

using Json = nlohmann::ordered_json;

Json point_json(const Eigen::Vector2d& point) {
  return {{"x_m", rounded(point.x(), 3)}, {"y_m", rounded(point.y(), 3)}};
}

std::string point_text(const Eigen::Vector2d& point) {
  return fmt::format("({}, {})", fixed_text(point.x(), 2), fixed_text(point.y(), 2));
}

const char* kind_name(ScaleRemedy::Kind kind) {
  return kind == ScaleRemedy::Kind::tapes          ? "tapes"
         : kind == ScaleRemedy::Kind::straight_run ? "straight_runs"
                                                   : "surveyed_markers";
}

/// What is to be done, with the words between it and what it is worth.
std::string remedy_text(const ScaleRemedy& r) {
  if (r.kind == ScaleRemedy::Kind::straight_run) {
    return fmt::format("{} of {} known to {} for wainscot calibrate",
                       count_text(static_cast<std::size_t>(r.count), "straight run"), length_text(r.length_m),
                       length_text(r.sd_m));
  }
  if (r.kind == ScaleRemedy::Kind::surveyed_markers) {
    return fmt::format("a survey of two markers {} apart, known to {} each", length_text(r.length_m),
                       length_text(r.sd_m));
  }
  std::string places;
  for (const auto& [from_m, to_m] : r.between_m) {
    places += fmt::format("{}{} and {}", places.empty() ? "" : ", ", point_text(from_m), point_text(to_m));
  }
  if (r.count > 1) return fmt::format("{} tapes between the walls at {} m", r.count, places);
  return fmt::format("one tape of {} known to {}, between the walls at {} m (build --tapes)", length_text(r.length_m),
                     length_text(r.sd_m), places);
}

}  // namespace

std::string tape_sentences(const std::vector<MappedTape>& tapes) {
  if (tapes.empty()) return "";
  const auto used = static_cast<std::size_t>(
      std::count_if(tapes.begin(), tapes.end(), [](const MappedTape& tape) { return tape.left_out.empty(); }));
  if (used == 0) return fmt::format("none of {} holds the scale.", count_text(tapes.size(), "tape"));
  std::string text =
      fmt::format("{} of {} {} the scale", used, count_text(tapes.size(), "tape"), used == 1 ? "holds" : "hold");
  double longest_m = 0.0;
  double difference_m = 0.0;
  for (const MappedTape& tape : tapes) {
    if (!tape.left_out.empty() || tape.tape_m <= longest_m) continue;
    longest_m = tape.tape_m;
    difference_m = *tape.without_m - tape.tape_m;
  }
  return text + fmt::format("; along the longest, {}, the map without them was {} too {}.", length_text(longest_m),
                            length_text(std::abs(difference_m)), difference_m < 0.0 ? "short" : "long");
}

std::string remedy_sentence(const std::vector<ScaleRemedy>& remedies) {
  std::string text;
  for (const ScaleRemedy& remedy : remedies) {
    text += fmt::format("{}{} to {}", text.empty() ? "would bring it: " : "; ", remedy_text(remedy),
                        percent_text(remedy.scale_sd));
  }
  return text.empty() ? "" : "To know the scale better, this " + text + ".";
}

nlohmann::ordered_json tapes_json(const std::vector<MappedTape>& tapes) {
  Json list = Json::array();
  for (const MappedTape& tape : tapes) {
    Json row = {{"name", tape.name},     {"from", point_json(tape.from_m)}, {"to", point_json(tape.to_m)},
                {"tape_m", tape.tape_m}, {"tape_sd_m", tape.tape_sd_m},     {"used", tape.left_out.empty()}};
    if (tape.without_m) row["without_tapes_m"] = rounded(*tape.without_m, 5);
    if (!tape.left_out.empty()) row["left_out"] = tape.left_out;
    list.push_back(row);
  }
  return list;
}

nlohmann::ordered_json remedies_json(const std::vector<ScaleRemedy>& remedies) {
  Json list = Json::array();
  for (const ScaleRemedy& remedy : remedies) {
    Json row = {{"what", kind_name(remedy.kind)},
                {"count", remedy.count},
                {"length_m", rounded(remedy.length_m, 3)},
                {"known_to_m", remedy.sd_m},
                {"scale_sd", rounded(remedy.scale_sd, 7)}};
    for (const auto& [from_m, to_m] : remedy.between_m) {
      row["between"].push_back({{"from", point_json(from_m)}, {"to", point_json(to_m)}});
    }
    list.push_back(row);
  }
  return list;
}

}  // namespace wainscot
