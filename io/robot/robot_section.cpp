#include "io/robot/robot_section.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <utility>

#include "core/nearest_name.hpp"
#include "io/number_reader.hpp"
#include "io/robot/plain_yaml.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

struct SectionKeys {
  std::string section;  // empty: the top level
  std::vector<std::string> keys;
};

const std::vector<SectionKeys>& all_keys() {
  static const std::vector<SectionKeys> keys = {
      {"", {"wainscot_robot", "drive", "motion_noise", "odometry", "gyro", "lidar"}},
      {"drive",
       {"left_m_per_tick", "right_m_per_tick", "track_width_m", "left_sd_m_per_tick", "right_sd_m_per_tick",
        "track_width_sd_m", "track_width_by_surface_m", "counter_bits"}},
      {"motion_noise", {"sd_m_per_sqrt_m", "sd_rad_per_sqrt_rad"}},
      {"odometry", {"position_unit_m", "heading_unit_rad"}},
      {"gyro", {"sign", "scale", "bias_rad_s", "sd_rad_s"}},
      {"lidar",
       {"x_m", "y_m", "heading_deg", "mirrored", "sweep_s", "min_range_m", "max_range_m", "noise_m", "noise_per_m",
        "range_unit_m", "range_scale", "range_offset_m", "clock_rate", "blind_deg", "time_offset_s"}},
  };
  return keys;
}

const std::vector<std::string>& keys_of(const std::string& section) {
  return std::find_if(all_keys().begin(), all_keys().end(), [&](const auto& s) { return s.section == section; })->keys;
}

// "drive.left_m_per_tick", as messages name a key.
std::string full_name(const std::string& section, const std::string& key) {
  return section.empty() ? key : section + "." + key;
}

// The known key that an unknown one was probably meant to be: the nearest of its own section, or one of the same name
// that belongs elsewhere.
std::string nearest_key(const std::string& section, const std::string& key) {
  for (const SectionKeys& other : all_keys()) {
    if (std::find(other.keys.begin(), other.keys.end(), key) != other.keys.end()) return full_name(other.section, key);
  }
  const std::vector<std::string>& keys = keys_of(section);
  return full_name(section, keys[nearest_name(key, keys)]);
}

}  // namespace

RobotSection::RobotSection(std::string file, std::string name, const YAML::Node& node)
    : file_(std::move(file)), name_(std::move(name)), node_(node) {
  if (node.IsNull()) return;  // every key below it is commented out
  if (!node.IsMap()) {
    fail_at(file_, node.Mark(),
            name_.empty() ? "the file is not a list of 'key: value' lines; begin it with wainscot_robot: 1"
                          : fmt::format("{} is no section; write 'key: value' lines below it, indented", name_));
  }
  for (const auto& entry : node) {
    if (!entry.first.IsScalar()) fail_at(file_, entry.first.Mark(), "a key is not a word; write 'key: value'");
    const std::string& key = entry.first.Scalar();
    if (!marks_.emplace(key, entry.first.Mark()).second) {
      fail_at(file_, entry.first.Mark(),
              fmt::format("{} is there twice; remove one", printable(full_name(name_, key))));
    }
    check_known(key, entry.first.Mark());
  }
}

void RobotSection::fail(const std::string& key, const std::string& what, const YAML::Mark& mark) const {
  fail_at(file_, mark, full_name(name_, key) + " " + what);
}

void RobotSection::fail(const std::string& key, const std::string& what) const {
  const auto found = marks_.find(key);
  fail(key, what, found != marks_.end() ? found->second : node_.Mark());
}

std::optional<std::string> RobotSection::text(const std::string& key) const {
  const YAML::Node value = node_[key];
  if (!value.IsDefined()) return std::nullopt;
  if (value.IsNull()) fail(key, "has no value; write one, or remove the key where it may be left out");
  if (!value.IsScalar()) fail(key, "is a list or a section; write a single value");
  return value.Scalar();
}

std::optional<double> RobotSection::number(const std::string& key, const Bounds& bounds) const {
  const std::optional<std::string> written = text(key);
  if (!written) return std::nullopt;
  return checked_number(key, *written, bounds, marks_.at(key));
}

double RobotSection::checked_number(const std::string& key, const std::string& written, const Bounds& bounds,
                                    const YAML::Mark& mark) const {
  double value = 0.0;
  const NumberFault fault = read_number(written, value);
  if (fault != NumberFault::none) fail(key, explain(fault, written), mark);
  if (value < bounds.least || value > bounds.most) {
    const std::string least = bounds.least == kTiny ? "more than 0" : fmt::format("at least {}", bounds.least);
    fail(key, fmt::format("is {}, which is not possible; write {} and at most {}", value, least, bounds.most), mark);
  }
  return value;
}

void RobotSection::set_choice(const std::string& key, const std::vector<int>& choices, int& value) const {
  const std::optional<std::string> written = text(key);
  if (!written) return;
  std::int64_t read = 0;
  if (read_whole_number(*written, read) != NumberFault::none ||
      std::find(choices.begin(), choices.end(), read) == choices.end()) {
    fail(key, fmt::format("is '{}'; write {}", printable(*written), fmt::join(choices, " or ")));
  }
  value = static_cast<int>(read);
}

void RobotSection::set_flag(const std::string& key, bool& value) const {
  const std::optional<std::string> written = text(key);
  if (!written) return;
  if (*written != "true" && *written != "false") {
    fail(key, fmt::format("is '{}'; write true or false", printable(*written)));
  }
  value = *written == "true";
}

void RobotSection::check_known(const std::string& key, const YAML::Mark& mark) const {
  const std::vector<std::string>& known = keys_of(name_);
  if (std::find(known.begin(), known.end(), key) != known.end()) return;
  fail_at(file_, mark,
          fmt::format("the key {} is not known; the nearest known one is {}: correct or remove it",
                      printable(full_name(name_, key)), nearest_key(name_, key)));
}

}  // namespace wainscot
