// The house's one rule: arrows of dependency point one way, apps -> io -> graph -> scanmatch -> core, and inside of
// graph/ and io/ from room to room as listed here. Read from the #include lines of every source in the checkout. And
// what readers rely on: every source has a test of its name, and the files that comments and documents name are there.

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <optional>
#include <regex>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

namespace {

namespace fs = std::filesystem;

/// Lowest first: a room may include itself and what stands before it.
constexpr std::array<std::string_view, 5> kRooms = {"core", "scanmatch", "graph", "io", "apps"};

/// The rooms inside of graph/ and of io/, lowest first, in the same manner; "" is what lies in the folder itself.
constexpr std::array<std::string_view, 14> kGraphRooms = {"",      "motion", "track",     "compare", "markers",
                                                          "close", "adjust", "mapping",   "measure", "known",
                                                          "live",  "extend", "calibrate", "check"};
constexpr std::array<std::string_view, 12> kIoRooms = {"",     "files", "robot",   "log",      "convert", "grid",
                                                       "draw", "rooms", "results", "overview", "page",    "map"};

/// The simulator stands beside the rooms: it may use plain values of core, and nothing that the mapper computes with,
/// since an error made in both would cancel. The geometry of SE(2), interpolation, odometry and drawing are such; the
/// nearest name only words a message.
const std::set<std::string> kPlainValues = {"core/drive.hpp", "core/errors.hpp", "core/nearest_name.hpp",
                                            "core/pose2.hpp", "core/robot.hpp"};

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

/// Of a path such as "graph/close/place.hpp": "close"; of "graph/map.hpp": "".
std::string_view inner_room_name(std::string_view path) {
  const std::size_t first = path.find('/');
  const std::size_t second = path.find('/', first + 1);
  return second == std::string_view::npos ? std::string_view{} : path.substr(first + 1, second - first - 1);
}

/// Position of a path's inner room among the rooms of its room; -1: not listed.
int inner_room_of(std::string_view path, std::span<const std::string_view> rooms) {
  const auto found = std::find(rooms.begin(), rooms.end(), inner_room_name(path));
  return found == rooms.end() ? -1 : static_cast<int>(found - rooms.begin());
}

/// The rooms inside of the room that a path lies in; empty: it has none, or none that are in order.
std::span<const std::string_view> inner_rooms(std::string_view path) {
  if (path.starts_with("graph/")) return kGraphRooms;
  if (path.starts_with("io/")) return kIoRooms;
  return {};
}

/// What is wrong with an include of a file in a room; empty: nothing.
std::string wrong_with(const Include& include) {
  const std::string place = include.file + ":" + std::to_string(include.line) + " includes " + include.target;
  const int to = room_of(include.target);
  if (room_of(include.file) < to) {
    return place + ": the arrow points the wrong way";
  }
  const std::span<const std::string_view> inner = inner_rooms(include.file);
  if (!inner.empty() && room_of(include.file) == to &&
      inner_room_of(include.file, inner) < inner_room_of(include.target, inner)) {
    return place + ": the arrow points the wrong way between the rooms inside";
  }
  if (!inner.empty() && inner_room_of(include.file, inner) < 0) {
    return include.file + ": lies in a folder that tests/architecture_test.cpp does not list";
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
  EXPECT_FALSE(wrong_with({"graph/map.hpp", 1, "graph/close/place.hpp"}).empty());
  EXPECT_FALSE(wrong_with({"graph/close/place.cpp", 1, "graph/adjust/scan_poses.hpp"}).empty());
  EXPECT_FALSE(wrong_with({"graph/attic/place.cpp", 1, "vector"}).empty());
  EXPECT_FALSE(wrong_with({"io/log/drive_reader.cpp", 1, "io/page/page_frame.hpp"}).empty());
  EXPECT_TRUE(wrong_with({"graph/adjust/scan_poses.cpp", 1, "graph/track/keyframes.hpp"}).empty());
  EXPECT_TRUE(wrong_with({"graph/close/place.cpp", 1, "graph/pose_graph.hpp"}).empty());
  EXPECT_TRUE(wrong_with({"apps/build.cpp", 1, "core/pose2.hpp"}).empty());
  EXPECT_TRUE(wrong_with({"apps/simulator/lidar.cpp", 1, "core/drive.hpp"}).empty());
  EXPECT_TRUE(wrong_with({"graph/mapping/mapper.cpp", 1, "vector"}).empty());
}

/// Every room that is listed is there: a list that is out of date would check nothing.
TEST(Architecture, TheRoomsInsideAreThere) {
  const fs::path checkout = WAINSCOT_CHECKOUT;
  for (const std::string_view room : kGraphRooms) EXPECT_TRUE(fs::is_directory(checkout / "graph" / room)) << room;
  for (const std::string_view room : kIoRooms) EXPECT_TRUE(fs::is_directory(checkout / "io" / room)) << room;
}

TEST(Architecture, TheTopLevelHoldsTheRoomsAndNothingElse) {
  const std::set<std::string> allowed = {"CMakeLists.txt", "README.md", "DEVELOPERS.md", "LICENSE", "core", "scanmatch",
                                         "graph",          "io",        "apps",          "tests",   "data"};
  for (const fs::directory_entry& entry : fs::directory_iterator(fs::path(WAINSCOT_CHECKOUT))) {
    const std::string name = entry.path().filename().string();
    EXPECT_TRUE(allowed.count(name) > 0 || name.starts_with(".") || name.starts_with("build")) << name;
  }
}

/// Sources without a test of the same name, each with the reason.
const std::map<std::string, std::string> kUntested = {
    {"apps/examples/map_a_drive.cpp", "tests/apps/library/library_check.py builds and runs it in a tree of its own"},
    {"apps/examples/nearest_wall.cpp", "likewise"},
    {"apps/examples/where.cpp", "likewise"},
    {"apps/main.cpp", "it is the program itself, which tests/apps/command_line_test.cpp and its neighbours run"}};

/// Where the test of a source belongs: of "io/log/drive_reader.cpp", "tests/io/log/drive_reader_test.cpp".
std::string test_of(const std::string& source) { return "tests/" + source.substr(0, source.rfind('.')) + "_test.cpp"; }

TEST(Architecture, EverySourceHasATestOfItsName) {
  const fs::path checkout = WAINSCOT_CHECKOUT;
  std::size_t tested = 0;
  for (const std::string_view room : kRooms) {
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(checkout / room)) {
      if (entry.path().extension() != ".cpp") continue;
      const std::string source = fs::relative(entry.path(), checkout).generic_string();
      const std::string test = test_of(source);
      if (kUntested.count(source) > 0) {
        EXPECT_FALSE(fs::exists(checkout / test)) << source << " is listed as one without a test, and has one";
      } else {
        EXPECT_TRUE(fs::exists(checkout / test)) << source << " needs the test " << test;
        ++tested;
      }
    }
  }
  for (const auto& [source, reason] : kUntested) EXPECT_TRUE(fs::exists(checkout / source)) << source;
  EXPECT_GT(tested, 100U) << "the sources were not found";
}

/// What may be left out at the end of a file's name.
constexpr std::array<std::string_view, 3> kEndings = {"", ".hpp", ".cpp"};

enum class Text { source, script, document };

/// What people read in a line: all of a document's, the comment of a source or a script.
std::string words_of(const std::string& line, Text text) {
  if (text == Text::document) return line;
  const std::size_t begin = line.find(text == Text::source ? "//" : "#");
  return begin == std::string::npos ? std::string() : line.substr(begin);
}

/// The files of this checkout that words name: those with a path from the top, the ending often left out, and bare
/// names with one of our endings.
std::vector<std::string> named_files(const std::string& words, Text text) {
  static const std::regex path(R"re((?:^|[^\w./-])((?:core|scanmatch|graph|io|apps|tests|data)/[\w./-]*\w))re");
  static const std::regex bare(R"re((?:^|[^\w./*-])([A-Za-z]\w*\.(?:hpp|cpp|py|sh|js|md))(?!\w))re");
  std::vector<std::string> names;
  const auto add_all = [&](const std::regex& pattern) {
    for (std::sregex_iterator at(words.begin(), words.end(), pattern), end; at != end; ++at) {
      names.push_back(at->str(1));
    }
  };
  add_all(path);
  if (text != Text::script) add_all(bare);  // scripts have names of their own, of what they make
  return names;
}

/// The path of each file below a folder of the checkout, as it is named, and its name alone.
std::set<std::string> files_below(const fs::path& checkout, const fs::path& folder) {
  std::set<std::string> files;
  for (const fs::directory_entry& entry : fs::recursive_directory_iterator(checkout / folder)) {
    files.insert(fs::relative(entry.path(), checkout).generic_string());
    if (entry.is_regular_file()) files.insert(entry.path().filename().string());
  }
  return files;
}

bool is_there(const std::string& name, const std::set<std::string>& files) {
  return std::any_of(kEndings.begin(), kEndings.end(),
                     [&](std::string_view ending) { return files.count(name + std::string(ending)) > 0; });
}

/// How the lines of a file are read; nullopt: not at all.
std::optional<Text> text_of(const fs::path& file) {
  const std::string ending = file.extension().string();
  if (ending == ".hpp" || ending == ".cpp" || ending == ".js") return Text::source;
  if (ending == ".md") return Text::document;
  if (ending == ".sh" || ending == ".py" || ending == ".cmake" || file.filename() == "CMakeLists.txt") {
    return Text::script;
  }
  return std::nullopt;
}

TEST(Architecture, FilesThatCommentsAndDocumentsNameAreThere) {
  const fs::path checkout = WAINSCOT_CHECKOUT;
  std::set<std::string> files = {"README.md", "DEVELOPERS.md", "CMakeLists.txt"};
  std::set<std::string> to_read = files;
  for (const char* folder : {"core", "scanmatch", "graph", "io", "apps", "tests", "data"}) {
    files.merge(files_below(checkout, folder));
  }
  std::copy_if(files.begin(), files.end(), std::inserter(to_read, to_read.end()),
               [&](const std::string& name) { return fs::is_regular_file(checkout / name); });
  std::size_t seen = 0;
  for (const std::string& name : to_read) {
    const std::optional<Text> text = text_of(name);
    if (!text) continue;
    std::ifstream in(checkout / name);
    std::string line;
    for (int number = 1; std::getline(in, line); ++number) {
      for (const std::string& named : named_files(words_of(line, *text), *text)) {
        ++seen;
        EXPECT_TRUE(is_there(named, files)) << name << ":" << number << " names " << named << ", which is not there";
      }
    }
  }
  EXPECT_GT(seen, 100U) << "the names were not found";
}

/// Rooms whose numbers decide what a map is like.
constexpr std::array<std::string_view, 3> kRoomsOfNumbers = {"core", "scanmatch", "graph"};

/// How many words a line's comment has; "likewise" refers to the line above it, and is enough.
std::ptrdiff_t words_of_comment(const std::string& line) {
  static const std::regex word(R"re([A-Za-z0-9][\w.'()/*^-]*)re");
  const std::size_t begin = line.find("//");
  if (begin == std::string::npos) return 0;
  const std::string comment = line.substr(begin);
  const std::ptrdiff_t words = std::distance(std::sregex_iterator(comment.begin(), comment.end(), word), {});
  return words + std::ptrdiff_t{comment.find("likewise") != std::string::npos};
}

/// Fewer than two words say nothing.
bool says_something(const std::string& line) { return words_of_comment(line) >= 2; }

bool is_comment(const std::string& line) {
  const std::size_t begin = line.find("//");
  return begin != std::string::npos && begin == line.find_first_not_of(' ');
}

/// Whether the comment that ends above a line (from 0) says something, all its lines together.
bool is_said_above(const std::vector<std::string>& lines, std::size_t line) {
  std::ptrdiff_t words = 0;
  for (; line > 0 && is_comment(lines[line - 1]); --line) words += words_of_comment(lines[line - 1]);
  return words >= 2;
}

/// Whether the line begins a named constant.
bool names_constant(const std::string& line) {
  static const std::regex pattern(R"re(^\s*(?:(?:static|inline) )*constexpr\b[^=({;]*\bk[A-Z]\w*\s*[={])re");
  return std::regex_search(line, pattern);
}

/// Whether a constant's value holds a literal number, mathematics and other names apart.
bool holds_number(const std::string& statement) {
  static const std::regex pattern(R"re((?:^|[^\w.])\d)re");
  const std::string value = statement.substr(statement.find_first_of("={"));
  return value.find("numbers::pi") == std::string::npos && std::regex_search(value, pattern);
}

/// Lines (from 1) of constants with a number and without a word of why: on a line of theirs, above them, above the
/// block of constants that they stand in, or above the function that the block begins.
std::vector<std::size_t> unexplained_numbers(const std::vector<std::string>& lines) {
  std::vector<std::size_t> result;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (!names_constant(lines[i])) continue;
    std::string statement;
    bool explained = false;
    for (std::size_t j = i; j < lines.size(); ++j) {
      explained = explained || says_something(lines[j]);
      statement += lines[j].substr(0, lines[j].find("//"));
      if (statement.find(';') != std::string::npos) break;
    }
    std::size_t top = i;
    while (top > 0 && names_constant(lines[top - 1])) --top;
    static const std::regex head(R"re(.*[{,])re");  // of a function, perhaps of several lines
    while (top > 0 && !is_comment(lines[top - 1]) && !names_constant(lines[top - 1]) &&
           std::regex_match(lines[top - 1], head)) {
      --top;
    }
    explained = explained || is_said_above(lines, top);
    if (!explained && holds_number(statement)) result.push_back(i + 1);
  }
  return result;
}

