#include "io/page/page_frame.hpp"

#include <cstddef>
#include <cstdint>
#include <vector>

#include <fmt/format.h>

#include "io/checksum.hpp"
#include "io/draw/palette.hpp"
#include "io/map_origin.hpp"
#include "io/markup.hpp"
#include "io/packed_numbers.hpp"
#include "io/page/files.hpp"

namespace wainscot {
namespace {

/// The script as it stands in the page: comment and CDATA marks let HTML and XML both read it as it is.
std::string page_script(std::string_view script) {
  return fmt::format("//<![CDATA[\n{}{}//]]>\n", shared_js(), script);
}

/// The one script that the page's policy lets run. Source: W3C, Content Security Policy Level 3, section 2.3.1.
std::string script_hash(const std::string& script) {
  const std::string hexadecimal = sha256(script);
  std::vector<std::uint8_t> digest;
  for (std::size_t i = 0; i < hexadecimal.size(); i += 2) {
    digest.push_back(static_cast<std::uint8_t>(std::stoul(hexadecimal.substr(i, 2), nullptr, 16)));
  }
  return "sha256-" + base64(digest);
}

}  // namespace

std::string picture_figure(std::string_view name, std::string_view wide, std::string_view narrow,
                           const std::string& words) {
  return fmt::format(
      "<figure id=\"{}\">\n<div class=\"wide\">{}</div>\n<div class=\"narrow\">{}</div>\n"
      "<figcaption>{}</figcaption>\n</figure>\n",
      name, wide, narrow, html_text(words));
}

std::string caution_and_footer(const std::string& program_version) {
  return fmt::format("<h2>Caution</h2>\n<p>{}</p>\n</main>\n<footer>wainscot {}</footer>\n", html_text(map_caution),
                     html_text(program_version));
}

std::string framed_page(const PageParts& parts) {
  std::string policy = "default-src 'none'; img-src data:; style-src 'unsafe-inline'";
  std::string scripts;
  if (!parts.script.empty()) {
    const std::string script = page_script(parts.script);
    policy += fmt::format("; script-src '{}'{}", script_hash(script), parts.webassembly ? " 'wasm-unsafe-eval'" : "");
    scripts = fmt::format("<script type=\"application/json\" id=\"data\">{}</script>\n<script>{}</script>\n",
                          json_without_markup(parts.data), script);
  }
  if (parts.asks_server) policy += "; connect-src 'self'";
  policy += "; form-action 'none'; base-uri 'none'";
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n<meta name=\"viewport\" "
      "content=\"width=device-width, initial-scale=1\"/>\n<meta http-equiv=\"Content-Security-Policy\" "
      "content=\"{}\"/>\n<title>{}</title>\n<style>\n{}{}{}</style>\n</head>\n<body>\n{}{}</body>\n</html>\n",
      policy, html_text(parts.title), palette_css(), shared_css(), parts.style, parts.body, scripts);
}

}  // namespace wainscot
