#pragma once

#include <string>
#include <string_view>

namespace wainscot {

struct PageParts {
  std::string title;         ///< any text
  std::string body;          ///< HTML, well-formed as XML too
  std::string_view style;    ///< what the page has beyond the look that the pages share
  std::string_view script;   ///< its own, after what the scripts share; it finds the data in the element #data. Empty:
                             ///< the page has no script at all, and no data
  std::string data;          ///< JSON
  bool webassembly = false;  ///< the script may run WebAssembly
  bool asks_server = false;  ///< the script may ask the server that the page is from, and no other
};

/// A picture that is there twice, so that its letters can be read on a telephone too (comparison.css shows one).
/// `wide`, `narrow`: SVG; `words`: any text.
std::string picture_figure(std::string_view name, std::string_view wide, std::string_view narrow,
                           const std::string& words);

/// Stands on every page whose figures are of a simulated drive.
inline constexpr std::string_view kSimulatedNote =
    "<p class=\"soft\">All figures on this page come from a simulated drive, not from a real robot.</p>\n";

/// The map's caution, the end of the main part, and the program's version.
std::string caution_and_footer(const std::string& program_version);

/// A self-contained page that loads nothing from anywhere and runs its own script only (its Content-Security-Policy
/// forbids the rest), light and dark, well-formed as XML too so that any XML tool can check or read it.
std::string framed_page(const PageParts& parts);

}  // namespace wainscot
