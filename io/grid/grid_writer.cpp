#include "io/grid/grid_writer.hpp"

#include <cmath>
#include <cstddef>

#include <fmt/format.h>
#include <yaml-cpp/yaml.h>

#include "io/number_text.hpp"

namespace wainscot {

std::uint8_t grid_level(float probability, const GreyLevels& levels) {
  if (std::isnan(probability)) return levels.unseen;
  const double exact = levels.occupied + (levels.free - levels.occupied) * (1.0 - static_cast<double>(probability));
  const auto level = static_cast<std::uint8_t>(std::lround(exact));
  if (level != levels.unseen) return level;
  return static_cast<std::uint8_t>(level + (levels.occupied < levels.unseen ? -1 : 1));
}

std::string grid_pgm(const OccupancyGrid& grid) {
  const auto columns = static_cast<std::size_t>(grid.frame.columns);
  const auto rows = static_cast<std::size_t>(grid.frame.rows);
  std::string bytes = fmt::format("P5\n{} {}\n255\n", columns, rows);
  bytes.reserve(bytes.size() + columns * rows);
  for (std::size_t row = rows; row-- > 0;) {
    for (std::size_t column = 0; column < columns; ++column) {
      bytes.push_back(static_cast<char>(grid_level(grid.probability[row * columns + column])));
    }
  }
  return bytes;
}

std::string grid_yaml(const GridFrame& frame, const Pose2& first_pose, Drives drives, const MapOrigin& origin) {
  // Numbers go in as text of our own, since the emitter would print 0.05 as 0.050000000000000003.
  const auto flow_map = [](YAML::Emitter& out) -> YAML::Emitter& { return out << YAML::Flow << YAML::BeginMap; };
  const auto number = [](YAML::Emitter& out, const char* key, double value) {
    out << YAML::Key << key << YAML::Value << short_text(value, 9);
  };
  const Eigen::Vector2d corner = frame.lower_left_corner_m();
  YAML::Emitter out;
  out << YAML::BeginMap;
  out << YAML::Key << "wainscot_map" << YAML::Value << 1;
  out << YAML::Key << "raster" << YAML::Value << "grid.pgm";
  number(out, "cell_size_m", frame.cell_size_m);
  out << YAML::Key << "columns" << YAML::Value << frame.columns;
  out << YAML::Key << "rows" << YAML::Value << frame.rows;
  out << YAML::Key << "lower_left_corner" << YAML::Value;
  flow_map(out);
  number(out, "x_m", corner.x());
  number(out, "y_m", corner.y());
  out << YAML::EndMap << YAML::Key << "levels" << YAML::Value;
  flow_map(out) << YAML::Key << "occupied" << YAML::Value << 0 << YAML::Key << "free" << YAML::Value << 255 << YAML::Key
                << "unseen" << YAML::Value << 128 << YAML::EndMap;
  out << YAML::Key << "first_pose" << YAML::Value;
  flow_map(out);
  number(out, "x_m", first_pose.x_m);
  number(out, "y_m", first_pose.y_m);
  number(out, "heading_rad", wrap_angle(first_pose.heading_rad));
  out << YAML::EndMap;
  if (origin.frame != FrameSetBy::first_scan) {
    out << YAML::Key << "frame_set_by" << YAML::Value << frame_text(origin.frame);
  }
  out << YAML::Key << "drives" << YAML::Value << YAML::BeginSeq;
  for (const Drive& drive : drives) {
    flow_map(out) << YAML::Key << "name" << YAML::Value << YAML::DoubleQuoted << drive.name << YAML::Key << "checksum"
                  << YAML::Value << YAML::DoubleQuoted << drive.checksum << YAML::Key << "simulated" << YAML::Value
                  << origin.simulated << YAML::EndMap;
  }
  out << YAML::EndSeq;
  out << YAML::Key << "program_version" << YAML::Value << YAML::DoubleQuoted << origin.program_version;
  out << YAML::Key << "caution" << YAML::Value << YAML::DoubleQuoted << map_caution;
  out << YAML::EndMap;
  return std::string(out.c_str()) + "\n";
}

}  // namespace wainscot
