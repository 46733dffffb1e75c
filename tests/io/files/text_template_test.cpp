#include "io/files/text_template.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"

namespace wainscot {
namespace {

const std::vector<Placeholder> known = {{"columns", "120"}, {"cell_size_m", "0.05"}};

std::string complaint(const std::string& text) {
  try {
    fill_template(text, "my.template", known);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(TextTemplate, FillsInAndLeavesAllElse) {
  EXPECT_EQ(fill_template("a: {{columns}}\r\n{b: [{{ cell_size_m }}], c: {}}}\n{{columns}}", "f", known),
            "a: 120\r\n{b: [0.05], c: {}}}\n120");
  EXPECT_EQ(fill_template("", "f", known), "");
  EXPECT_EQ(fill_template("no newline", "f", known), "no newline");
}

TEST(TextTemplate, NamesLineAndNearestPlaceholder) {
  EXPECT_EQ(complaint("one\n{{columns}} {{cellsize}}\n"),
            "my.template:2: there is no placeholder {{cellsize}}; the nearest known one is {{cell_size_m}}");
  EXPECT_NE(complaint("{{}}").find("my.template:1: there is no placeholder {{}}"), std::string::npos);
  EXPECT_NE(complaint("{{a\x01}}").find("{{a\\x01}}"), std::string::npos);
}

TEST(TextTemplate, WantsPlaceholdersOnOneLine) {
  EXPECT_NE(complaint("\n\n{{columns\n}}").find("my.template:3: {{ has no }} on its line"), std::string::npos);
  EXPECT_NE(complaint("{{").find("my.template:1: {{ has no }}"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
