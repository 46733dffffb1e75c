// A libFuzzer target: the bytes are a robot.yaml.

#include <cstdint>
#include <cstdlib>
#include <iostream>

#include "core/errors.hpp"
#include "drive_invariants.hpp"
#include "io/robot/robot_yaml.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  try {
    wainscot::parse_robot_yaml(text, "robot.yaml", wainscot::WheelConstants::needed);
  } catch (const wainscot::InputError& error) {
    const std::string broken = wainscot::broken_message(error.what());
    if (!broken.empty()) {
      std::cerr << broken << '\n';
      std::abort();
    }
  }
  return 0;
}
