#include "io/files/file_reader.hpp"

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

struct Line {
  std::string text;
  bool finished;
  bool operator==(const Line&) const = default;
};

std::vector<Line> lines_of(FileReader& file) {
  std::vector<Line> lines;
  std::string_view line;
  while (file.next_line(line)) {
    lines.push_back({std::string(line), file.line_is_finished()});
    EXPECT_EQ(file.line_number(), lines.size());
  }
  return lines;
}

TEST(FileReader, LinesAndTheirEnds) {
  const ReaderFolder folder;
  FileReader file(folder.write("t.txt", "one\r\n\ntwo\rthree\nfour\r"));
  EXPECT_EQ(lines_of(file), (std::vector<Line>{{"one", true}, {"", true}, {"two\rthree", true}, {"four\r", false}}));
}

TEST(FileReader, ChecksumAndBlocksCoverEveryByte) {
  const ReaderFolder folder;
  std::string text = "\xef\xbb\xbf";
  for (int i = 0; i < 100'000; ++i) text += std::to_string(i) + "\n";
  text += "unfinished";
  std::size_t bytes = 0;
  FileReader file(folder.write("t.txt", text), [&](std::size_t read) { bytes += read; });
  EXPECT_EQ(lines_of(file).size(), 100'001u);
  EXPECT_EQ(bytes, text.size());
  EXPECT_EQ(file.checksum(), sha256(text));
}

TEST(FileReader, FailNamesFileAndLine) {
  const ReaderFolder folder;
  const std::filesystem::path path = folder.write("t.txt", "one\ntwo\n");
  FileReader file(path);
  lines_of(file);
  try {
    file.fail("is wrong; correct it");
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_EQ(error.what(), path.string() + ":2: is wrong; correct it");
  }
}

// A line of a file anywhere was quoted, of which a link in somebody else's folder was made.
TEST(FileReader, FailQuotesNothingBehindALink) {
  const ReaderFolder folder;
  folder.write("t.txt", "one\nsecret\n");
  std::filesystem::create_symlink("t.txt", folder.path() / "link");
  FileReader file(folder.path() / "link");
  EXPECT_TRUE(file.is_link());
  EXPECT_EQ(lines_of(file).size(), 2U);
  try {
    file.fail("is 'secret'; correct it");
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_EQ(error.what(), (folder.path() / "link").string() + ":2: " + kFaultBehindLink);
  }
}

// Of a growing table its header and its last rows are read, and messages name the lines of the file.
TEST(FileReader, OfHeaderAndRowsLinesHaveTheirNumbersInTheFile) {
  FileReader file("wheels.csv", "# recorded\ntime_s,left\n", "7,8\n9,10\n", 41);
  std::vector<std::size_t> numbers;
  std::vector<std::string> texts;
  std::string_view line;
  while (file.next_line(line)) {
    numbers.push_back(file.line_number());
    texts.emplace_back(line);
    EXPECT_TRUE(file.line_is_finished());
  }
  EXPECT_EQ(texts, (std::vector<std::string>{"# recorded", "time_s,left", "7,8", "9,10"}));
  EXPECT_EQ(numbers, (std::vector<std::size_t>{1, 2, 41, 42}));
  EXPECT_EQ(file.name(), "wheels.csv");
  EXPECT_FALSE(file.is_link());
  try {
    file.fail("is wrong; correct it");
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_STREQ(error.what(), "wheels.csv:42: is wrong; correct it");
  }
}

TEST(FileReader, WithoutRowsTheHeaderIsAllThereIs) {
  FileReader file("wheels.csv", "time_s\n", "", 2);
  EXPECT_EQ(lines_of(file), (std::vector<Line>{{"time_s", true}}));
}

TEST(FileReader, FilesThatCannotBeOpened) {
  const ReaderFolder folder;
  const auto message = [](const std::filesystem::path& path) -> std::string {
    try {
      FileReader file(path);
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  };
  EXPECT_NE(message(folder.path() / "none.csv").find("No such file"), std::string::npos);
  EXPECT_NE(message(folder.path()).find("not a plain file"), std::string::npos);
  EXPECT_NE(message("/dev/zero").find("not a plain file"), std::string::npos);
}

TEST(FileReader, SmallFilesHaveALimit) {
  const ReaderFolder folder;
  const std::filesystem::path path = folder.write("t.txt", "12345\r\n12345");
  std::string checksum;
  EXPECT_EQ(read_small_file(path, 12, &checksum), "12345\n12345\n");
  EXPECT_EQ(checksum, sha256("12345\r\n12345"));
  EXPECT_THROW(read_small_file(path, 11, nullptr), InputError);
}

}  // namespace
}  // namespace wainscot
