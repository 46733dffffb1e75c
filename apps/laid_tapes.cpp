#include "apps/laid_tapes.hpp"

#include <fmt/format.h>

#include "apps/option_values.hpp"
#include "core/errors.hpp"
#include "io/log/tape_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {

void add_tape_sd(CLI::App& command, double& tape_sd_m) {
  command.add_option("--tape-sd", tape_sd_m, "standard uncertainty of reading and holding the tape, in metres")
      ->type_name("METRES")
      ->check(number_from(1e-4, 1.0, "metres"))
      ->capture_default_str();
}

std::vector<LaidTape> laid_tapes(const std::filesystem::path& file, double tape_sd_m,
                                 std::vector<std::string>& warnings) {
  std::vector<LaidTape> laid;
  for (const NamedTape& tape : read_tapes(file, warnings).tapes) {
    if (tape.tape_m) laid.push_back({tape.name, tape.tape, *tape.tape_m, tape_sd_m});
  }
  if (laid.empty()) {
    throw InputError(fmt::format(
        "{}: no row says in a column tape_m what a tape measured; write its metres there, or build without --tapes",
        printable(file.string(), 300)));
  }
  return laid;
}

}  // namespace wainscot
