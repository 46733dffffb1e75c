#include "apps/command_line.hpp"

#include <string>

#include "apps/batch.hpp"
#include "apps/build.hpp"
#include "apps/calibrate.hpp"
#include "apps/check.hpp"
#include "apps/command_words.hpp"
#include "apps/compare.hpp"
#include "apps/convert.hpp"
#include "apps/draw.hpp"
#include "apps/explain.hpp"
#include "apps/export.hpp"
#include "apps/extend.hpp"
#include "apps/follow.hpp"
#include "apps/help_text.hpp"
#include "apps/locate.hpp"
#include "apps/measure.hpp"
#include "apps/overview.hpp"
#include "apps/simulate.hpp"

namespace wainscot {
namespace {

constexpr const char* what_it_is =
    "Makes a map whose distances match the house from a recorded drive of an indoor robot: wheel counts and laser "
    "scans in, an occupancy grid, the path that was really driven and an account of how both were found out. Results "
    "go to standard output, everything else to standard error; the status is 0 when all is well, 1 where the data "
    "cannot give what was asked, 2 where the input is wrong.";

}  // namespace

std::unique_ptr<CLI::App> command_line() {
  auto app = std::make_unique<CLI::App>(what_it_is, "wainscot");
  app->set_version_flag("--version", "wainscot " WAINSCOT_VERSION, "print the version and stop");
  app->set_help_flag("-h,--help", "print this help and stop");
  // Our own words in place of the library's, which the commands inherit.
  app->formatter_fn([](const CLI::App* command, const std::string&, CLI::AppFormatMode) {
    return help_text(command_words(*command), help_width());
  });
  app->require_subcommand(1);
  add_build(*app);
  add_calibrate(*app);
  add_check(*app);
  add_compare(*app);
  add_convert(*app);
  add_draw(*app);
  add_explain(*app);
  add_export(*app);
  add_measure(*app);
  add_locate(*app);
  add_extend(*app);
  add_follow(*app);
  add_batch(*app);
  add_overview(*app);
  add_simulate(*app);
  // After the commands, which would take it for their own.
  app->footer("Example:\n  wainscot build data/demo/drive --out flat");
  return app;
}

}  // namespace wainscot
