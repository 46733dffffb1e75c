#include "io/robot/robot_yaml.hpp"

#include <fmt/format.h>
#include <yaml-cpp/eventhandler.h>
#include <yaml-cpp/yaml.h>

#include <algorithm>
#include <map>
#include <optional>
#include <sstream>
#include <vector>

#include "core/errors.hpp"
#include "core/nearest_name.hpp"
#include "io/files/file_reader.hpp"
#include "io/number_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kLargestFile = 100'000;  // bytes; a robot.yaml with long comments has some thousands
constexpr std::int64_t kVersion = 1;

// What values a number may have, for `Section::number`.
struct Bounds {
  double least;
  double most;
};
constexpr double kTiny = 1e-12;  // "more than zero"
constexpr Bounds kAnyLength_m = {-10.0, 10.0};
constexpr Bounds kPositiveLength_m = {kTiny, 10.0};
constexpr Bounds kFactor = {0.5, 2.0};

struct SectionKeys {
  std::string section;  // empty: the top level
  std::vector<std::string> keys;
};

const std::vector<SectionKeys>& all_keys() {
  static const std::vector<SectionKeys> keys = {
      {"", {"wainscot_robot", "drive", "motion_noise", "gyro", "lidar"}},
      {"drive",
       {"left_m_per_tick", "right_m_per_tick", "track_width_m", "left_sd_m_per_tick", "right_sd_m_per_tick",
        "track_width_sd_m", "track_width_by_surface_m", "counter_bits"}},
      {"motion_noise", {"sd_m_per_sqrt_m", "sd_rad_per_sqrt_rad"}},
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

[[noreturn]] void fail(const std::string& file, const YAML::Mark& mark, const std::string& what) {
  throw InputError(fmt::format("{}:{}: {}", file, std::max(mark.line, 0) + 1, what));
}

// One mapping of the file, its keys checked: each known, and there once.
class Section {
 public:
  Section(std::string file, std::string name, const YAML::Node& node)
      : file_(std::move(file)), name_(std::move(name)), node_(node) {
    if (node.IsNull()) return;  // every key below it is commented out
    if (!node.IsMap()) {
      wainscot::fail(file_, node.Mark(),
                     name_.empty()
                         ? "the file is not a list of 'key: value' lines; begin it with wainscot_robot: 1"
                         : fmt::format("{} is no section; write 'key: value' lines below it, indented", name_));
    }
    for (const auto& entry : node) {
      if (!entry.first.IsScalar()) wainscot::fail(file_, entry.first.Mark(), "a key is not a word; write 'key: value'");
      const std::string& key = entry.first.Scalar();
      if (!marks_.emplace(key, entry.first.Mark()).second) {
        wainscot::fail(file_, entry.first.Mark(),
                       fmt::format("{} is there twice; remove one", printable(full_name(name_, key))));
      }
      check_known(key, entry.first.Mark());
    }
  }

  YAML::Node find(const std::string& key) const { return node_[key]; }

  [[noreturn]] void fail(const std::string& key, const std::string& what, const YAML::Mark& mark) const {
    wainscot::fail(file_, mark, full_name(name_, key) + " " + what);
  }

  // With the line of the key or, where it is missing, of the section.
  [[noreturn]] void fail(const std::string& key, const std::string& what) const {
    const auto found = marks_.find(key);
    fail(key, what, found != marks_.end() ? found->second : node_.Mark());
  }

  // The text of a plain value; nullopt where the key is not there.
  std::optional<std::string> text(const std::string& key) const {
    const YAML::Node value = node_[key];
    if (!value.IsDefined()) return std::nullopt;
    if (value.IsNull()) fail(key, "has no value; write one, or remove the key where it may be left out");
    if (!value.IsScalar()) fail(key, "is a list or a section; write a single value");
    return value.Scalar();
  }

  std::optional<double> number(const std::string& key, const Bounds& bounds) const {
    const std::optional<std::string> written = text(key);
    if (!written) return std::nullopt;
    return checked_number(key, *written, bounds, marks_.at(key));
  }

  double checked_number(const std::string& key, const std::string& written, const Bounds& bounds,
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

  void set_number(const std::string& key, const Bounds& bounds, double& value) const {
    value = number(key, bounds).value_or(value);
  }

  // One of a few whole numbers.
  void set_choice(const std::string& key, const std::vector<int>& choices, int& value) const {
    const std::optional<std::string> written = text(key);
    if (!written) return;
    std::int64_t read = 0;
    if (read_whole_number(*written, read) != NumberFault::none ||
        std::find(choices.begin(), choices.end(), read) == choices.end()) {
      fail(key, fmt::format("is '{}'; write {}", printable(*written), fmt::join(choices, " or ")));
    }
    value = static_cast<int>(read);
  }

  void set_flag(const std::string& key, bool& value) const {
    const std::optional<std::string> written = text(key);
    if (!written) return;
    if (*written != "true" && *written != "false") {
      fail(key, fmt::format("is '{}'; write true or false", printable(*written)));
    }
    value = *written == "true";
  }

 private:
  void check_known(const std::string& key, const YAML::Mark& mark) const {
    const std::vector<std::string>& known = keys_of(name_);
    if (std::find(known.begin(), known.end(), key) != known.end()) return;
    wainscot::fail(file_, mark,
                   fmt::format("the key {} is not known; the nearest known one is {}: correct or remove it",
                               printable(full_name(name_, key)), nearest_key(name_, key)));
  }

  std::string file_;
  std::string name_;
  YAML::Node node_;
  std::map<std::string, YAML::Mark> marks_;  // of the keys
};

// Sees the file's parts before anything is built from them, and refuses what could be expanded without end.
class RefuseAliases : public YAML::EventHandler {
 public:
  explicit RefuseAliases(std::string file) : file_(std::move(file)) {}

  void OnDocumentStart(const YAML::Mark& mark) override {
    if (++documents_ > 1) fail(file_, mark, "a second document begins; remove it and the line ---");
  }
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override {
    fail(file_, mark, "an alias (*name) stands here; write the value itself");
  }
  void OnDocumentEnd() override {}
  void OnNull(const YAML::Mark&, YAML::anchor_t) override {}
  void OnScalar(const YAML::Mark&, const std::string&, YAML::anchor_t, const std::string&) override {}
  void OnSequenceStart(const YAML::Mark&, const std::string&, YAML::anchor_t, YAML::EmitterStyle::value) override {}
  void OnSequenceEnd() override {}
  void OnMapStart(const YAML::Mark&, const std::string&, YAML::anchor_t, YAML::EmitterStyle::value) override {}
  void OnMapEnd() override {}

 private:
  std::string file_;
  int documents_ = 0;
};

// A tab is not YAML where it indents, and the parser takes a NUL for the end of the file.
void refuse_control_characters(const std::string& text, const std::string& file) {
  std::size_t line_number = 0;
  for (std::size_t start = 0; start < text.size();) {
    ++line_number;
    const std::size_t stop = std::min(text.find('\n', start), text.size());
    std::string_view line = std::string_view(text).substr(start, stop - start);
    if (!line.empty() && line.back() == '\r') line.remove_suffix(1);  // a line end of CR LF
    if (line.substr(0, line.find('#')).find('\t') != std::string_view::npos) {
      throw InputError(fmt::format("{}:{}: a tab stands here; indent with spaces", file, line_number));
    }
    const bool odd = std::any_of(line.begin(), line.end(), [](char c) { return c >= '\0' && c < ' ' && c != '\t'; });
    if (odd) {
      throw InputError(
          fmt::format("{}:{}: a control character stands here ('{}'); remove it", file, line_number, printable(line)));
    }
    start = stop + 1;
  }
}

YAML::Node load(const std::string& text, const std::string& file) {
  try {
    std::istringstream stream(text);
    YAML::Parser parser(stream);
    RefuseAliases check(file);
    while (parser.HandleNextDocument(check)) {
    }
    return YAML::Load(text);
  } catch (const YAML::Exception& error) {
    fail(file, error.mark,
         fmt::format("is not YAML ({}); write 'key: value' lines, those of one section indented alike",
                     printable(error.msg, 120)));
  }
}

void check_version(const Section& top) {
  const std::optional<std::string> written = top.text("wainscot_robot");
  if (!written) top.fail("wainscot_robot", "is missing; begin the file with the line wainscot_robot: 1");
  std::int64_t version = 0;
  if (read_whole_number(*written, version) != NumberFault::none || version < 1) {
    top.fail("wainscot_robot", fmt::format("is '{}', which is no version; write 1", printable(*written)));
  }
  if (version > kVersion) {
    top.fail("wainscot_robot",
             fmt::format("is {}, a newer form than this program reads ({}); update the program", version, kVersion));
  }
}

double metres_per_tick(const Section& section, const std::string& key) {
  const double value = section.number(key, {-1.0, 1.0}).value_or(0.0);
  if (section.find(key).IsDefined() && value == 0.0) section.fail(key, "is 0; write how far the wheel rolls a tick");
  return value;
}

std::map<std::string, double> widths_by_surface(const Section& section) {
  const std::string key = "track_width_by_surface_m";
  const std::string form = "does not list surfaces and widths; write them such as {wood: 0.31, carpet: 0.33}";
  const YAML::Node node = section.find(key);
  std::map<std::string, double> widths;
  if (!node.IsDefined()) return widths;
  if (!node.IsMap()) section.fail(key, form);
  for (const auto& entry : node) {
    if (!entry.first.IsScalar() || !entry.second.IsScalar()) {
      section.fail(key, form, entry.first.Mark());
    }
    const std::string& surface = entry.first.Scalar();
    if (surface.empty() || !is_plain_text(surface))
      section.fail(key, "has a surface without a proper name; write a word", entry.first.Mark());
    const double width = section.checked_number(key, entry.second.Scalar(), kPositiveLength_m, entry.first.Mark());
    if (!widths.emplace(surface, width).second) {
      section.fail(key, fmt::format("has {} twice; remove one", printable(surface)), entry.first.Mark());
    }
  }
  return widths;
}

std::optional<DriveConstants> drive_constants(const std::string& file, const YAML::Node& node,
                                              WheelConstants wheel_constants) {
  if (!node.IsDefined()) return std::nullopt;
  const Section section(file, "drive", node);
  DriveConstants drive;
  drive.left_m_per_tick = metres_per_tick(section, "left_m_per_tick");
  drive.right_m_per_tick = metres_per_tick(section, "right_m_per_tick");
  section.set_number("track_width_m", kPositiveLength_m, drive.track_width_m);
  drive.left_sd_m_per_tick = section.number("left_sd_m_per_tick", {kTiny, 1.0});
  drive.right_sd_m_per_tick = section.number("right_sd_m_per_tick", {kTiny, 1.0});
  drive.track_width_sd_m = section.number("track_width_sd_m", kPositiveLength_m);
  drive.track_width_by_surface_m = widths_by_surface(section);
  section.set_choice("counter_bits", {16, 32}, drive.counter_bits);
  for (const char* key : {"left_m_per_tick", "right_m_per_tick", "track_width_m"}) {
    if (section.find(key).IsDefined()) continue;
    if (wheel_constants == WheelConstants::optional) return std::nullopt;
    section.fail(key, "is missing, but wheels.csv needs it; add it");
  }
  return drive;
}

MotionNoise motion_noise(const std::string& file, const YAML::Node& node) {
  MotionNoise noise;
  if (!node.IsDefined()) return noise;
  const Section section(file, "motion_noise", node);
  section.set_number("sd_m_per_sqrt_m", {kTiny, 10.0}, noise.sd_m_per_sqrt_m);
  section.set_number("sd_rad_per_sqrt_rad", {kTiny, 10.0}, noise.sd_rad_per_sqrt_rad);
  return noise;
}

GyroConstants gyro_constants(const std::string& file, const YAML::Node& node) {
  GyroConstants gyro;
  if (!node.IsDefined()) return gyro;
  const Section section(file, "gyro", node);
  section.set_choice("sign", {1, -1}, gyro.sign);
  section.set_number("scale", kFactor, gyro.scale);
  section.set_number("bias_rad_s", {-10.0, 10.0}, gyro.bias_rad_s);
  section.set_number("sd_rad_s", {kTiny, 10.0}, gyro.sd_rad_s);
  return gyro;
}

std::vector<Sector> blind_sectors(const Section& section) {
  const std::string key = "blind_deg";
  const std::string form = "is no list of sectors; write from and to in degrees, such as [[170, -170]]";
  const YAML::Node node = section.find(key);
  std::vector<Sector> sectors;
  if (!node.IsDefined()) return sectors;
  if (!node.IsSequence()) section.fail(key, form);
  for (const auto& pair : node) {
    if (!pair.IsSequence() || pair.size() != 2 || !pair[0].IsScalar() || !pair[1].IsScalar()) section.fail(key, form);
    Sector sector;
    sector.from_deg = section.checked_number(key, pair[0].Scalar(), {-360.0, 360.0}, pair.Mark());
    sector.to_deg = section.checked_number(key, pair[1].Scalar(), {-360.0, 360.0}, pair.Mark());
    if (std::abs(sector.to_deg - sector.from_deg) >= 360.0)
      section.fail(key, "leaves no direction that is seen; correct the sector");
    sectors.push_back(sector);
  }
  return sectors;
}

LidarConstants lidar_constants(const std::string& file, const YAML::Node& node) {
  LidarConstants lidar;
  if (!node.IsDefined()) return lidar;
  const Section section(file, "lidar", node);
  section.set_number("x_m", kAnyLength_m, lidar.x_m);
  section.set_number("y_m", kAnyLength_m, lidar.y_m);
  section.set_number("heading_deg", {-360.0, 360.0}, lidar.heading_deg);
  section.set_flag("mirrored", lidar.mirrored);
  lidar.sweep_s = section.number("sweep_s", {0.0, 10.0});
  section.set_number("min_range_m", {0.0, 1000.0}, lidar.min_range_m);
  section.set_number("max_range_m", {kTiny, 1000.0}, lidar.max_range_m);
  section.set_number("noise_m", {kTiny, 10.0}, lidar.noise_m);
  section.set_number("noise_per_m", {0.0, 1.0}, lidar.noise_per_m);
  section.set_number("range_unit_m", {1e-6, 10.0}, lidar.range_unit_m);
  section.set_number("range_scale", kFactor, lidar.range_scale);
  section.set_number("range_offset_m", kAnyLength_m, lidar.range_offset_m);
  section.set_number("time_offset_s", {-1e11, 1e11}, lidar.time_offset_s);
  section.set_number("clock_rate", kFactor, lidar.clock_rate);
  lidar.blind_deg = blind_sectors(section);
  if (lidar.max_range_m <= lidar.min_range_m) {
    section.fail("max_range_m", fmt::format("is {}, not beyond min_range_m, {}; correct one of them", lidar.max_range_m,
                                            lidar.min_range_m));
  }
  return lidar;
}

}  // namespace

Robot parse_robot_yaml(std::string_view text, const std::string& name, WheelConstants wheel_constants) {
  const std::string copy(text);
  refuse_control_characters(copy, name);
  const YAML::Node node = load(copy, name);
  if (node.IsNull()) {
    throw InputError(fmt::format("{}: has no content; begin it with the line wainscot_robot: 1", name));
  }
  const Section top(name, "", node);
  check_version(top);
  Robot robot;
  robot.drive = drive_constants(name, top.find("drive"), wheel_constants);
  robot.motion_noise = motion_noise(name, top.find("motion_noise"));
  robot.gyro = gyro_constants(name, top.find("gyro"));
  robot.lidar = lidar_constants(name, top.find("lidar"));
  if (!robot.drive && wheel_constants == WheelConstants::needed) {
    top.fail("drive", "is missing, but wheels.csv needs it; add left_m_per_tick, right_m_per_tick and track_width_m");
  }
  return robot;
}

Robot read_robot_yaml(const std::filesystem::path& path, WheelConstants wheel_constants, std::string* checksum) {
  const std::string text = read_small_file(path, kLargestFile, checksum);
  return parse_robot_yaml(text, printable(path.string(), 300), wheel_constants);
}

}  // namespace wainscot
