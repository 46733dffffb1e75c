#include "apps/batch/child_process.hpp"

#include <csignal>
#include <filesystem>

#include <gtest/gtest.h>

#include "tests/apps/comes_true.hpp"
#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

TEST(ChildProcess, TellsItsEndAndWhatItSaid) {
  const ReaderFolder folder;
  ChildOptions options;
  options.folder = folder.path();
  options.environment = {{"PAINT", "blue"}};
  options.said = folder.path() / "said";
  ChildProcess child({"/bin/sh", "-c", "echo $PAINT; echo loud >&2; pwd; exit 3"}, options);
  ASSERT_TRUE(comes_true([&] { return child.status().has_value(); }));
  EXPECT_EQ(child.status(), 3);
  EXPECT_EQ(content(options.said), "blue\nloud\n" + folder.path().string() + "\n");
}

TEST(ChildProcess, EndsWhereItIsAskedOrItsOwnerGoes) {
  ChildProcess child({"sleep", "600"}, {});
  EXPECT_FALSE(child.status());
  child.ask_to_end();
  ASSERT_TRUE(comes_true([&] { return child.status().has_value(); }));
  EXPECT_EQ(child.status(), kSignalled + SIGTERM);
  const ReaderFolder folder;
  {
    ChildOptions options;
    options.folder = folder.path();
    ChildProcess deaf({"/bin/sh", "-c", "trap '' TERM; echo $$ > number; sleep 600 & wait"}, options);
    ASSERT_TRUE(comes_true([&] { return !content(folder.path() / "number").empty(); }));
  }
  EXPECT_NE(::kill(std::stoi(content(folder.path() / "number")), 0), 0);
}

TEST(ChildProcess, AProgramThatIsNotThereHasAStatus) {
  ChildProcess child({"no-such-program"}, {});
  ASSERT_TRUE(comes_true([&] { return child.status().has_value(); }));
  EXPECT_EQ(child.status(), 127);
  EXPECT_FALSE(is_installed("no-such-program"));
  EXPECT_TRUE(is_installed("sh"));
}

TEST(ChildProcess, OutputIsTakenWhole) {
  EXPECT_EQ(output_of({"printf", "a b\n"}).out, "a b\n");
  const ProgramOutput much = output_of({"/bin/sh", "-c", "yes | head -c 300000; echo quiet >&2; exit 4"});
  EXPECT_EQ(much.out.size(), 300'000U);
  EXPECT_EQ(much.status, 4);
  EXPECT_TRUE(std::filesystem::exists(own_program()));
}

}  // namespace
}  // namespace wainscot
