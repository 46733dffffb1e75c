#pragma once

// Text made safe for HTML, SVG and XML.

#include <string>
#include <string_view>

namespace wainscot {

/// `text` made safe for an HTML element or a quoted attribute; control characters become U+FFFD.
std::string html_text(std::string_view text);

/// JSON made safe for a script element of HTML or XML: '<', '>' and '&', which JSON has inside of strings only, are
/// written as JSON's own escapes (RFC 8259, section 7).
std::string json_without_markup(std::string_view json);

}  // namespace wainscot
