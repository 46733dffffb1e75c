#include "io/convert/stream_conversion.hpp"

#include <array>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <functional>
#include <iterator>
#include <memory>
#include <string>
#include <thread>
#include <vector>

#include <unistd.h>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/convert/columns_yaml.hpp"
#include "io/convert/drive_conversion.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

const std::string kStreamColumns =
    "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: blanks}\n"
    "wheels:\n  where: {1: W}\n  time: {column: 2, unit: ms}\n  left: {column: 3}\n  right: {column: 4}\n"
    "scans:\n  where: {1: S}\n  time: {column: 2, unit: ms}\n  ranges: {from: 3, unit: mm}\n"
    "  first_angle: 0 deg\n  angle_step: 120 deg\n";

std::string text_in(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

/// Waits up to a minute, which only a machine that hangs needs.
bool comes_to_be(const std::function<bool()>& holds) {
  for (int i = 0; i < 6000 && !holds(); ++i) std::this_thread::sleep_for(std::chrono::milliseconds(10));
  return holds();
}

/// A robot's messages on their way into tables.
class Stream {
 public:
  explicit Stream(const std::string& columns = kStreamColumns) {
    std::array<int, 2> ends{};
    EXPECT_EQ(::pipe(ends.data()), 0);
    writer_ = Descriptor(ends[1]);
    conversion_ = std::make_unique<StreamConversion>(
        parse_columns_yaml(columns, "columns.yaml"), Descriptor(ends[0]),
        [this](const std::string& file) { return std::make_unique<TableWriter>(folder_.path() / file); });
  }
  void send(const std::string& text) const {
    ASSERT_EQ(::write(writer_.number(), text.data(), text.size()), static_cast<ssize_t>(text.size()));
  }
  void close() { writer_ = Descriptor(); }
  /// All of a stream, to its end.
  void say(const std::string& text) {
    send(text);
    close();
    EXPECT_TRUE(ends());
  }
  bool ends() const {
    return comes_to_be([this] { return conversion_->has_ended(); });
  }
  std::string table(const std::string& name) const { return text_in(folder_.path() / name); }
  bool has(const std::string& name, const std::string& text) const {
    return comes_to_be([&] { return table(name) == text; });
  }
  StreamConversion& conversion() const { return *conversion_; }

 private:
  ReaderFolder folder_;
  Descriptor writer_;
  std::unique_ptr<StreamConversion> conversion_;
};

TEST(StreamConversion, WritesEachRowAsSoonAsItHasCome) {
  Stream stream;
  stream.send("HELLO\nW 0 1 2\nW 100 3");
  EXPECT_TRUE(stream.has("wheels.csv", "time_s,left_ticks,right_ticks\n0,1,2\n"));
  stream.send(" 4\nS 100 1000 0 2500\n");
  EXPECT_TRUE(stream.has("wheels.csv", "time_s,left_ticks,right_ticks\n0,1,2\n0.1,3,4\n"));
  EXPECT_TRUE(stream.has("scans.csv", "time_s,0,120,240\n0.1,1,,2.5\n"));
  EXPECT_FALSE(stream.conversion().has_ended());
  stream.close();
  EXPECT_TRUE(stream.ends());
  EXPECT_TRUE(stream.conversion().result().empty());
}

// The tables are those of the log that a recorder would have kept.
TEST(StreamConversion, GivesTheTablesOfTheLog) {
  std::string log = "HELLO\n";
  for (int i = 0; i < 200; ++i) {
    log += "W " + std::to_string(100 * i) + " " + std::to_string(7 * i) + " " + std::to_string(8 * i) + "\n";
    log += "S " + std::to_string(100 * i + 3) + " 1000 0 250" + std::to_string(i % 10) + "\n";
  }
  const ReaderFolder home;
  fs::create_directory(home.path() / "drive");
  home.write("a.log", log);
  convert_logs(parse_columns_yaml(kStreamColumns, "columns.yaml"), {home.path() / "a.log"}, home.path() / "drive");
  Stream stream;
  for (std::size_t i = 0; i < log.size(); i += 37) stream.send(log.substr(i, 37));
  stream.close();
  ASSERT_TRUE(stream.ends());
  for (const char* name : {"wheels.csv", "scans.csv"}) {
    EXPECT_EQ(stream.table(name), text_in(home.path() / "drive" / name)) << name;
  }
}

TEST(StreamConversion, EndsAtItsWordOrWhenAsked) {
  Stream said;
  said.send("W 0 1 2\nS 0 1 2 3\nend\nW 100 1 2\n");
  EXPECT_TRUE(said.ends());
  EXPECT_EQ(said.table("wheels.csv"), "time_s,left_ticks,right_ticks\n0,1,2\n");
  Stream asked;
  asked.send("W 0 1 2\nS 0 1 2 3\n");
  EXPECT_TRUE(asked.has("wheels.csv", "time_s,left_ticks,right_ticks\n0,1,2\n"));
  asked.conversion().end();
  EXPECT_TRUE(asked.ends());
}

TEST(StreamConversion, LaterScansMayHaveFewerBeams) {
  Stream stream;
  stream.say("W 0 1 2\nS 0 1000 2000 3000\nS 100 1000 2000\nS 200 1 2 3 4\nS 300 1000 2000 3000\n");
  EXPECT_EQ(stream.table("scans.csv"), "time_s,0,120,240\n0,1,2,3\n0.1,1,2,\n0.3,1,2,3\n");
  EXPECT_EQ(stream.conversion().result().size(), 1U);
}

// What was written cannot be taken back: a row behind it in time is left out.
TEST(StreamConversion, ARowThatGoesBackInTimeIsLeftOut) {
  Stream stream;
  stream.say("W 0 1 2\nS 0 1 2 3\nW 200 3 4\nW 100 5 6\nW 300 7 8\n");
  EXPECT_EQ(stream.table("wheels.csv"), "time_s,left_ticks,right_ticks\n0,1,2\n0.2,3,4\n0.3,7,8\n");
}

TEST(StreamConversion, SaysWhatDoesNotFit) {
  Stream nothing;
  nothing.close();
  ASSERT_TRUE(nothing.ends());
  EXPECT_THROW(nothing.conversion().result(), InputError);
  Stream other;
  other.send("A 1 2\nB 3 4\n");
  other.close();
  ASSERT_TRUE(other.ends());
  try {
    other.conversion().result();
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("standard input: none of its 2 lines has"), std::string::npos)
        << error.what();
  }
  std::string two_logs = kStreamColumns;
  two_logs.replace(two_logs.find("  - {"), 4, "  - {name: b.log, lines: blanks}\n  - ");
  EXPECT_THROW(Stream stream(two_logs), InputError);
}

/// A table whose reader has gone ends the stream with an error, and not the program.
TEST(StreamConversion, AReaderThatGoesAwayEndsIt) {
  std::array<int, 2> in{};
  ASSERT_EQ(::pipe(in.data()), 0);
  const Descriptor writer(in[1]);
  std::vector<Descriptor> readers;
  StreamConversion conversion(parse_columns_yaml(kStreamColumns, "columns.yaml"), Descriptor(in[0]),
                              [&readers](const std::string& /*file*/) {
                                std::array<int, 2> ends{};
                                EXPECT_EQ(::pipe(ends.data()), 0);
                                readers.emplace_back(ends[0]);
                                return std::make_unique<TableWriter>(Descriptor(ends[1]));
                              });
  readers.clear();
  const std::string text = "W 0 1 2\nS 0 1 2 3\n";
  ASSERT_EQ(::write(writer.number(), text.data(), text.size()), static_cast<ssize_t>(text.size()));
  ASSERT_TRUE(comes_to_be([&] { return conversion.has_ended(); }));
  EXPECT_THROW(conversion.result(), std::runtime_error);
}

}  // namespace
}  // namespace wainscot
