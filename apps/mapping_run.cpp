#include "apps/mapping_run.hpp"

#include <fmt/format.h>

namespace wainscot {

JobProgress shown_progress(ProgressBar& bar, Timings& timings) {
  return [&bar, &timings, last = std::string()](const std::string& stage, double fraction) mutable {
    if (stage != last) timings.begin(stage);
    last = stage;
    bar.show(stage, fraction);
  };
}

std::string took_text(const Timings& timings) {
  return fmt::format("It took {:.1f} s ({:.1f} s of processor time), {:.0f} MB of memory at most.\n", timings.wall_s(),
                     timings.cpu_s(), Timings::peak_memory_mb());
}

}  // namespace wainscot
