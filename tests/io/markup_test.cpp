#include "io/markup.hpp"

#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace wainscot {
namespace {

TEST(Markup, EscapesText) {
  EXPECT_EQ(html_text("<a href=\"x\">Tom & 'Ann'</a>"),
            "&lt;a href=&quot;x&quot;&gt;Tom &amp; &#39;Ann&#39;&lt;/a&gt;");
  EXPECT_EQ(html_text(std::string("a\0b\x1b", 4)),
            "a\xEF\xBF\xBD"
            "b\xEF\xBF\xBD");
  EXPECT_EQ(html_text("naïve"), "naïve");
}

TEST(Markup, JsonKeepsItsMeaningWithoutMarkup) {
  const std::string json = R"({"name":"</script><!-- & \u003c"})";
  const std::string safe = json_without_markup(json);
  EXPECT_EQ(safe.find_first_of("<>&"), std::string::npos) << safe;
  EXPECT_EQ(nlohmann::json::parse(safe), nlohmann::json::parse(json));
}

}  // namespace
}  // namespace wainscot
