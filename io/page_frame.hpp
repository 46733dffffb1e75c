#pragma once

#include <string>
#include <string_view>

namespace wainscot {

/// `text` made safe for an HTML element or a quoted attribute; control characters become U+FFFD.
std::string html_text(std::string_view text);

/// JSON made safe for a script element of HTML or XML: '<', '>' and '&', which JSON has inside of strings only, are
/// written as JSON's own escapes (RFC 8259, section 7).
std::string json_without_markup(std::string_view json);

struct PageParts {
  std::string title;         ///< any text
  std::string body;          ///< HTML, well-formed as XML too
  std::string_view style;    ///< what the page has beyond the look that the pages share
  std::string_view script;   ///< its own, after what the scripts share; it finds the data in the element #data. Empty:
                             ///< the page has no script at all, and no data
  std::string data;          ///< JSON
  bool webassembly = false;  ///< the script may run WebAssembly
};

/// A self-contained page that loads nothing from anywhere and runs its own script only (its Content-Security-Policy
/// forbids the rest), light and dark, well-formed as XML too so that any XML tool can check or read it.
std::string framed_page(const PageParts& parts);

}  // namespace wainscot
