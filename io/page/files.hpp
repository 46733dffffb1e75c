#pragma once

// The files of io/page/, as the build put them into the program.

#include <string_view>

namespace wainscot {

std::string_view shared_css();
std::string_view shared_js();
std::string_view report_css();
std::string_view report_js();
std::string_view comparison_css();
std::string_view explain_html();
std::string_view explain_css();
std::string_view explain_js();
std::string_view explain_walls_js();
std::string_view live_html();
std::string_view live_css();
std::string_view live_js();
std::string_view overview_html();
std::string_view overview_css();
std::string_view overview_js();

/// The matcher as WebAssembly; empty where the build found no compiler for it.
std::string_view matcher_wasm();

}  // namespace wainscot
