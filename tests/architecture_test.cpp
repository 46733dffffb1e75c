// The house's one rule: arrows of dependency point one way, apps -> io -> graph -> scanmatch -> core. Read from the
// #include lines of every source in the checkout.

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

namespace {

namespace fs = std::filesystem;

/// Lowest first: a room may include itself and what stands before it.
constexpr std::array<std::string_view, 5> kRooms = {"core", "scanmatch", "graph", "io", "apps"};

/// The simulator stands beside the rooms: it may use plain values of core, and nothing that the mapper computes with,
/// since an error made in both would cancel. The geometry of SE(2), interpolation, odometry and drawing are such.
const std::set<std::string> kPlainValues = {"core/drive.hpp", "core/errors.hpp", "core/pose2.hpp", "core/robot.hpp"};

struct Include {
  std::string file;  // relative to the checkout
  int line;
  std::string target;
};

std::vector<Include> includes_of(const fs::path& checkout, const fs::path& file) {
  static const std::regex pattern(R"re(^\s*#\s*include\s*["<]([^">]+)[">])re");
  std::vector<Include> result;
  std::ifstream in(file);
  std::string text;
  for (int line = 1; std::getline(in, text); ++line) {
    std::smatch match;
    if (std::regex_search(text, match, pattern)) {
      result.push_back({fs::relative(file, checkout).generic_string(), line, match[1].str()});
    }
  }
  return result;
}

std::vector<Include> includes_under(const fs::path& checkout, const fs::path& folder) {
  std::vector<Include> result;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(checkout / folder)) {
    if (entry.path().extension() == ".hpp" || entry.path().extension() == ".cpp") {
      const std::vector<Include> found = includes_of(checkout, entry.path());
      result.insert(result.end(), found.begin(), found.end());
    }
  }
  return result;
}

/// Position in kRooms of the room that a path lies in; -1: in none.
int room_of(std::string_view path) {
  const std::string_view first = path.substr(0, path.find('/'));
  const auto* const found = std::find(kRooms.begin(), kRooms.end(), first);
  return found == kRooms.end() || path.find('/') == std::string_view::npos ? -1
                                                                           : static_cast<int>(found - kRooms.begin());
}

/// What is wrong with an include of a file in a room; empty: nothing.
std::string wrong_with(const Include& include) {
  const std::string place = include.file + ":" + std::to_string(include.line) + " includes " + include.target;
  const int to = room_of(include.target);
  if (room_of(include.file) < to) {
    return place + ": the arrow points the wrong way";
  }
  if (include.target.starts_with("..") || include.target.starts_with("tests/")) {
    return place + ": rooms are named from the top of the checkout, and none uses the tests";
  }
  if (include.file.starts_with("apps/simulator/") && to >= 0 && !include.target.starts_with("apps/simulator/") &&
      kPlainValues.count(include.target) == 0) {
    return place + ": the simulator uses plain values of core only";
  }
  return {};
}

TEST(Architecture, ArrowsPointOneWay) {
  const fs::path checkout = WAINSCOT_CHECKOUT;
  std::size_t seen = 0;
  for (const std::string_view room : kRooms) {
    for (const Include& include : includes_under(checkout, room)) {
      ++seen;
      const std::string wrong = wrong_with(include);
      EXPECT_TRUE(wrong.empty()) << wrong;
    }
  }
  EXPECT_GT(seen, 100U) << "the includes were not found";
}

TEST(Architecture, TheRuleCatchesWrongArrows) {
  EXPECT_FALSE(wrong_with({"core/pose2.hpp", 1, "graph/map.hpp"}).empty());
  EXPECT_FALSE(wrong_with({"graph/mapping/mapper.cpp", 1, "io/log/drive_reader.hpp"}).empty());
  EXPECT_FALSE(wrong_with({"io/log/drive_reader.cpp", 1, "apps/account.hpp"}).empty());
  EXPECT_FALSE(wrong_with({"apps/simulator/lidar.cpp", 1, "core/odometry.hpp"}).empty());
  EXPECT_FALSE(wrong_with({"apps/simulator/lidar.cpp", 1, "scanmatch/icp.hpp"}).empty());
  EXPECT_FALSE(wrong_with({"core/pose2.cpp", 1, "../graph/map.hpp"}).empty());
  EXPECT_TRUE(wrong_with({"apps/build.cpp", 1, "core/pose2.hpp"}).empty());
  EXPECT_TRUE(wrong_with({"apps/simulator/lidar.cpp", 1, "core/drive.hpp"}).empty());
  EXPECT_TRUE(wrong_with({"graph/mapping/mapper.cpp", 1, "vector"}).empty());
}

TEST(Architecture, TheTopLevelHoldsTheRoomsAndNothingElse) {
  const std::set<std::string> allowed = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "LICENSE", "core", "scanmatch",
                                         "graph",          "io",        "apps",          "tests",   "data"};
  for (const fs::directory_entry& entry : fs::directory_iterator(fs::path(WAINSCOT_CHECKOUT))) {
    const std::string name = entry.path().filename().string();
    EXPECT_TRUE(allowed.count(name) > 0 || name.starts_with(".") || name.starts_with("build")) << name;
  }
}

}  // namespace