/// Lines (from 1) of an options struct's defaults, other than 0, without a word beside or above them. A comment above
/// holds for the defaults that follow it directly.
std::vector<std::size_t> unexplained_defaults(const std::vector<std::string>& lines) {
  static const std::regex begin(R"re(^struct \w*Options\b.*\{.*)re");
  static const std::regex member(R"re(^  [\w:<>]+ \w+ = -?[\d.e-]*[1-9][\d.e-]*;.*)re");
  std::vector<std::size_t> result;
  bool options = false;
  bool explained = false;  // by a comment above
  for (std::size_t i = 0; i < lines.size(); ++i) {
    options = lines[i] != "};" && (options || std::regex_match(lines[i], begin));
    const bool is_default = std::regex_match(lines[i], member);
    if (options && is_default && !explained && !says_something(lines[i])) result.push_back(i + 1);
    explained = is_default ? explained : is_said_above(lines, i + 1);
  }
  return result;
}

std::vector<std::string> lines_of(const fs::path& file) {
  std::ifstream in(file);
  std::vector<std::string> lines;
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  return lines;
}

// Whether the words are a reason only a reader can tell; that there are words, this test.
TEST(Architecture, NumbersSayWhy) {
  const fs::path checkout = WAINSCOT_CHECKOUT;
  std::size_t constants = 0;
  for (const std::string_view room : kRoomsOfNumbers) {
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(checkout / room)) {
      if (text_of(entry.path()) != Text::source) continue;
      const std::vector<std::string> lines = lines_of(entry.path());
      constants += static_cast<std::size_t>(std::count_if(lines.begin(), lines.end(), names_constant));
      std::vector<std::size_t> unexplained = unexplained_numbers(lines);
      const std::vector<std::size_t> defaults = unexplained_defaults(lines);
      unexplained.insert(unexplained.end(), defaults.begin(), defaults.end());
      for (const std::size_t line : unexplained) {
        ADD_FAILURE() << fs::relative(entry.path(), checkout).generic_string() << ":" << line << ": " << lines[line - 1]
                      << " needs a word of why (DEVELOPERS.md, Numbers that were chosen)";
      }
    }
  }
  EXPECT_GT(constants, 300U) << "the constants were not found";
}

