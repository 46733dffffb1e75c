#include "apps/mapping/drive_to_map.hpp"

#include <utility>

#include <fmt/format.h>

#include "apps/mapping/first_look.hpp"
#include "core/errors.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "graph/motion/found_robot.hpp"
#include "graph/motion/usable_drive.hpp"
#include "io/log/drive_reader.hpp"
#include "io/log/log_readings.hpp"
#include "io/number_text.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

/// Throws for what would spoil the map for sure, or warns of it where the user knows.
void heed(const FirstLook& look, const std::filesystem::path& folder, bool even_so, Drive& drive) {
  if (look.spoiling.empty()) return;
  if (!even_so) {
    const std::size_t others = look.spoiling.size() - 1;
    throw PoorData(fmt::format(
        "{}: every map of this drive would be wrong, since {}{}; wainscot check {} tells more, "
        "and --even-so maps it all the same",
        printable(folder.string(), 200), look.spoiling.front(),
        others > 0 ? fmt::format(" (and {} more)", count_text(others, "fault")) : "", shell_word(folder.string())));
  }
  for (const std::string& fault : look.spoiling) drive.warnings.push_back(kMappedEvenSo + fault);
}

}  // namespace

Drive drive_to_map(const std::filesystem::path& folder, const DriveToMapOptions& options) {
  const auto show = [&options](const char* stage, double fraction) {
    if (options.progress) options.progress(stage, fraction);
  };
  const auto readings = [&folder] { return read_log(folder); };
  Drive drive = read_drive(folder, [&show](double fraction) { show("reading", fraction); });
  show("looking", 1.0);
  try {
    if (drive.robot.left_out.wheels) drive = with_found_robot(Drive(drive));
  } catch (const PoorData&) {  // a wrong unit says more than that nothing could be found
    heed(first_look(drive, readings, options.threads), folder, options.even_so, drive);
    throw;
  }
  const FirstLook look = first_look(drive, readings, options.threads);
  heed(look, folder, options.even_so, drive);
  if (look.start) {
    drive = read_drive(folder, {}, [&look](Robot& robot) { robot = *look.start; });
    drive.warnings.insert(drive.warnings.end(), look.notes.begin(), look.notes.end());
  }
  return usable_drive(std::move(drive));
}

}  // namespace wainscot
