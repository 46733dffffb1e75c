#pragma once

// Man pages in the words of --help: troff with the macros of man(7).

#include <string>

#include "apps/command_words.hpp"

namespace wainscot {

/// The release that a page is of.
struct Release {
  std::string version;
  std::string date;  ///< as 2026-11-30: that of the release, so that every build gives the same bytes
};

/// The page's name with its section: of "wainscot build", "wainscot-build.1".
std::string man_page_name(const CommandWords& command);

/// The page of the program, or of one of its commands.
std::string man_page(const CommandWords& command, const Release& release);

}  // namespace wainscot
