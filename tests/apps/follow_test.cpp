// The command `follow`, run with the real program as a user runs it, while a drive is recorded.

#include "apps/follow.hpp"

#include <algorithm>
#include <csignal>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>
#include <vector>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "io/files/descriptor.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"
#include "tests/apps/page_client.hpp"
#include "tests/apps/running_program.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// Of the page, by what the program says.
int page_port(const RunningProgram& program) {
  EXPECT_TRUE(program.says("to watch.")) << program.said();
  const std::string said = program.said();
  const std::size_t at = said.find("http://");
  return port_of(said.substr(at, said.find("/;", at) - at));
}

/// A socket of another program, which listens.
struct TakenPort {
  TakenPort() {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    EXPECT_EQ(::bind(socket.number(), reinterpret_cast<const sockaddr*>(&address), sizeof(address)), 0);
    EXPECT_EQ(::listen(socket.number(), 1), 0);
    socklen_t size = sizeof(address);
    EXPECT_EQ(::getsockname(socket.number(), reinterpret_cast<sockaddr*>(&address), &size), 0);
    number = ntohs(address.sin_port);
  }
  Descriptor socket{::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)};
  int number = 0;
};

class FollowCommand : public CommandLine {
 protected:
  /// Names and bytes of a map's files.
  std::map<std::string, std::string> files(const std::string& map) const {
    std::map<std::string, std::string> found;
    for (const auto& entry : fs::recursive_directory_iterator(folder_.path() / map)) {
      if (entry.is_regular_file()) found[entry.path().filename().string()] = content(entry.path());
    }
    return found;
  }
  void expect_same_map(const std::string& first, const std::string& second) const {
    const auto expected = files(first);
    EXPECT_GE(expected.size(), 5U);
    const auto found = files(second);
    EXPECT_EQ(found.size(), expected.size());
    for (const auto& [name, bytes] : expected) {
      ASSERT_TRUE(found.contains(name)) << name;
      EXPECT_TRUE(found.at(name) == bytes) << name << " differs";
    }
  }
  /// What stands in the test's folder, the insides of folders left out.
  std::vector<std::string> names() const {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder_.path())) names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
  }
  void append(const std::string& table, const std::string& text) const {
    std::ofstream(drive_ / table, std::ios::app | std::ios::binary) << text;
  }
  /// Writes a table as a robot would, in pieces that end anywhere.
  void record(const std::string& table, const std::string& text) const {
    constexpr std::size_t kPiece = 1'000;
    for (std::size_t at = 0; at < text.size(); at += kPiece) append(table, text.substr(at, kPiece));
  }
  void take_tables_away() const {
    for (const char* table : {"wheels.csv", "scans.csv"}) fs::remove(drive_ / table);
  }

  using Names = std::vector<std::string>;
};

TEST_F(FollowCommand, TheMapIsThatOfBuild) {
  ASSERT_EQ(run("build drive --out built --quiet").status, 0);
  const Outcome outcome = run("follow drive --out followed --until-idle 0.3");
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(outcome.err.rfind("Following drive; open http://127.0.0.1:", 0), 0U) << outcome.err;
  EXPECT_FALSE(has(outcome.err, "Ctrl-C")) << outcome.err;
  EXPECT_TRUE(has(outcome.err, "It took ")) << outcome.err;
  expect_same_map("built", "followed");
  EXPECT_EQ(names(), (Names{"built", "drive", "followed"}));
  EXPECT_EQ(run("follow drive --out followed --until-idle 0.3 --replace --quiet").err, "");
  expect_same_map("built", "followed");
}

TEST_F(FollowCommand, ADriveIsFollowedWhileItIsRecordedUntilCtrlC) {
  ASSERT_EQ(run("build drive --out built --quiet").status, 0);
  const std::string wheel_rows = read("wheels.csv");
  const std::string scan_rows = read("scans.csv");
  take_tables_away();
  RunningProgram program(folder_.path(), "follow drive --out flat");
  const int port = page_port(program);
  EXPECT_TRUE(has(program.said(), "Ctrl-C ends it, and makes the map.")) << program.said();
  Asked events(port, "/events?key=" + key_of(port));
  record("wheels.csv", wheel_rows);
  record("scans.csv", scan_rows);
  ASSERT_TRUE(events.says("\"time_s\":4.1")) << "the last scan, " << events.so_far();
  EXPECT_FALSE(fs::exists(folder_.path() / "flat")) << "there is no map before the end";
  program.signal(SIGINT);
  const Outcome outcome = program.end();
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_TRUE(has(events.whole(), "event: end\ndata: {\"words\":\"The map is in flat: ")) << events.so_far();
  expect_same_map("built", "flat");
  EXPECT_EQ(names(), (Names{"built", "drive", "flat"}));
}

