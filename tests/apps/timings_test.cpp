#include "apps/timings.hpp"

#include <thread>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace wainscot {
namespace {

TEST(Timings, StagesAddUpByName) {
  Timings timings;
  timings.begin("reading");
  std::this_thread::sleep_for(std::chrono::milliseconds(20));
  timings.begin("matching");
  timings.begin("reading");
  std::this_thread::sleep_for(std::chrono::milliseconds(20));
  const auto json = nlohmann::json::parse(timings.json());
  ASSERT_EQ(json["stages"].size(), 2U);
  EXPECT_EQ(json["stages"][0]["name"], "reading");
  EXPECT_GE(json["stages"][0]["wall_s"].get<double>(), 0.040);
  EXPECT_EQ(json["stages"][1]["name"], "matching");
  EXPECT_GE(json["wall_s"].get<double>(), 0.040);
  EXPECT_GT(json["peak_memory_mb"].get<double>(), 1.0);
  EXPECT_LT(json["stages"][0]["cpu_s"].get<double>(), json["stages"][0]["wall_s"].get<double>());
}

}  // namespace
}  // namespace wainscot
