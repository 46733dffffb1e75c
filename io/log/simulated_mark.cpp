#include "io/log/simulated_mark.hpp"

#include <algorithm>
#include <cctype>
#include <sstream>
#include <string>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include "core/errors.hpp"
#include "io/files/folder_kind.hpp"
#include "io/files/plain_file.hpp"
#include "io/spelling.hpp"

namespace wainscot {

bool is_marked_simulated(const std::filesystem::path& drive_folder) {
  for (const char* name : {"robot.yaml", "truth.csv"}) {
    constexpr std::size_t kComments = 100'000;  // bytes; robot.yaml itself may have so many
    std::istringstream file(file_start(drive_folder / name, kComments));
    std::string line;
    while (std::getline(file, line) && !line.empty() && line.front() == '#') {
      std::transform(line.begin(), line.end(), line.begin(),
                     [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
      if (line.find("simulated") != std::string::npos) return true;
    }
  }
  return false;
}

bool is_map_of_simulated_drive(const std::filesystem::path& map_folder) {
  const std::filesystem::path sidecar = map_folder / "grid.yaml";
  try {
    const YAML::Node yaml = YAML::Load(sidecar_text(map_folder));
    const YAML::Node drives = yaml["drives"];
    return std::any_of(drives.begin(), drives.end(),
                       [](const YAML::Node& drive) { return drive["simulated"].as<bool>(false); });
  } catch (const YAML::Exception& error) {
    throw InputError(fmt::format("{}: cannot be read ({}); give the folder of a map that wainscot build wrote",
                                 printable(sidecar.string(), 300), printable(error.msg, 120)));
  }
}

}  // namespace wainscot
