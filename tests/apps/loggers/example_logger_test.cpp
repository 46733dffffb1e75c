#include "apps/loggers/example_logger.hpp"

#include <chrono>
#include <csignal>
#include <regex>
#include <set>

#include <fcntl.h>
#include <spawn.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/log/drive_reader.hpp"
#include "io/robot/robot_yaml.hpp"
#include "io/robot/robot_yaml_writer.hpp"
#include "tests/apps/comes_true.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

using Clock = std::chrono::steady_clock;

std::size_t occurrences(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1)) ++count;
  return count;
}

/// A serial line with a plug: the far end is here, the near end is a name in a folder.
class SerialLine {
 public:
  explicit SerialLine(std::filesystem::path name) : name_(std::move(name)) {}
  ~SerialLine() { pull(); }
  SerialLine(const SerialLine&) = delete;
  SerialLine& operator=(const SerialLine&) = delete;

  void plug_in() {
    far_end_ = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    ASSERT_GE(far_end_, 0);
    ASSERT_EQ(grantpt(far_end_), 0);
    ASSERT_EQ(unlockpt(far_end_), 0);
    std::filesystem::create_symlink(ptsname(far_end_), name_);
  }
  void pull() {
    if (far_end_ < 0) return;
    std::filesystem::remove(name_);
    close(far_end_);
    far_end_ = -1;
  }
  void send(std::string_view bytes) const {
    ASSERT_TRUE(comes_true([&] {
      const ssize_t sent = write(far_end_, bytes.data(), bytes.size());
      if (sent > 0) bytes.remove_prefix(static_cast<std::size_t>(sent));
      return bytes.empty();
    }));
  }

 private:
  std::filesystem::path name_;
  int far_end_ = -1;
};

/// A turn as a line: the first beam at `first_mm`, each further one 1 mm longer; the sixth has no return.
std::string turn_line(int first_mm) {
  std::string line = "S";
  for (int beam = 0; beam < 360; ++beam) line += fmt::format(" {}", beam == 5 ? 0 : first_mm + beam);
  return line + "\n";
}

/// One of the programs at work in a folder of its own, on the serial line "port".
class ExampleLogger : public testing::TestWithParam<const char*> {
 protected:
  void SetUp() override {
    const std::string language = GetParam();
    if (language == "python") {
      if (std::system("python3 -c '' 2>/dev/null") != 0) GTEST_SKIP() << "python3 is not there";
      folder_.write("logger.py", std::string(example_logger(language)));
      command_ = "python3 logger.py";
    } else {
      const std::string source = folder_.write("logger.c", std::string(example_logger(language))).string();
      const std::string program = (folder_.path() / "logger").string();
      ASSERT_EQ(std::system(fmt::format("cc -std=c99 -Wall -Wextra -Werror -o {} {}", program, source).c_str()), 0);
      command_ = "./logger";
    }
  }
  void TearDown() override {
    if (process_ <= 0) return;
    kill(process_, SIGKILL);
    waitpid(process_, nullptr, 0);
  }

  void start() {
    folder_.remove("said");
    const std::string line = fmt::format("cd '{}' && exec {} drive port 2>said", folder_.path().string(), command_);
    std::string shell = "sh";
    std::string option = "-c";
    std::string words = line;
    char* arguments[] = {shell.data(), option.data(), words.data(), nullptr};
    ASSERT_EQ(posix_spawn(&process_, "/bin/sh", nullptr, nullptr, arguments, environ), 0);
    started_ = Clock::now();
  }
  /// Sends the signal; the program has to end with status 0. The share of the time since its start that it used a
  /// processor.
  double end_with(int signal_number) {
    kill(process_, signal_number);
    int status = -1;
    rusage used{};
    EXPECT_TRUE(comes_true([&] { return wait4(process_, &status, WNOHANG, &used) == process_; })) << said();
    process_ = 0;
    EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0) << status << said();
    const auto seconds = [](const timeval& time) {
      return static_cast<double>(time.tv_sec) + 1e-6 * static_cast<double>(time.tv_usec);
    };
    return (seconds(used.ru_utime) + seconds(used.ru_stime)) /
           std::chrono::duration<double>(Clock::now() - started_).count();
  }

  std::string said() const { return content(folder_.path() / "said"); }
  bool says(const std::string& part, std::size_t times = 1) const {
    return comes_true([&] { return occurrences(said(), part) >= times; });
  }
  std::string file(const std::string& name) const { return content(folder_.path() / name); }

  /// `count` lines of counts 20 ms apart, both wheels one count further each time.
  void drive_on(int count) {
    for (int i = 0; i < count; ++i) {
      ++ticks_;
      line_.send(fmt::format("W {} {}\r\n", ticks_, ticks_ - 5000));
      sleep_ms(20);
    }
  }

  ReaderFolder folder_;
  SerialLine line_{folder_.path() / "port"};
  pid_t process_ = 0;
  std::string command_;
  Clock::time_point started_;
  int ticks_ = 0;
};

