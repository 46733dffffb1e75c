// What becomes of a command that the system gives too little: it says so, and ends. Each case here was called a fault
// of the program, or never ended.

#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"
#include "tests/apps/memory_limit.hpp"

namespace wainscot {
namespace {

class Shortage : public CommandLine {
 protected:
  void SetUp() override {
#ifdef WAINSCOT_UNDER_ASAN
    GTEST_SKIP() << "a sanitizer needs all of the address space";
#endif
    ASSERT_EQ(run("build drive --out good --quiet").status, 0);
  }
};

TEST_F(Shortage, OfMemoryForAPicture) {
  const auto before = entries();
  // 10,000 by some 7,000 pixels of three bytes; the program with its libraries takes 240 MB of addresses.
  const Outcome drawn = run("draw good --out plan.png --width 10000", memory_limit(400) + " timeout 20");
  EXPECT_EQ(drawn.status, 1);
  EXPECT_EQ(drawn.err, "wainscot: there is not enough memory; close other programs\n");
  EXPECT_EQ(entries(), before);
}

TEST_F(Shortage, OfMemoryAtAnyPlace) {
  for (int megabytes = 230; megabytes <= 330; megabytes += 20) {
    const Outcome built = run("build drive --out flat --quiet --replace", memory_limit(megabytes) + " timeout 20");
    SCOPED_TRACE(std::to_string(megabytes) + " MB\n" + built.err);
    if (built.status == 127) continue;  // the libraries themselves do not fit
    EXPECT_TRUE(built.status == 0 || built.status == 1);
    const bool of_memory =
        built.err == "wainscot: there is not enough memory; close other programs or use a larger --cell-size\n";
    const bool of_threads =
        built.err.rfind("wainscot: the system gives no more threads, open files or memory (", 0) == 0;
    EXPECT_EQ(of_memory || of_threads, built.status == 1);
  }
}

TEST_F(Shortage, OfOpenFiles) {
  for (int files = 3; files <= 9; ++files) {
    const Outcome exported =
        run(fmt::format("export good --out plans{}", files), fmt::format("prlimit --nofile={} timeout 20", files));
    SCOPED_TRACE(fmt::format("{} files\n{}", files, exported.err));
    if (exported.status == 127) continue;  // the libraries themselves cannot be opened
    EXPECT_EQ(exported.err.find("fault of its own"), std::string::npos);
    EXPECT_NE(exported.err, "");
  }
}

// Libraries of linear algebra that start threads before the program begins ask this function whether they may.
TEST_F(Shortage, NoLibraryIsToStartThreads) {
  const std::string symbols = (logs_.path() / "symbols").string();
  ASSERT_EQ(std::system(fmt::format("nm -D --defined-only '{}' >'{}'", WAINSCOT_PROGRAM, symbols).c_str()), 0);
  EXPECT_NE(content(symbols).find(" T openblas_num_threads_env"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