// What is mapped in the end is what lies in the folder then.
TEST_F(FollowCommand, FilesThatAreReplacedAreThoseThatCount) {
  ASSERT_EQ(run("build drive --out built --quiet").status, 0);
  const std::string wheel_rows = read("wheels.csv");
  const std::string scan_rows = read("scans.csv");
  write("scans.csv", scans(10, false));
  RunningProgram program(folder_.path(), "follow drive --out flat");
  ASSERT_TRUE(program.says("to watch."));
  const int port = page_port(program);
  Asked events(port, "/events?key=" + key_of(port));
  for (const auto& [table, rows] : {std::pair("wheels.csv", wheel_rows), std::pair("scans.csv", scan_rows)}) {
    std::ofstream(folder_.path() / "new", std::ios::binary) << rows;
    fs::rename(folder_.path() / "new", drive_ / table);
    ASSERT_TRUE(program.says(std::string(table) + ": begins anew")) << program.said();
  }
  ASSERT_TRUE(events.says("\"time_s\":4.1")) << events.so_far();
  program.signal(SIGTERM);
  EXPECT_EQ(program.end().status, 0) << program.said();
  expect_same_map("built", "flat");
}

// A long drive, so that the second signal finds it at work.
TEST_F(FollowCommand, ASecondCtrlCLeavesNothing) {
  RunningProgram program(folder_.path(), fmt::format("follow '{}/data/demo/drive' --out flat", WAINSCOT_CHECKOUT));
  const int port = page_port(program);
  Asked events(port, "/events?key=" + key_of(port));
  ASSERT_TRUE(events.says("event: here\n"));
  program.signal(SIGINT);
  ASSERT_TRUE(events.says("the map is made from the whole of it")) << events.so_far();
  program.signal(SIGINT);
  const Outcome outcome = program.end();
  EXPECT_EQ(outcome.status, 130) << outcome.err;
  EXPECT_TRUE(outcome.err.ends_with("wainscot: stopped by SIGINT; nothing half-written is left\n")) << outcome.err;
  EXPECT_EQ(names(), Names{"drive"});
}

TEST_F(FollowCommand, NothingRecordedIsNoMap) {
  take_tables_away();
  const Outcome outcome = run("follow drive --out flat --until-idle 0.1 --quiet");
  EXPECT_EQ(outcome.status, 2) << outcome.err;
  EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
  EXPECT_EQ(names(), Names{"drive"});
}

TEST_F(FollowCommand, TwoDoNotMakeTheSameMap) {
  RunningProgram first(folder_.path(), "follow drive --out flat");
  ASSERT_TRUE(first.says("to watch."));
  const Outcome second = run("follow drive --out flat --until-idle 0.1");
  EXPECT_EQ(second.status, 2);
  EXPECT_EQ(second.err,
            "wainscot: flat: another run of wainscot is making it; wait for its end, or choose another name\n");
  EXPECT_EQ(run("follow drive --out another --until-idle 0.1 --quiet").status, 0) << "beside it, another";
  first.signal(SIGINT);
  EXPECT_EQ(first.end().status, 0) << first.said();
  EXPECT_EQ(names(), (Names{"another", "drive", "flat"}));
}

// A map is not lost to a run that was killed, and the next one cleans up.
TEST_F(FollowCommand, AKilledRunIsCleanedUp) {
  {
    RunningProgram killed(folder_.path(), "follow drive --out flat");
    ASSERT_TRUE(killed.says("to watch."));
  }
  EXPECT_EQ(names().size(), 2U) << "its folder is left";
  EXPECT_EQ(run("follow drive --out flat --until-idle 0.1 --quiet").status, 0);
  EXPECT_EQ(names(), (Names{"drive", "flat"}));
}

TEST_F(FollowCommand, RefusesWrongInput) {
  expect_refused("follow", 2, "DRIVE");
  expect_refused("follow drive", 2, "--out");
  expect_refused("follow nowhere --out flat", 2, "is not a folder");
  expect_refused("follow drive --out flat --until-idle 0", 2, "--until-idle");
  expect_refused("follow drive --out flat --port 0", 2, "--port");
  expect_refused("follow drive --out flat --port 65536", 2, "--port");
  expect_refused("follow drive --out nowhere/flat", 2, "nowhere");
  expect_refused("follow drive --out flat --listen 192.0.2.1", 2, "is no address of this computer");
  expect_refused("follow - --out flat", 2, "--columns");
  expect_refused("follow drive --out flat --columns columns.yaml --robot robot.yaml", 2, "are for a stream");
  const TakenPort taken;
  expect_refused(fmt::format("follow drive --out flat --port {}", taken.number), 2, "is taken by another program");
  fs::remove(drive_ / "robot.yaml");
  expect_refused("follow drive --out flat", 2, "robot.yaml: is not there");
}

TEST_F(FollowCommand, RefusesAMapForADriveAndAnOldMapForTheNewOne) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("follow flat --out another", 2, "is the folder of a map");
  expect_refused("follow drive --out flat", 2, "--replace");
}

// Where the drive gives no map, the old one stays.
TEST_F(FollowCommand, AnOldMapIsReplacedByAWholeOneOnly) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const auto before = files("flat");
  take_tables_away();
  EXPECT_EQ(run("follow drive --out flat --replace --until-idle 0.1 --quiet").status, 2);
  EXPECT_EQ(files("flat"), before);
  EXPECT_EQ(names(), (Names{"drive", "flat"}));
}

}  // namespace
}  // namespace wainscot
