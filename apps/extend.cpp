#include "apps/extend.hpp"

#include <algorithm>
#include <cstddef>
#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "apps/account.hpp"
#include "apps/mapping/drive_map.hpp"
#include "apps/mapping_run.hpp"
#include "apps/option_values.hpp"
#include "apps/progress_bar.hpp"
#include "apps/timings.hpp"
#include "core/errors.hpp"
#include "graph/extend/extended_map.hpp"
#include "graph/motion/usable_drive.hpp"
#include "io/log/drive_reader.hpp"
#include "io/log/simulated_mark.hpp"
#include "io/map/map_folder.hpp"
#include "io/map/map_reader.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

struct ExtendOptions {
  std::filesystem::path map;
  std::vector<std::filesystem::path> drives;
  std::filesystem::path out;
  int threads = 0;
  bool replace = false;
  bool quiet = false;
};

/// The old map is never touched, --replace or not.
void check_outputs(const ExtendOptions& options) {
  std::error_code error;
  if (std::filesystem::weakly_canonical(options.out, error) == std::filesystem::weakly_canonical(options.map, error)) {
    throw InputError(fmt::format("{}: is the map that is to be extended, which stays as it is; choose another --out",
                                 printable(options.out.string(), 300)));
  }
  check_map_destination(options.out, options.replace);
}

/// Reads a drive that is not among `drives` yet.
Drive read_another(const std::filesystem::path& folder, const std::vector<Drive>& drives) {
  Drive drive = usable_drive(read_drive(folder, {}));
  const auto same = std::find_if(drives.begin(), drives.end(),
                                 [&drive](const Drive& other) { return other.checksum == drive.checksum; });
  if (same != drives.end()) {
    throw InputError(fmt::format("{}: is in the map already, as drive {} ({}); give another drive",
                                 printable(folder.string(), 300), same - drives.begin() + 1,
                                 printable(same->name, 100)));
  }
  for (std::string& warning : drive.warnings) warning.insert(0, drive.name + ": ");
  return drive;
}

void run_extend(const ExtendOptions& options) {
  check_outputs(options);
  Timings timings;
  ProgressBar bar(!options.quiet);
  timings.begin("reading");
  bar.show("reading", 0.0);
  SavedMap saved = read_map(options.map);
  const std::size_t old_drives = saved.drives.size();
  std::vector<Drive> drives = std::move(saved.drives);
  MapOrigin origin{WAINSCOT_VERSION, saved.origin.simulated, true};
  for (const std::filesystem::path& folder : options.drives) {
    drives.push_back(read_another(folder, drives));
    origin.simulated = origin.simulated || is_marked_simulated(folder);
  }

  MapperOptions mapper_options;
  mapper_options.threads = options.threads;
  mapper_options.progress = mapper_share(shown_progress(bar, timings));
  saved.map.markers.frame_by_survey = saved.origin.frame == FrameSetBy::survey;
  Map map = extend_map(saved.map, drives, old_drives, mapper_options);
  if (!saved.map.tapes.empty()) {
    map.warnings.push_back(fmt::format(
        "the {} that held the old map's scale {} no part in this one; check its lengths with wainscot measure "
        "--tapes",
        count_text(saved.map.tapes.size(), "tape"), saved.map.tapes.size() == 1 ? "takes" : "take"));
  }
  origin.frame = map.markers.frame_by_survey                ? FrameSetBy::survey
                 : saved.origin.frame == FrameSetBy::survey ? FrameSetBy::first_scan
                                                            : saved.origin.frame;

  timings.begin("writing");
  bar.show("writing", kReadingShare + kMappingShare);
  write_map(map, drives, origin, options.out, options.replace);
  bar.wipe();
  if (!options.quiet) std::fputs((account(map, drives, origin, {}, options.out) + took_text(timings)).c_str(), stderr);
  require_usable(map, drives, options.out);
}

}  // namespace

void add_extend(CLI::App& app) {
  auto options = std::make_shared<ExtendOptions>();
  CLI::App* extend = app.add_subcommand("extend", "Let further drives of the same house join a map.");
  extend->add_option("MAP", options->map, "the folder of a map; it stays as it is")->required();
  extend->add_option("DRIVE", options->drives, "folders of recorded drives, of any day and from any start")->required();
  extend->add_option("--out", options->out, "the new map's folder, to be made; written whole or not at all")
      ->type_name("NEW")
      ->required();
  extend
      ->add_option("--threads", options->threads,
                   "how many processors to use; all where not given. The map is the same")
      ->type_name("N")
      ->check(whole_number_from(1, 1024));
  extend->add_flag("--replace", options->replace, "replace the map that stands at --out");
  extend->add_flag("--quiet", options->quiet, "no progress bar and no account, only errors");
  extend->footer(
      "The frame and the cells stay those of MAP. What changed in the house is listed; the grid shows it as it was "
      "seen last. A drive joins by some ten metres of way through rooms that the map has; one of another house is "
      "refused (status 1). One robot must have made all drives: lidar and wheels in robot.yaml may differ by their "
      "uncertainties only; the delay of the lidar's clock, its motor and the gyro's bias may be others each day.\n"
      "Before driving again: check the wheels' direction and the stop switch with the wheels lifted, then drive "
      "slowly, a hand at the switch, people and pets away.\n\n"
      "Example:\n  wainscot extend flat tuesday friday --out flat-2");
  extend->callback([options] { run_extend(*options); });
}

}  // namespace wainscot
