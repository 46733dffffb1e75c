#include "apps/mapping_run.hpp"

#include <string>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(MappingRun, EachStageIsTimedOnce) {
  ProgressBar bar(false);
  Timings timings;
  const auto progress = mapper_share(shown_progress(bar, timings));
  progress("matching", 0.1);
  progress("matching", 0.2);
  progress("adjusting", 0.5);
  progress("done", 1.0);
  const std::string json = timings.json();
  EXPECT_NE(json.find("matching"), std::string::npos) << json;
  EXPECT_NE(json.find("adjusting"), std::string::npos) << json;
  EXPECT_EQ(json.find("done"), std::string::npos) << json;
}

TEST(MappingRun, TheTimeIsToldWithUnits) {
  const std::string text = took_text(Timings());
  EXPECT_EQ(text.rfind("It took 0.0 s (0.0 s of processor time), ", 0), 0U) << text;
  EXPECT_NE(text.find(" MB of memory at most.\n"), std::string::npos) << text;
}

}  // namespace
}  // namespace wainscot
