#include "io/robot/yaml_section.hpp"

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

// "drive.left_m_per_tick", as messages name a key.
std::string full_name(const std::string& section, const std::string& key) {
  return section.empty() ? key : section + "." + key;
}

}  // namespace

YamlSection::YamlSection(std::string file, std::string name, const YAML::Node& node, std::vector<std::string> keys,
                         std::vector<std::string> keys_elsewhere)
    : file_(std::move(file)),
      name_(std::move(name)),
      node_(node),
      keys_(std::move(keys)),
      keys_elsewhere_(std::move(keys_elsewhere)) {
  if (node.IsNull()) return;  // every key below it is commented out
  if (!node.IsMap()) {
    fail_at(file_, node.Mark(),
            name_.empty()
                ? fmt::format("the file is not a list of 'key: value' lines; begin it with {}: 1", keys_.front())
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

void YamlSection::fail(const std::string& key, const std::string& what, const YAML::Mark& mark) const {
  fail_at(file_, mark, full_name(name_, key) + " " + what);
}

void YamlSection::fail(const std::string& key, const std::string& what) const {
  const auto found = marks_.find(key);
  fail(key, what, found != marks_.end() ? found->second : node_.Mark());
}

std::optional<std::string> YamlSection::text(const std::string& key) const {
  const YAML::Node value = node_[key];
  if (!value.IsDefined()) return std::nullopt;
  if (value.IsNull()) fail(key, "has no value; write one, or remove the key where it may be left out");
  if (!value.IsScalar()) fail(key, "is a list or a section; write a single value");
  return value.Scalar();
}

std::optional<double> YamlSection::number(const std::string& key, const Bounds& bounds) const {
  const std::optional<std::string> written = text(key);
  if (!written) return std::nullopt;
  return checked_number(key, *written, bounds, marks_.at(key));
}

double YamlSection::checked_number(const std::string& key, const std::string& written, const Bounds& bounds,
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

void YamlSection::set_choice(const std::string& key, const std::vector<int>& choices, int& value) const {
  const std::optional<std::string> written = text(key);
  if (!written) return;
  std::int64_t read = 0;
  if (read_whole_number(*written, read) != NumberFault::none ||
      std::find(choices.begin(), choices.end(), read) == choices.end()) {
    fail(key, fmt::format("is '{}'; write {}", printable(*written), fmt::join(choices, " or ")));
  }
  value = static_cast<int>(read);
}

void YamlSection::set_flag(const std::string& key, bool& value) const {
  const std::optional<std::string> written = text(key);
  if (!written) return;
  if (*written != "true" && *written != "false") {
    fail(key, fmt::format("is '{}'; write true or false", printable(*written)));
  }
  value = *written == "true";
}

void YamlSection::check_known(const std::string& key, const YAML::Mark& mark) const {
  if (std::find(keys_.begin(), keys_.end(), key) != keys_.end()) return;
  const auto elsewhere = std::find_if(keys_elsewhere_.begin(), keys_elsewhere_.end(), [&key](const std::string& full) {
    return full == key || full.ends_with("." + key);
  });
  const std::string nearest =
      elsewhere != keys_elsewhere_.end() ? *elsewhere : full_name(name_, keys_[nearest_name(key, keys_)]);
  fail_at(file_, mark,
          fmt::format("the key {} is not known; the nearest known one is {}: correct or remove it",
                      printable(full_name(name_, key)), nearest));
}

}  // namespace wainscot
