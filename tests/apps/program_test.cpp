#include "apps/program.hpp"

#include <vector>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

int status_of(const std::vector<const char*>& words) {
  return run_program(static_cast<int>(words.size()), words.data());
}

TEST(Program, GivesTheStatusOfItsLine) {
  testing::internal::CaptureStdout();
  testing::internal::CaptureStderr();
  EXPECT_EQ(status_of({"--version"}), 0);
  EXPECT_EQ(status_of({"nonsense"}), 2);
  EXPECT_EQ(status_of({"check", "/no/such/drive"}), 2);
  EXPECT_EQ(status_of({"batch-job", "/no/such/batch", "{"}), 2);
  EXPECT_EQ(testing::internal::GetCapturedStdout(), "wainscot " WAINSCOT_VERSION "\n");
  const std::string said = testing::internal::GetCapturedStderr();
  EXPECT_NE(said.find("wainscot: there is no command nonsense"), std::string::npos) << said;
  EXPECT_NE(said.find("wainscot: /no/such/drive: is not a folder"), std::string::npos) << said;
}

}  // namespace
}  // namespace wainscot
