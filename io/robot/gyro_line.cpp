#include "io/robot/gyro_line.hpp"

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {

std::string gyro_line(const Map& map, const Robot& robot) {
  std::string scale = fmt::format("{}", robot.gyro.scale);
  std::string bias = fmt::format("{}", robot.gyro.bias_rad_s);
  bool any = false;
  for (const RefinedConstant& c : map.constants) {
    if (!c.observed || (c.name != "gyro.scale" && c.name != "gyro.bias_rad_s")) continue;
    (c.name == "gyro.scale" ? scale : bias) = uncertain_text(c.found, c.found_sd).value;
    any = true;
  }
  if (!any) return "";
  return fmt::format("gyro: {{sign: {}, scale: {}, bias_rad_s: {}, sd_rad_s: {}}}", robot.gyro.sign, scale, bias,
                     robot.gyro.sd_rad_s);
}

}  // namespace wainscot
