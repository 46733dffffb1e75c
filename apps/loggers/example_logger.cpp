#include "apps/loggers/example_logger.hpp"

#include <fmt/format.h>

#include "apps/loggers/files.hpp"
#include "core/errors.hpp"
#include "io/spelling.hpp"

namespace wainscot {

std::string_view example_logger(std::string_view name) {
  if (name == "python") return logger_py();
  if (name == "c") return logger_c();
  if (name == "arduino") return logger_ino();
  throw InputError(fmt::format("there is no example of a logger in '{}'; write python, c or arduino", printable(name)));
}

}  // namespace wainscot
