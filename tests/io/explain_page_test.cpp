#include "io/explain_page.hpp"

#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "io/page/files.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

Explanation sample_explanation() {
  Explanation explanation;
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
  graph.replays = {{false, false, true, {2.0, 1.0}, {graph.tracked, graph.adjusted}}};
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

TEST(ExplainPage, LoadsNothingAndSaysSoToTheBrowser) {
  const std::string text = page();
  EXPECT_EQ(text.find("http"), text.find("http-equiv")) << "no address anywhere";
  EXPECT_EQ(text.find("http", text.find("http-equiv") + 4), std::string::npos);
  const std::string policy = between(text, "Content-Security-Policy\" content=\"", "\"");
  EXPECT_NE(policy.find("default-src 'none'"), std::string::npos) << policy;
  EXPECT_EQ(policy.find("unsafe-inline"), std::string::npos) << policy;
  EXPECT_NE(policy.find("'wasm-unsafe-eval'"), std::string::npos) << policy;
  EXPECT_EQ(between(page(""), "Content-Security-Policy\" content=\"", "\"").find("wasm"), std::string::npos);
}

TEST(ExplainPage, HoldsNamesAsText) {
  const std::string text = page();
  EXPECT_EQ(text.find("<script>alert"), std::string::npos);
  EXPECT_NE(text.find("&lt;script&gt;alert(1)&lt;/script&gt;"), std::string::npos);
  EXPECT_EQ(text.find("@STYLE@"), std::string::npos);
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
  EXPECT_EQ(data["cells"][0]["events"][0]["log_odds"], -0.7);
  EXPECT_FALSE(data["graph"].contains("false_closure"));
}

TEST(ExplainPage, TheSameGivesTheSameBytes) { EXPECT_EQ(page(), page()); }

TEST(ExplainPage, TheMatcherOfThisBuildIsWebAssemblyOrNothing) {
  const std::string_view matcher = matcher_wasm();
  if (matcher.empty()) GTEST_SKIP() << "this build found no compiler for WebAssembly";
  EXPECT_EQ(matcher.substr(0, 4), std::string_view("\0asm", 4));
}

}  // namespace
}  // namespace wainscot
