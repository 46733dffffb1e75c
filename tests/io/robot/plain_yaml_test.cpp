#include "io/robot/plain_yaml.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <string>

#include "core/errors.hpp"

namespace wainscot {
namespace {

// The message of the refusal, or "" where the text is accepted.
std::string plain_refusal(const std::string& text) {
  try {
    load_plain_yaml(text, "robot.yaml");
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(PlainYaml, GivesWhatStandsThere) {
  const YAML::Node node = load_plain_yaml("a: 1\r\nb: [2, 3]  # a\tcomment\n", "robot.yaml");
  EXPECT_EQ(node["a"].Scalar(), "1");
  EXPECT_EQ(node["b"][1].Scalar(), "3");
  EXPECT_EQ(node["b"].Mark().line, 1);
  EXPECT_TRUE(load_plain_yaml("# nothing\n", "robot.yaml").IsNull());
}

TEST(PlainYaml, TabsAndSecondDocumentsAreRefused) {
  EXPECT_EQ(plain_refusal("a:\n\tb: 1\n"), "robot.yaml:2: a tab stands here; indent with spaces");
  EXPECT_NE(plain_refusal("a: 1\n---\nb: 2\n").find("a second document begins"), std::string::npos);
  EXPECT_EQ(plain_refusal("a: 1\n").size(), 0U);
}

TEST(PlainYaml, ANulIsNotTakenForTheEnd) {
  using namespace std::string_literals;
  const std::string text = "wainscot_robot: 1\nlidar: {x_m: 0}\n\0nonsense: 1\n"s;
  EXPECT_NE(plain_refusal(text).find("robot.yaml:3: a control character"), std::string::npos) << plain_refusal(text);
}

// The "billion laughs": each line names the one before it ten times, 10^30 values in all if it were expanded.
TEST(PlainYaml, AnAliasBombIsRefusedAtOnce) {
  std::string text = "wainscot_robot: 1\na0: &a0 [x]\n";
  for (int i = 1; i <= 30; ++i) {
    const std::string before = fmt::format("*a{}", i - 1);
    text += fmt::format("a{0}: &a{0} [{1}", i, before);
    for (int k = 1; k < 10; ++k) text += ", " + before;
    text += "]\n";
  }
  EXPECT_EQ(plain_refusal(text).rfind("robot.yaml:3: an alias", 0), 0u) << plain_refusal(text);
}

TEST(PlainYaml, DeepNestingIsRefused) {
  const std::string message = plain_refusal("wainscot_robot: 1\nlidar: " + std::string(20'000, '['));
  EXPECT_NE(message.find("not YAML"), std::string::npos) << message;
}

}  // namespace
}  // namespace wainscot
