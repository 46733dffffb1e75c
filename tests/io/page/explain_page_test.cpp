#include "io/page/explain_page.hpp"

#include <filesystem>
#include <fstream>
#include <regex>
#include <sstream>
#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "io/page/files.hpp"
#include "tests/io/page_checks.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

DriveExplanation sample_explanation() {
  DriveExplanation explanation;
  explanation.map = sample_map();
  ScanPoint point{};
  point.x_m = 1.0F;
  explanation.match.problem.points = {point};
  explanation.match.before = {point};
  explanation.match.matches = {{Tangent2::Zero(), trace_icp(explanation.match.problem)}};
  GraphExplanation& graph = explanation.graph;
  graph.odometry = graph.tracked = graph.adjusted = {{0.0, 0.0, 0.0}, {1.0, 0.25, 0.2}};
  graph.scans = {{point}, {point, point}};
  graph.times_s = {1.0, 2.0};
  graph.edges = explanation.map.graph.edges;
  graph.candidates = explanation.map.candidates;
  graph.replays = {{false, true, false, true, {2.0, 1.0}, {graph.tracked, graph.adjusted}}};
  explanation.cells = {{"wall", {0.1, 0.2}, {{{0, 0, true, 1, 0, -0.7}, 1.0, RasterBeam{0, 0, 1, 1, true, 1}}}, 0.9}};
  return explanation;
}

const std::string kHostile = "<script>alert(1)</script>\"' @DATA@";

std::string between(const std::string& text, const std::string& from, const std::string& to) {
  const std::size_t begin = text.find(from);
  if (begin == std::string::npos) return {};
  return text.substr(begin + from.size(), text.find(to, begin + from.size()) - begin - from.size());
}

std::string page(std::string_view matcher = "wasm") {
  return explain_page(sample_explanation(), kHostile, {"1.2.3", true, true}, matcher);
}

nlohmann::json data_of(const std::string& text) {
  return nlohmann::json::parse(between(text, "id=\"data\">", "</script>"));
}

TEST(ExplainPage, KeepsTheFirstIterationsAndTheLastOfALargeGraph) {
  DriveExplanation explanation = sample_explanation();
  const std::vector<Pose2> many(6000);
  explanation.graph.replays = {{false, true, false, true, std::vector<double>(20, 1.0), {20, many}}};
  const nlohmann::json replay =
      data_of(explain_page(explanation, "large", {"1.2.3", true, true}, ""))["graph"]["replays"][0];
  EXPECT_EQ(replay["shown"], nlohmann::json({0, 1, 2, 3, 4, 19}));
  EXPECT_EQ(replay["cost"].size(), 20U);
  EXPECT_EQ(replay["poses"].get<std::string>().size(), 6U * 6000 * 3 * 4 / 3 * 4);
}

TEST(ExplainPage, LoadsNothing) {
  const std::string text = page();
  EXPECT_EQ(text.find("http:"), std::string::npos);
  EXPECT_EQ(text.find("https:"), std::string::npos);
  EXPECT_EQ(text.find("url("), std::string::npos);
  EXPECT_EQ(text.find(" src="), std::string::npos);
  EXPECT_NE(text.find("'wasm-unsafe-eval'"), std::string::npos);
  EXPECT_EQ(page("").find("wasm-unsafe-eval"), std::string::npos) << "no WebAssembly, no leave for it";
}

TEST(ExplainPage, IsWellFormed) { EXPECT_TRUE(is_well_formed(page())); }

TEST(ExplainPage, HoldsNamesAsText) {
  const std::string text = page();
  EXPECT_EQ(text.find("<script>alert"), std::string::npos);
  EXPECT_NE(text.find("&lt;script&gt;alert(1)&lt;/script&gt;"), std::string::npos);
  EXPECT_NE(between(text, "<title>", "</title>").find("@DATA@"), std::string::npos) << "a name is not filled in again";
  EXPECT_NE(text.find("simulated drive"), std::string::npos);
}

