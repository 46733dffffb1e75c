// Maps recordings of real robots and scores the maps against what others found: poses of the scans, or walls of the
// building; and finds one drive in the map of another through the same building. Not a timed test.
//
//   build/tests/bench/recordings FOLDER --csv recordings.csv
//   build/tests/bench/recordings FOLDER --pair monday,tuesday
//
// FOLDER holds drive folders, each with a reference.csv in the columns of truth.csv (the lidar's poses at the stamps of
// its scans), or a reference_walls.csv (x_m,y_m: wall cells of 10 cm, in a frame of its own), or both. References are
// estimates as well, good to some centimetres. reference_score, wall_alignment and pair_score say how they are used.

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "core/errors.hpp"
#include "io/map/map_folder.hpp"
#include "io/map/map_reader.hpp"
#include "io/spelling.hpp"
#include "tests/bench/altered_drive.hpp"
#include "tests/bench/pair_score.hpp"
#include "tests/bench/recorded_drive.hpp"
#include "tests/bench/recordings_table.hpp"
#include "tests/bench/temporary_folder.hpp"
#include "tests/bench/wall_alignment.hpp"

namespace wainscot::bench {
namespace {

using Pair = std::pair<std::string, std::string>;

std::vector<Pair> pairs_of(const std::vector<std::string>& texts) {
  std::vector<Pair> pairs;
  for (const std::string& text : texts) {
    const std::size_t comma = text.find(',');
    if (comma == std::string::npos || comma == 0 || comma + 1 == text.size() ||
        text.find(',', comma + 1) != std::string::npos) {
      throw InputError("--pair " + printable(text, 100) +
                       ": write two drives of FOLDER with a comma between them, A,B");
    }
    pairs.emplace_back(text.substr(0, comma), text.substr(comma + 1));
  }
  return pairs;
}

/// Maps drives one after another; of those that are in a pair the maps are kept on the disk, as the program keeps them.
class Scoring {
 public:
  Scoring(std::filesystem::path folder, std::vector<Pair> pairs, std::string alteration)
      : folder_(std::move(folder)), pairs_(std::move(pairs)), alteration_(std::move(alteration)) {}

  std::vector<ScoredDrive> score_drives(const std::vector<std::string>& names) {
    std::vector<ScoredDrive> scored;
    for (const std::string& name : names) {
      fmt::print(stderr, "Mapping {} ({} of {}).\n", name, scored.size() + 1, names.size());
      scored.push_back(scored_drive(name));
    }
    return scored;
  }

  std::vector<ScoredPair> score_pairs() const {
    std::vector<ScoredPair> scored;
    for (const Pair& pair : pairs_) scored.push_back(scored_pair(pair));
    return scored;
  }

 private:
  bool is_in_a_pair(const std::string& name) const {
    return std::any_of(pairs_.begin(), pairs_.end(),
                       [&name](const Pair& pair) { return pair.first == name || pair.second == name; });
  }

  ScoredDrive scored_drive(const std::string& name) {
    ScoredDrive scored;
    scored.name = name;
    const RecordedDrive recorded = read_recorded_drive(folder_ / name, alteration_);
    try {
      scored.mapped = mapped(recorded);
    } catch (const PoorData& poor) {
      scored.failure = poor.what();
      return scored;
    }
    Map& map = scored.mapped.map;
    scored.closures = static_cast<std::size_t>(
        std::count_if(map.candidates.begin(), map.candidates.end(),
                      [](const LoopCandidate& candidate) { return candidate.verdict == Verdict::accepted; }));
    if (!recorded.walls.empty()) scored.walls = align_to_walls(occupied_cells(map.grid), recorded.walls);
    if (is_in_a_pair(name)) {
      write_map(map, recorded.drive, {"bench", false, true}, maps_.path() / name, false);
      poses_of_[name] = scored.mapped.pose_of_scan;
    }
    Map rest;
    rest.quality = map.quality;
    map = std::move(rest);
    return scored;
  }

