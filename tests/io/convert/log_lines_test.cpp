#include "io/convert/log_lines.hpp"

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/convert/gzip_text.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

struct ReadLog {
  std::vector<std::string> lines;
  std::vector<std::string> warnings;
  std::size_t bytes = 0;
};

ReadLog read_whole(const std::filesystem::path& path) {
  ReadLog log;
  LogLines lines(path, log.warnings, [&log](std::size_t bytes) { log.bytes += bytes; });
  std::string_view line;
  while (lines.next(line)) {
    log.lines.emplace_back(line);
    EXPECT_EQ(lines.line_number(), log.lines.size());
  }
  EXPECT_FALSE(lines.next(line));
  return log;
}

void expect_log_refused(const std::filesystem::path& path, const std::string& part) {
  try {
    read_whole(path);
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find(part), std::string::npos) << error.what();
  }
}

std::string many_lines() {
  std::string text;
  for (int i = 0; i < 200'000; ++i) text += "W " + std::to_string(i) + "\n";
  return text;
}

TEST(LogLines, PlainLinesAndTheirEnds) {
  const ReaderFolder folder;
  const ReadLog log = read_whole(folder.write("a.log", "\xef\xbb\xbfone\r\n\ntwo\rthree\n"));
  EXPECT_EQ(log.lines, (std::vector<std::string>{"one", "", "two\rthree"}));
  EXPECT_TRUE(log.warnings.empty());
}

TEST(LogLines, AnUnfinishedLastLineIsLeftOut) {
  const ReaderFolder folder;
  const ReadLog log = read_whole(folder.write("a.log", "one\ntw"));
  EXPECT_EQ(log.lines, std::vector<std::string>{"one"});
  ASSERT_EQ(log.warnings.size(), 1U);
  EXPECT_NE(log.warnings[0].find("a.log:2: the last line has no line end"), std::string::npos) << log.warnings[0];
}

TEST(LogLines, GzipUnderAnyName) {
  const ReaderFolder folder;
  const std::string text = many_lines();
  const std::string zipped = gzip_text(text);
  const ReadLog plain = read_whole(folder.write("a.log", text));
  const ReadLog packed = read_whole(folder.write("b.log", zipped));
  const ReadLog two = read_whole(folder.write("c.log", zipped + gzip_text("end\n")));
  EXPECT_EQ(plain.lines.size(), 200'000U);
  EXPECT_EQ(plain.lines, packed.lines);
  EXPECT_EQ(plain.bytes, text.size());
  EXPECT_EQ(packed.bytes, zipped.size());
  EXPECT_EQ(two.lines.size(), 200'001U);
}

TEST(LogLines, CutGzipGivesItsWholeLines) {
  const ReaderFolder folder;
  const std::string zipped = gzip_text(many_lines());
  const ReadLog log = read_whole(folder.write("a.log.gz", zipped.substr(0, zipped.size() / 2)));
  EXPECT_GT(log.lines.size(), 10'000U);
  EXPECT_LT(log.lines.size(), 200'000U);
  EXPECT_EQ(log.lines.back(), "W " + std::to_string(log.lines.size() - 1));
  ASSERT_EQ(log.warnings.size(), 1U);
  EXPECT_NE(log.warnings[0].find("gzip data end early"), std::string::npos) << log.warnings[0];
}

TEST(LogLines, DamagedGzipIsRefused) {
  const ReaderFolder folder;
  std::string zipped = gzip_text(many_lines());
  for (std::size_t i = zipped.size() / 2; i < zipped.size() / 2 + 100; ++i) zipped[i] = '\xff';
  expect_log_refused(folder.write("a.log.gz", zipped), "gzip data are damaged");
}

// Else a log that grows as fast as it is read has no end.
TEST(LogLines, WhatIsWrittenMeanwhileIsNotRead) {
  const ReaderFolder folder;
  const std::filesystem::path path = folder.write("a.log", "one\ntwo\nth");
  std::vector<std::string> warnings;
  LogLines lines(path, warnings);
  std::string_view line;
  EXPECT_TRUE(lines.next(line));
  std::ofstream(path, std::ios::app) << "ree\nfour\n";
  EXPECT_TRUE(lines.next(line));
  EXPECT_EQ(line, "two");
  EXPECT_FALSE(lines.next(line));
  EXPECT_EQ(warnings.size(), 1U);
}

TEST(LogLines, WhatIsNoLogIsRefused) {
  const ReaderFolder folder;
  expect_log_refused(folder.path() / "absent", "cannot be opened");
  expect_log_refused(folder.path(), "is a folder; give the logs in it");
  expect_log_refused(folder.write("a", ""), "is empty");
  expect_log_refused(folder.write("b", "PK\x03\x04 and more"), "ZIP");
  expect_log_refused(folder.write("c", std::string(5'000'000, 'x')), "c:1: the line is longer than 4 MB");
  expect_log_refused(folder.write("d", gzip_text(std::string(5'000'000, 'x'))), "d:1: the line is longer than 4 MB");
  expect_log_refused(folder.write("e", "a\r" + std::string(5'000'000, 'x')), "lone CR");
  expect_log_refused(folder.write("g", std::string(5000, '\x01') + "\n"), "g: is a binary file");
  EXPECT_EQ(read_whole(folder.write("f", "\x01\x80 noise\nthen text\n")).lines.size(), 2U);
}

TEST(LogLines, MessagesNameTheLineAndQuoteNothingBehindALink) {
  const ReaderFolder folder;
  const std::filesystem::path path = folder.write("a.log", "one\n");
  std::filesystem::create_symlink(path, folder.path() / "link");
  std::vector<std::string> warnings;
  const LogLines lines(path, warnings);
  const LogLines link(folder.path() / "link", warnings);
  EXPECT_EQ(lines.message("is 'x'; write 1", 7), path.string() + ":7: is 'x'; write 1");
  EXPECT_EQ(link.message("is 'x'; write 1", 7).find("'x'"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
