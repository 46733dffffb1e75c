#include "apps/mapping_run.hpp"

#include <fmt/format.h>

#include "core/errors.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "io/spelling.hpp"

namespace wainscot {

std::function<void(const std::string& stage, double fraction)> mapping_progress(ProgressBar& bar, Timings& timings) {
  return [&bar, &timings, last = std::string()](const std::string& stage, double fraction) mutable {
    if (fraction >= 1.0) return;
    if (stage != last) timings.begin(stage);
    last = stage;
    bar.show(stage, kReadingShare + kMappingShare * fraction);
  };
}

std::string took_text(const Timings& timings) {
  return fmt::format("It took {:.1f} s ({:.1f} s of processor time), {:.0f} MB of memory at most.\n", timings.wall_s(),
                     timings.cpu_s(), Timings::peak_memory_mb());
}

void require_usable(const Map& map, Drives drives, const std::filesystem::path& out) {
  const MapVerdict verdict = map_verdict(map, drives);
  if (verdict.grade != Grade::unusable) return;
  throw PoorData(fmt::format("the map in {} is there to be looked at, not to be used: {}", printable(out.string(), 200),
                             verdict.reason));
}

}  // namespace wainscot