/// The starter robot.yaml with every key of it in use.
std::string all_keys_set(const std::string& starter) {
  return std::regex_replace(starter, std::regex("\n  #(\\w+:)"), "\n  $1");
}

std::vector<double> times_of(const std::string& table) {
  std::vector<double> times;
  std::istringstream rows(table);
  std::string row;
  std::getline(rows, row);
  while (std::getline(rows, row)) times.push_back(std::stod(row));
  return times;
}

TEST_P(ExampleLogger, RecordsThroughGarbageAndAPulledPlug) {
  std::filesystem::create_directory(folder_.path() / "drive");
  folder_.write("drive/wheels.csv", "an earlier drive");
  line_.plug_in();
  start();
  ASSERT_TRUE(says("port: open")) << said();
  drive_on(5);
  // Ten lines that are none.
  line_.send(std::string("\xff\0rubbish\n", 10) +
             "\nW 1\nW 1 2 3\nW 1 x\nW 1 2.5\nW 99999999999999999999 1\nS 1 2 3\n");
  line_.send(std::regex_replace(turn_line(1000), std::regex(" 1100"), " -1") + std::string(8000, 'x') + "\n");
  for (const int first_mm : {1000, 1100, 1200}) {
    line_.send(turn_line(first_mm));
    drive_on(5);
  }
  // A line in two pieces counts from its first byte on.
  line_.send("W 2");
  sleep_ms(600);
  line_.send("1 -4979\nW 22 -4978\n");
  ticks_ = 22;
  // All of it is in the files while the drive goes on, without filling any buffer.
  ASSERT_TRUE(comes_true([&] { return has(file("drive-2/wheels.csv"), "22,-4978\n"); })) << said();
  const std::vector<double> times = times_of(file("drive-2/wheels.csv"));
  ASSERT_EQ(times.size(), 22U);
  EXPECT_GT(times[21] - times[20], 0.3);

  line_.send("W 23 -49");  // what the plug cuts is not joined with what comes after
  sleep_ms(600);
  line_.pull();
  ASSERT_TRUE(says("the plug was pulled; trying again")) << said();
  sleep_ms(1500);
  line_.plug_in();
  ASSERT_TRUE(says("port: open", 2)) << said();
  EXPECT_EQ(occurrences(said(), "trying again"), 1U) << said();
  line_.send("60\n");
  drive_on(5);
  line_.send(turn_line(1300));
  drive_on(5);
  line_.send("W 999 9");
  EXPECT_LT(end_with(SIGINT), 0.3) << "it does not sleep";
  EXPECT_TRUE(says("drive-2: 32 rows of counts, 4 scans, 12 lines skipped")) << said();

  EXPECT_EQ(file("drive/wheels.csv"), "an earlier drive");
  EXPECT_EQ(file("drive-2/wheels.csv").back(), '\n');
  EXPECT_EQ(file("drive-2/scans.csv").back(), '\n');
  folder_.write("drive-2/robot.yaml", all_keys_set(file("drive-2/robot.yaml")));
  const Drive drive = read_drive(folder_.path() / "drive-2");
  EXPECT_EQ(drive.wheels.back().left_ticks, 32);
  EXPECT_EQ(drive.wheels.back().right_ticks, -4968);
  ASSERT_EQ(drive.scans.size(), 4U);
  EXPECT_EQ(drive.scans[2].returns.size(), 359U);
  EXPECT_FLOAT_EQ(drive.scans[2].returns[0].angle_rad, 0.0F);
  EXPECT_FLOAT_EQ(drive.scans[2].returns[0].range_m, 1.2F);
  EXPECT_NEAR(drive.scans[2].returns[89].angle_rad, std::acos(-1.0) / 2.0, 1e-6);
  EXPECT_FLOAT_EQ(drive.scans[2].returns[89].range_m, 1.29F);
}

