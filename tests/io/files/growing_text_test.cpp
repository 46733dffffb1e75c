#include "io/files/growing_text.hpp"

#include <array>
#include <filesystem>
#include <fstream>
#include <string>
#include <utility>

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/errors.hpp"
#include "io/files/file_reader.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/without_superuser.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;
using News = GrowingText::News;

void append(const fs::path& file, const std::string& text) { std::ofstream(file, std::ios::app) << text; }

/// What reading throws; empty: nothing.
std::string refusal(GrowingText& text) {
  std::string lines;
  try {
    text.read(lines);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

/// One end of a pipe is read, to the other one a test writes.
struct Pipe {
  Pipe() {
    std::array<int, 2> ends{};
    if (::pipe(ends.data()) != 0) throw std::runtime_error("no pipe");
    read = Descriptor(ends[0]);
    write = Descriptor(ends[1]);
  }
  void say(const std::string& text) const {
    ASSERT_EQ(::write(write.number(), text.data(), text.size()), static_cast<ssize_t>(text.size()));
  }
  Descriptor read, write;
};

TEST(GrowingText, GivesWholeLinesAsTheyCome) {
  const ReaderFolder folder;
  const fs::path file = folder.path() / "wheels.csv";
  GrowingText text(file);
  std::string lines;
  EXPECT_EQ(text.read(lines), News::none) << "it is not there yet";
  append(file, "");
  EXPECT_EQ(text.read(lines), News::none) << "it is empty";
  append(file, "time_s,left_ti");
  EXPECT_EQ(text.read(lines), News::none);
  append(file, "cks\n1,2\n3,");
  EXPECT_EQ(text.read(lines), News::lines);
  EXPECT_EQ(lines, "time_s,left_ticks\n1,2\n");
  EXPECT_EQ(text.read(lines), News::none);
  append(file, "4\n");
  EXPECT_EQ(text.read(lines), News::lines);
  EXPECT_EQ(lines, "time_s,left_ticks\n1,2\n3,4\n");
  EXPECT_EQ(text.name(), file.string());
}

TEST(GrowingText, AByteOrderMarkIsSkippedAlsoWhereItsBytesComeOneByOne) {
  const ReaderFolder folder;
  const fs::path file = folder.path() / "t.csv";
  GrowingText text(file);
  std::string lines;
  for (const char byte : std::string("\xef\xbb\xbf"
                                     "a,b\n1,2\n")) {
    append(file, std::string(1, byte));
    text.read(lines);
  }
  EXPECT_EQ(lines, "a,b\n1,2\n");
}

TEST(GrowingText, ALongFileComesAMegabyteAtATime) {
  const ReaderFolder folder;
  std::string all;
  while (all.size() < 2'500'000) all += std::to_string(all.size()) + "\n";
  GrowingText text(folder.write("t.csv", all));
  std::string lines;
  std::size_t most = 0;
  int calls = 0;
  for (std::size_t before = 0; text.read(lines) == News::lines; before = lines.size(), ++calls) {
    most = std::max(most, lines.size() - before);
  }
  EXPECT_EQ(lines, all);
  EXPECT_EQ(calls, 3);
  EXPECT_LE(most, (std::size_t{1} << 20) + 100);
}

// A logger that was started again makes the file anew, by another file of the same name or by emptying this one.
TEST(GrowingText, SaysThatTheFileIsAnother) {
  const ReaderFolder folder;
  const fs::path file = folder.write("t.csv", "old\nhalf a li");
  GrowingText text(file);
  std::string lines;
  ASSERT_EQ(text.read(lines), News::lines);
  fs::rename(folder.write("new", "first\n"), file);
  lines.clear();
  EXPECT_EQ(text.read(lines), News::replaced);
  EXPECT_EQ(lines, "") << "what comes of the new file comes with the next call";
  EXPECT_EQ(text.read(lines), News::lines);
  EXPECT_EQ(lines, "first\n") << "nothing of the old file's last line";
  fs::resize_file(file, 0);
  EXPECT_EQ(text.read(lines), News::replaced);
  append(file, "again\n");
  lines.clear();
  EXPECT_EQ(text.read(lines), News::lines);
  EXPECT_EQ(lines, "again\n");
}

TEST(GrowingText, AFileThatWasRemovedMayStillGrow) {
  const ReaderFolder folder;
  const fs::path file = folder.path() / "t.csv";
  std::ofstream recorder(file);
  recorder << "one\n" << std::flush;
  GrowingText text(file);
  std::string lines;
  ASSERT_EQ(text.read(lines), News::lines);
  fs::remove(file);
  EXPECT_EQ(text.read(lines), News::none);
  recorder << "two\n" << std::flush;
  EXPECT_EQ(text.read(lines), News::lines);
  EXPECT_EQ(lines, "one\ntwo\n");
}

TEST(GrowingText, WhatIsNoTextIsRefused) {
  const ReaderFolder folder;
  GrowingText packed(folder.write("t.csv", "\x1f\x8b\x08 and so on\n"));
  EXPECT_NE(refusal(packed).find("gzip"), std::string::npos);
  GrowingText wide(folder.write("w.csv", std::string("t\0i\0m\0e\0\n\0", 10)));
  EXPECT_NE(refusal(wide).find("UTF-16"), std::string::npos);
  GrowingText unfinished(folder.write("b.csv", std::string("\x1f\x8b\x08", 3)));
  EXPECT_NE(refusal(unfinished).find("gzip"), std::string::npos) << "before its first line end";
}

TEST(GrowingText, WhatIsNoPlainFileIsRefused) {
  const ReaderFolder folder;
  GrowingText folder_itself(folder.path());
  EXPECT_NE(refusal(folder_itself).find("not a plain file"), std::string::npos);
  ASSERT_EQ(::mkfifo((folder.path() / "fifo").c_str(), 0600), 0);
  GrowingText fifo(folder.path() / "fifo");
  EXPECT_NE(refusal(fifo).find("not a plain file"), std::string::npos) << "nor is it waited for";
  const fs::path secret = folder.write("secret.csv", "a\n");
  fs::permissions(secret, fs::perms::none);
  GrowingText unreadable(secret);
  const std::string said = without_superuser([&] { return refusal(unreadable); });
  EXPECT_NE(said.find("cannot be opened"), std::string::npos) << said;
}

TEST(GrowingText, ALineWithoutEndIsRefusedBeforeItFillsTheMemory) {
  const ReaderFolder folder;
  const fs::path file = folder.write("t.csv", "a\n" + std::string(kLongestLine + 2, 'x'));
  GrowingText text(file);
  std::string lines;
  std::string said;
  for (int call = 0; call < 10 && said.empty(); ++call) said = refusal(text);
  EXPECT_NE(said.find("longer than 4 MB"), std::string::npos) << said;
}

TEST(GrowingText, APipeIsReadWithoutWaiting) {
  Pipe pipe;
  GrowingText text(std::move(pipe.read));
  EXPECT_EQ(text.name(), "standard input");
  std::string lines;
  EXPECT_EQ(text.read(lines), News::none) << "nobody has written yet, and the call came back";
  pipe.say("one\ntw");
  EXPECT_EQ(text.read(lines), News::lines);
  EXPECT_EQ(text.read(lines), News::none);
  pipe.say("o\n");
  pipe.write = Descriptor();
  EXPECT_EQ(text.read(lines), News::lines);
  EXPECT_EQ(lines, "one\ntwo\n");
  EXPECT_EQ(text.read(lines), News::none);
}

}  // namespace
}  // namespace wainscot
