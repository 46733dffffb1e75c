#pragma once

// The programs of apps/loggers/, as the build put them into this one.

#include <string_view>

namespace wainscot {

std::string_view logger_py();
std::string_view logger_c();
std::string_view logger_ino();

}  // namespace wainscot