TEST_P(ExampleLogger, WaitsForItsPortAndEndsOnEverySignal) {
  for (const int number : {SIGTERM, SIGHUP}) {
    start();
    ASSERT_TRUE(says("port: No such file or directory; trying again")) << said();
    line_.plug_in();
    ASSERT_TRUE(says("port: open")) << said();
    drive_on(3);
    end_with(number);
    EXPECT_TRUE(has(said(), ": 3 rows of counts, 0 scans, 0 lines skipped")) << said();
    line_.pull();
  }
  EXPECT_EQ(times_of(file("drive/wheels.csv")).size(), 3U);
  EXPECT_EQ(times_of(file("drive-2/wheels.csv")).size(), 3U);
}

/// Every word before a colon outside comments.
std::multiset<std::string> keys_in(const std::string& yaml) {
  const std::string bare = std::regex_replace(yaml, std::regex("#[^\n]*"), "");
  const std::regex key("(\\w+):");
  std::multiset<std::string> keys;
  for (std::sregex_iterator at(bare.begin(), bare.end(), key), end; at != end; ++at) keys.insert(at->str(1));
  return keys;
}

TEST_P(ExampleLogger, StartsWithAllKeysOfRobotYaml) {
  start();
  ASSERT_TRUE(says("trying again")) << said();
  end_with(SIGINT);
  const std::string starter = file("drive/robot.yaml");
  const std::string formats = content(WAINSCOT_CHECKOUT "/io/FORMATS.md");
  const std::size_t begin = formats.find("```yaml\nwainscot_robot: 1");
  ASSERT_NE(begin, std::string::npos);
  const std::string documented = formats.substr(begin + 8, formats.find("```\n", begin + 8) - begin - 8);
  EXPECT_EQ(keys_in(all_keys_set(starter)), keys_in(documented));
  EXPECT_GT(keys_in(documented).size(), 30U);

  // What is shown is what counts where nothing is set, but for the wheels and the time of a turn.
  const Robot untouched = parse_robot_yaml(starter, "starter", WheelConstants::optional);
  EXPECT_FALSE(untouched.drive);
  Robot shown = parse_robot_yaml(all_keys_set(starter), "starter", WheelConstants::needed);
  ASSERT_TRUE(shown.drive && shown.lidar.sweep_s);
  EXPECT_EQ(shown.drive->track_width_by_surface_m.size(), 2U);
  shown.drive.reset();
  shown.lidar.sweep_s.reset();
  EXPECT_EQ(robot_yaml_text(shown), robot_yaml_text(untouched));
}

INSTANTIATE_TEST_SUITE_P(Each, ExampleLogger, testing::Values("python", "c"),
                         [](const auto& language) { return std::string(language.param); });

TEST(ExampleLoggerText, IsAWholeProgramWithTheCautions) {
  for (const char* name : {"python", "c", "arduino"}) {
    const std::string text(example_logger(name));
    EXPECT_FALSE(has(text, "@")) << name << ": something was not put in";
    EXPECT_EQ(text.back(), '\n') << name;
    for (const char* caution : {"CAUTION", "lifted", "stop switch", "stall", "60825-1", "battery", "local codes"}) {
      EXPECT_TRUE(has(text, caution)) << name << " does not speak of: " << caution;
    }
  }
}

TEST(ExampleLoggerText, NamesTheLanguagesThatItKnows) {
  try {
    example_logger("pyth\non");
    FAIL();
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(), "there is no example of a logger in 'pyth\\x0aon'; write python, c or arduino");
  }
}

}  // namespace
}  // namespace wainscot
