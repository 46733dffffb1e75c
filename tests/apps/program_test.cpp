#include "apps/program.hpp"

#include <gtest/gtest.h>

namespace wainscot {
namespace {

TEST(Program, GivesTheStatusOfItsLine) {
  testing::internal::CaptureStdout();
  testing::internal::CaptureStderr();
  EXPECT_EQ(run_program({"--version"}), 0);
  EXPECT_EQ(run_program({"nonsense"}), 2);
  EXPECT_EQ(run_program({"check", "/no/such/drive"}), 2);
  EXPECT_EQ(run_program({"batch-job", "/no/such/batch", "{"}), 2);
  EXPECT_EQ(testing::internal::GetCapturedStdout(), "wainscot " WAINSCOT_VERSION "\n");
  const std::string said = testing::internal::GetCapturedStderr();
  EXPECT_NE(said.find("wainscot: there is no command nonsense"), std::string::npos) << said;
  EXPECT_NE(said.find("wainscot: /no/such/drive: is not a folder"), std::string::npos) << said;
}

}  // namespace
}  // namespace wainscot
