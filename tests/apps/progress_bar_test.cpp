#include "apps/progress_bar.hpp"

#include <array>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <string>

#include <fcntl.h>
#include <unistd.h>

#include <gtest/gtest.h>

#include "io/files/descriptor.hpp"

namespace wainscot {
namespace {

/// Standard error is a terminal as long as one lives.
class Terminal {
 public:
  Terminal() {
    EXPECT_EQ(::grantpt(far_end_.number()), 0);
    EXPECT_EQ(::unlockpt(far_end_.number()), 0);
    const Descriptor near_end(::open(::ptsname(far_end_.number()), O_RDWR | O_NOCTTY | O_CLOEXEC));
    std::fflush(stderr);
    EXPECT_GE(::dup2(near_end.number(), STDERR_FILENO), 0);
  }
  Terminal(const Terminal&) = delete;
  Terminal& operator=(const Terminal&) = delete;
  ~Terminal() { ::dup2(before_.number(), STDERR_FILENO); }

  /// What was written since the last call.
  std::string shown() const {
    std::fflush(stderr);
    std::string text;
    std::array<char, 4096> piece{};
    for (ssize_t got = 0; (got = ::read(far_end_.number(), piece.data(), piece.size())) > 0;) {
      text.append(piece.data(), static_cast<std::size_t>(got));
    }
    return text;
  }

 private:
  Descriptor before_{::dup(STDERR_FILENO)};
  Descriptor far_end_{::posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)};
};

constexpr const char* kWiped = "\r\x1b[K";

TEST(ProgressBar, AStateIsShownInPlaceOfABar) {
  const Terminal terminal;
  {
    ProgressBar bar(true);
    bar.show_state("12.3 s: lost");
    EXPECT_EQ(terminal.shown(), kWiped + std::string("12.3 s: lost"));
    // Ten times a second at most: what comes at once is not drawn, and later something is again.
    std::string text;
    int told = 0;
    while (text.empty() && told < 1'000'000) {
      bar.show_state(std::to_string(++told));
      text = terminal.shown();
    }
    EXPECT_EQ(text, kWiped + std::to_string(told));
    EXPECT_GT(told, 1);
    bar.show("matching", 0.5);
    EXPECT_EQ(terminal.shown(), kWiped + progress_line("matching", 0.5)) << "a new stage is shown at once";
  }
  EXPECT_EQ(terminal.shown(), kWiped) << "nothing of it is left";
}

TEST(ProgressBar, WithoutATerminalOrUnwantedNothingIsShown) {
  const Terminal terminal;
  {
    ProgressBar unwanted(false);
    unwanted.show_state("here");
    unwanted.show("matching", 0.5);
  }
  EXPECT_EQ(terminal.shown(), "");
}

TEST(ProgressBar, LineShowsTheShareDone) {
  EXPECT_EQ(progress_line("matching", 0.0), "..............................   0 % matching");
  EXPECT_EQ(progress_line("matching", 0.5), "###############...............  50 % matching");
  EXPECT_EQ(progress_line("writing", 1.0), "############################## 100 % writing");
}

TEST(ProgressBar, LineStaysALineForAnyFraction) {
  EXPECT_EQ(progress_line("x", -3.0), progress_line("x", 0.0));
  EXPECT_EQ(progress_line("x", 7.0), progress_line("x", 1.0));
  EXPECT_EQ(progress_line("x", std::numeric_limits<double>::quiet_NaN()), progress_line("x", 0.0));
  EXPECT_LE(progress_line(std::string(200, 's'), 1.0).size(), 60U);
}

}  // namespace
}  // namespace wainscot
