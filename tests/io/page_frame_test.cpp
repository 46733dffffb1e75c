#include "io/page_frame.hpp"

#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "io/page/files.hpp"

namespace wainscot {
namespace {

TEST(PageFrame, EscapesText) {
  EXPECT_EQ(html_text("<a href=\"x\">Tom & 'Ann'</a>"),
            "&lt;a href=&quot;x&quot;&gt;Tom &amp; &#39;Ann&#39;&lt;/a&gt;");
  EXPECT_EQ(html_text(std::string("a\0b\x1b", 4)),
            "a\xEF\xBF\xBD"
            "b\xEF\xBF\xBD");
  EXPECT_EQ(html_text("naïve"), "naïve");
}

TEST(PageFrame, JsonKeepsItsMeaningWithoutMarkup) {
  const std::string json = R"({"name":"</script><!-- & \u003c"})";
  const std::string safe = json_without_markup(json);
  EXPECT_EQ(safe.find_first_of("<>&"), std::string::npos) << safe;
  EXPECT_EQ(nlohmann::json::parse(safe), nlohmann::json::parse(json));
}

TEST(PageFrame, PutsSharedPartsBeforeThePagesOwn) {
  const std::string page = framed_page({"A <b>", "<main>m</main>\n", ".own{}", "own();\n", R"({"a":"<"})"});
  EXPECT_NE(page.find("<title>A &lt;b&gt;</title>"), std::string::npos);
  EXPECT_NE(page.find(std::string(shared_css()) + ".own{}</style>"), std::string::npos);
  EXPECT_NE(page.find(std::string(shared_js()) + "own();\n//]]>"), std::string::npos);
  EXPECT_NE(page.find(R"(id="data">{"a":"\u003c"}</script>)"), std::string::npos);
}

TEST(PageFrame, AllowsWebAssemblyOnlyWhereItIsWanted) {
  PageParts parts{"", "", "", "own();", "{}"};
  EXPECT_EQ(framed_page(parts).find("wasm"), std::string::npos);
  parts.webassembly = true;
  EXPECT_NE(framed_page(parts).find("' 'wasm-unsafe-eval'; form-action"), std::string::npos);
}

TEST(PageFrame, APageWithoutAScriptAllowsNone) {
  const std::string page = framed_page({"", "<main/>", "", "", ""});
  EXPECT_EQ(page.find("script"), std::string::npos);
  EXPECT_NE(page.find("default-src 'none'"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
