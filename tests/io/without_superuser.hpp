#pragma once

// The superuser may read everything, so that a test of permissions has to stand aside as another user for a moment.

#include <gtest/gtest.h>
#include <unistd.h>

namespace wainscot {

/// What `read` gives as a user who owns nothing, or as the user who runs the tests where that is not the superuser.
template <typename Read>
auto without_superuser(const Read& read) {
  const bool superuser = ::geteuid() == 0;
  if (superuser) {
    EXPECT_EQ(::seteuid(65534), 0);
  }
  auto given = read();
  if (superuser) {
    EXPECT_EQ(::seteuid(0), 0);
  }
  return given;
}

}  // namespace wainscot
