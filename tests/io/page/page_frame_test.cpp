#include "io/page/page_frame.hpp"

#include <string>

#include <gtest/gtest.h>

#include "io/draw/palette.hpp"
#include "io/page/files.hpp"

namespace wainscot {
namespace {

TEST(PageFrame, PutsSharedPartsBeforeThePagesOwn) {
  const std::string page = framed_page({"A <b>", "<main>m</main>\n", ".own{}", "own();\n", R"({"a":"<"})"});
  EXPECT_NE(page.find("<title>A &lt;b&gt;</title>"), std::string::npos);
  EXPECT_NE(page.find(palette_css() + std::string(shared_css()) + ".own{}</style>"), std::string::npos);
  EXPECT_NE(page.find(std::string(shared_js()) + "own();\n//]]>"), std::string::npos);
  EXPECT_NE(page.find(R"(id="data">{"a":"\u003c"}</script>)"), std::string::npos);
}

TEST(PageFrame, AllowsWebAssemblyOnlyWhereItIsWanted) {
  PageParts parts{"", "", "", "own();", "{}"};
  EXPECT_EQ(framed_page(parts).find("wasm"), std::string::npos);
  parts.webassembly = true;
  EXPECT_NE(framed_page(parts).find("' 'wasm-unsafe-eval'; form-action"), std::string::npos);
}

TEST(PageFrame, AsksItsServerOnlyWhereItIsWanted) {
  PageParts parts{"", "", "", "own();", "{}"};
  EXPECT_EQ(framed_page(parts).find("connect-src"), std::string::npos);
  parts.asks_server = true;
  const std::string page = framed_page(parts);
  EXPECT_NE(page.find("default-src 'none'"), std::string::npos);
  EXPECT_NE(page.find("; connect-src 'self'; form-action 'none'"), std::string::npos);
}

TEST(PageFrame, PicturesStandTwiceAndNamesStayText) {
  const std::string html = picture_figure("way", "<svg>1</svg>", "<svg>2</svg>", "a < b");
  EXPECT_NE(html.find("<figure id=\"way\">"), std::string::npos);
  EXPECT_NE(html.find("<div class=\"wide\"><svg>1</svg></div>\n<div class=\"narrow\"><svg>2</svg></div>"),
            std::string::npos);
  EXPECT_NE(html.find("<figcaption>a &lt; b</figcaption>"), std::string::npos);
  EXPECT_NE(caution_and_footer("1 < 2").find("<footer>wainscot 1 &lt; 2</footer>"), std::string::npos);
}

TEST(PageFrame, APageWithoutAScriptAllowsNone) {
  const std::string page = framed_page({"", "<main/>", "", "", ""});
  EXPECT_EQ(page.find("script"), std::string::npos);
  EXPECT_NE(page.find("default-src 'none'"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