  ScoredPair scored_pair(const Pair& pair) const {
    ScoredPair scored;
    std::tie(scored.first, scored.second) = pair;
    for (const std::string& name : {pair.first, pair.second}) {
      if (!poses_of_.contains(name)) scored.failure = name + " has no map, see above";
    }
    if (!scored.failure.empty()) return scored;
    const SavedMap map_1 = read_map(maps_.path() / pair.first);
    const SavedMap map_2 = read_map(maps_.path() / pair.second);
    const RecordedDrive drive_1 = read_recorded_drive(folder_ / pair.first);
    const RecordedDrive drive_2 = read_recorded_drive(folder_ / pair.second);
    fmt::print(stderr, "Locating {} in the map of {}.\n", pair.second, pair.first);
    scored.second_in_first = score_located(map_1, drive_2, map_2, poses_of_.at(pair.second));
    fmt::print(stderr, "Locating {} in the map of {}.\n", pair.first, pair.second);
    scored.first_in_second = score_located(map_2, drive_1, map_1, poses_of_.at(pair.first));
    fmt::print(stderr, "Extending the map of {} by {}.\n", pair.first, pair.second);
    scored.extended = score_extended(map_1, drive_2, drive_1.walls);
    return scored;
  }

  std::filesystem::path folder_;
  std::vector<Pair> pairs_;
  std::string alteration_;
  TemporaryFolder maps_;
  std::map<std::string, std::vector<std::optional<Pose2>>> poses_of_;  ///< of the scans of drives in pairs
};

void write_figures(const std::vector<ScoredDrive>& drives, const std::vector<ScoredPair>& pairs,
                   const std::string& file) {
  std::ofstream out(file);
  out << figures(drives, pairs).csv();
  if (!out.flush()) throw InputError(printable(file, 300) + ": could not be written; is the disk full?");
}

/// Before the work of minutes.
void require_writable(const std::string& file) {
  if (!std::ofstream(file, std::ios::app)) {
    throw InputError(printable(file, 300) + ": cannot be written; choose another --csv");
  }
}

/// The status: 1 where some drive gave no map or no score.
int run(const std::filesystem::path& folder, const std::vector<std::string>& pair_texts, const std::string& alteration,
        const std::string& csv) {
  const std::vector<Pair> pairs = pairs_of(pair_texts);
  const std::vector<std::string> names = recorded_drives(folder, pairs);
  if (!csv.empty()) require_writable(csv);
  Scoring scoring(folder, pairs, alteration);
  const std::vector<ScoredDrive> drives = scoring.score_drives(names);
  const std::vector<ScoredPair> scored_pairs = scoring.score_pairs();
  fmt::print("{}", tables(drives, scored_pairs));
  if (!csv.empty()) write_figures(drives, scored_pairs, csv);
  const bool all_mapped =
      std::all_of(drives.begin(), drives.end(), [](const ScoredDrive& drive) { return drive.failure.empty(); });
  return all_mapped ? 0 : 1;
}

}  // namespace
}  // namespace wainscot::bench

int main(int argc, char** argv) {
  CLI::App app{"Maps recordings of real robots and scores the maps against poses and walls that others found."};
  std::string folder;
  std::vector<std::string> pairs;
  std::string alteration;
  std::string csv;
  app.add_option("FOLDER", folder, "with drive folders, each with a reference.csv or a reference_walls.csv")
      ->required();
  app.add_option("--pair", pairs,
                 "two drives of FOLDER in one building: each is located in the other's map, and B extends the map of "
                 "A; may be given often")
      ->type_name("A,B")
      ->allow_extra_args(false);
  app.add_option("--alter", alteration, "make other drives of them, without --pair: what the rules are worth there")
      ->check(CLI::IsMember(wainscot::bench::alterations()))
      ->excludes("--pair");
  app.add_option("--csv", csv, "write all figures to this file: a row a drive, then three rows a pair")
      ->type_name("FILE");
  app.footer(
      "reference.csv has the columns time_s,x_m,y_m,heading_rad: the lidar's poses at the stamps of its scans.\n"
      "reference_walls.csv has x_m,y_m: cells of wall, 10 cm wide, in a frame of its own.\n"
      "The status is 1 where a drive gives no map or no score, 2 where the input is wrong.\n\n"
      "Example:\n  build/tests/bench/recordings recordings --pair monday,tuesday --csv recordings.csv");
  try {
    app.parse(argc, argv);
    return wainscot::bench::run(folder, pairs, alteration, csv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? 0 : 2;
  } catch (const wainscot::InputError& error) {
    fmt::print(stderr, "{}\n", error.what());
    return 2;
  }
}