TEST(ExplainPage, CarriesTheFigures) {
  const nlohmann::json data = data_of(page());
  EXPECT_EQ(data["matcher"], "d2FzbQ==");
  EXPECT_EQ(data["graph"]["counts"], nlohmann::json({1, 2}));
  EXPECT_EQ(data["graph"]["candidates"][0]["overlap"], 0.9);
  EXPECT_TRUE(data["graph"]["candidates"][1]["chi_squared"].is_null());
  EXPECT_EQ(data["graph"]["replays"][0]["cost"], nlohmann::json({2.0, 1.0}));
  EXPECT_EQ(data["cells"][0]["events"][0], nlohmann::json::parse("[1.0,0,1,1,0,-0.7,[0.0,0.0,1.0,1.0,1]]"));
  EXPECT_FALSE(data["graph"].contains("false_closure"));
}

TEST(ExplainPage, EveryWordIsFilledIn) {
  const std::string text = page("");
  const std::string body = text.substr(0, text.find("id=\"data\""));
  const std::regex word("@[A-Z_]+@");
  for (auto at = std::sregex_iterator(body.begin(), body.end(), word); at != std::sregex_iterator(); ++at) {
    EXPECT_EQ(at->str(), "@DATA@") << "only the hostile name of this test may stand there";
  }
  EXPECT_NE(body.find("L before = -2.2"), std::string::npos) << "an option's figure";
}

std::string content(const std::filesystem::path& file) {
  std::ostringstream text;
  text << std::ifstream(file).rdbuf();
  return text.str();
}

// "core/pose2.hpp · one, two; graph/map.hpp · three": all of these are in the checkout.
TEST(ExplainPage, NamesSourcesAndFunctionsThatExist) {
  const std::string text = page("");
  const std::regex paragraph("<p class=\"source\">([^<]*)</p>");
  const std::regex part("([a-z_/]+\\.[ch]pp) · ([^;]+)");
  const std::regex name("[A-Za-z_]+$");
  const std::regex step("<article class=\"step\">");
  std::size_t steps = 0;
  std::size_t names = 0;
  for (auto p = std::sregex_iterator(text.begin(), text.end(), paragraph); p != std::sregex_iterator(); ++p, ++steps) {
    const std::string sources = p->str(1);
    for (auto s = std::sregex_iterator(sources.begin(), sources.end(), part); s != std::sregex_iterator(); ++s) {
      const std::string source = content(std::filesystem::path(WAINSCOT_CHECKOUT) / s->str(1));
      EXPECT_FALSE(source.empty()) << s->str(1);
      std::istringstream functions(s->str(2));
      for (std::string function; std::getline(functions, function, ',');) {
        std::smatch last;
        ASSERT_TRUE(std::regex_search(function, last, name)) << function;
        EXPECT_TRUE(std::regex_search(source, std::regex("\\b" + last.str() + "\\b")))
            << s->str(1) << " has no " << function;
        ++names;
      }
    }
  }
  EXPECT_EQ(steps, static_cast<std::size_t>(
                       std::distance(std::sregex_iterator(text.begin(), text.end(), step), std::sregex_iterator())));
  EXPECT_GE(names, steps);
}

TEST(ExplainPage, EachStepHasThreeLinesAndAFormula) {
  const std::string text = page("");
  for (std::size_t at = text.find("<article"); at != std::string::npos; at = text.find("<article", at + 1)) {
    const std::string article = text.substr(at, text.find("</article>", at) - at);
    const std::regex line("<p( id=[^>]*)?>");
    EXPECT_EQ(std::distance(std::sregex_iterator(article.begin(), article.end(), line), std::sregex_iterator()), 3)
        << article;
    EXPECT_NE(article.find("class=\"formula\""), std::string::npos) << article;
    EXPECT_NE(article.find("class=\"source\""), std::string::npos) << article;
  }
}

TEST(ExplainPage, TheSameGivesTheSameBytes) { EXPECT_EQ(page(), page()); }

TEST(ExplainPage, TheMatcherOfThisBuildIsWebAssemblyOrNothing) {
  const std::string_view matcher = matcher_wasm();
  if (matcher.empty()) GTEST_SKIP() << "this build found no compiler for WebAssembly";
  EXPECT_EQ(matcher.substr(0, 4), std::string_view("\0asm", 4));
}

}  // namespace
}  // namespace wainscot