TEST(Architecture, TheRuleOfNumbersCatchesThoseWithoutAReason) {
  using Found = std::vector<std::size_t>;
  EXPECT_EQ(unexplained_numbers({"  constexpr double kNearM = 0.1;"}), Found{1});
  EXPECT_EQ(unexplained_numbers({"constexpr double kA = 0.1;  // 10 cm, by hand", "constexpr double kB = 0.2;"}),
            Found{2});
  EXPECT_EQ(unexplained_numbers({"  // ...", "  constexpr double kNearM = 0.1;"}), Found{2});
  EXPECT_EQ(unexplained_numbers({"  constexpr double kNearM = 0.1;  // metres"}), Found{1});
  EXPECT_EQ(unexplained_numbers({"constexpr std::array<double, 2> kTwo = {", "    0.1, 0.2};"}), Found{1});
  EXPECT_EQ(unexplained_numbers({"  // Of another thing.", "  thing();", "  constexpr int kMost = 4;"}), Found{3});
  EXPECT_EQ(unexplained_numbers({"  static constexpr int kMost = 4;", "  inline constexpr int kC{3};"}), (Found{1, 2}));
  EXPECT_TRUE(unexplained_numbers({"  constexpr double kNearM = 0.1;  // a door's leaf is further off"}).empty());
  EXPECT_TRUE(
      unexplained_numbers({"  // Chosen by hand.", "  constexpr int kA = 1;", "  constexpr int kB = 2;"}).empty());
  EXPECT_TRUE(
      unexplained_numbers({"/// As a clock drifts.", "bool far(double m) {", "  constexpr int kA = 1;"}).empty());
  EXPECT_TRUE(unexplained_numbers({"// Less than two ticks,", "constexpr double kStillM = 0.02;"}).empty());
  EXPECT_TRUE(unexplained_numbers({"  constexpr double kHalf = std::numbers::pi / 2.0;"}).empty());
  EXPECT_TRUE(unexplained_numbers({"  constexpr float kUnseen = nan();", "constexpr double kB = kA;"}).empty());
  EXPECT_EQ(unexplained_defaults({"struct AnyOptions {", "  int a = 1;", "  // Of two things.", "  double b = 0.5;",
                                  "  double c = 1e-3;", "  bool d = false;", "  int e = 0;", "  int f = 20;", "};",
                                  "struct Other {", "  int a = 1;"}),
            (Found{2, 8}));
}

TEST(Architecture, TheRuleOfNamesCatchesWrongOnes) {
  using Names = std::vector<std::string>;
  const auto of_source = [](const std::string& line) {
    return named_files(words_of(line, Text::source), Text::source);
  };
  EXPECT_EQ(of_source("int a;  // see graph/close/place and io/FORMATS.md."),
            (Names{"graph/close/place", "io/FORMATS.md"}));
  EXPECT_EQ(of_source("/// `place.hpp` says how"), Names{"place.hpp"});
  EXPECT_EQ(of_source("include(\"graph/absent.hpp\");"), Names());
  EXPECT_EQ(of_source("// build/apps/wainscot makes my-data/plan.yaml"), Names());
  EXPECT_EQ(named_files("cmake -P embed.cmake  # tests/run.sh", Text::document), Names{"tests/run.sh"});
  const std::set<std::string> files = {"graph/close", "graph/close/place.hpp", "place.hpp"};
  EXPECT_TRUE(is_there("graph/close", files));
  EXPECT_TRUE(is_there("graph/close/place", files));
  EXPECT_TRUE(is_there("place.hpp", files));
  EXPECT_FALSE(is_there("graph/place", files));
  EXPECT_FALSE(is_there("places.hpp", files));
}

}  // namespace
