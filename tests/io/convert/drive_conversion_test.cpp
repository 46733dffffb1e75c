#include "io/convert/drive_conversion.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <regex>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/convert/columns_yaml.hpp"
#include "tests/io/convert/gzip_text.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

std::string whole_text_of(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

const std::string kColumns =
    "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: blanks}\n"
    "wheels:\n  where: {1: W}\n  time: {column: 2, unit: ms}\n  left: {column: 3}\n  right: {column: 4}\n"
    "scans:\n  where: {1: S}\n  time: {column: 2, unit: ms}\n  ranges: {from: 3, unit: mm}\n"
    "  first_angle: 0 deg\n  angle_step: 120 deg\n";

/// One row of wheels and one scan each tenth of a second.
std::string sample_text(int rows) {
  std::string text = "HELLO\n";
  for (int i = 0; i < rows; ++i) {
    text += "W " + std::to_string(100 * i) + " " + std::to_string(7 * i) + " " + std::to_string(8 * i) + "\n";
    text += "S " + std::to_string(100 * i + 3) + " 1000 0 250" + std::to_string(i % 10) + "\n";
  }
  return text;
}

struct ConvertedFolder {
  explicit ConvertedFolder(const std::string& log, const std::string& columns = kColumns) {
    fs::create_directory(home.path() / "drive");
    home.write("a.log", log);
    result = convert_logs(parse_columns_yaml(columns, "columns.yaml"), {home.path() / "a.log"}, home.path() / "drive");
  }
  std::string table(const std::string& name) const { return whole_text_of(home.path() / "drive" / name); }
  ReaderFolder home;
  Conversion result;
};

std::string conversion_refusal(const std::string& log, const std::string& columns = kColumns) {
  try {
    const ConvertedFolder converted(log, columns);
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(DriveConversion, OneLogForTwoTables) {
  const ConvertedFolder converted(sample_text(20));
  const Conversion& result = converted.result;
  ASSERT_EQ(result.tables.size(), 2U);
  EXPECT_EQ(result.tables[0].file, "wheels.csv");
  EXPECT_EQ(result.tables[0].rows, 20U);
  EXPECT_DOUBLE_EQ(result.tables[1].last_s, 1.903);
  EXPECT_EQ(result.beams, 3U);
  ASSERT_EQ(result.logs.size(), 1U);
  EXPECT_EQ(result.logs[0].others, (std::map<std::string, std::size_t>{{"HELLO", 1}}));
  EXPECT_TRUE(result.warnings.empty());
  EXPECT_EQ(converted.table("scans.csv").rfind("time_s,0,120,240\n0.003,1,,2.5\n0.103,1,,2.501\n", 0), 0U);
}

TEST(DriveConversion, GzipGivesTheSame) {
  const std::string text = sample_text(3000);
  EXPECT_EQ(ConvertedFolder(text).table("scans.csv"), ConvertedFolder(gzip_text(text)).table("scans.csv"));
}

TEST(DriveConversion, NoiseIsCountedAndTold) {
  std::string text = sample_text(300);
  text.replace(text.find("W 100 7"), 7,
               "W 1\x80"
               "0 7");
  text.replace(text.find("S 2003 1000"), 11, "S 20\x01\x02 100");
  const ConvertedFolder converted(text);
  ASSERT_EQ(converted.result.warnings.size(), 2U);
  EXPECT_NE(converted.result.warnings[0].find("a.log:4: wheels.time (column '2') should be a number, but is '1\\x800'"),
            std::string::npos)
      << converted.result.warnings[0];
  EXPECT_NE(converted.result.warnings[0].find("left out, as 1 of 300 lines for wheels"), std::string::npos);
  EXPECT_EQ(converted.result.tables[1].misfits, 1U);
}

TEST(DriveConversion, ScansOfVariousLengthsAreReadTwice) {
  std::string text = sample_text(40);
  for (int i = 0; i < 40; i += 2) {
    const std::string scan = "S " + std::to_string(100 * i + 3) + " 1000 0 250" + std::to_string(i % 10);
    text.replace(text.find(scan), scan.size(), "S " + std::to_string(100 * i + 3) + " 1000 0");
  }
  const ConvertedFolder converted(text);
  EXPECT_EQ(converted.table("scans.csv").rfind("time_s,0,120,240\n0.003,1,,\n0.103,1,,2.501\n", 0), 0U)
      << converted.table("scans.csv");
}

TEST(DriveConversion, RefusalsSayWhereAndWhatToChange) {
  const auto expect = [](const std::string& refusal, const std::string& part) {
    EXPECT_NE(refusal.find(part), std::string::npos) << refusal;
  };
  const auto with = [](std::string text, const std::string& old_text, const std::string& new_text) {
    return text.replace(text.find(old_text), old_text.size(), new_text);
  };
  const std::string log = sample_text(50);
  expect(conversion_refusal(log, with(kColumns, "{1: W}", "{1: X}")),
         "none of its 101 lines has 1: X; other lines there: W (50), HELLO (1); correct wheels.where in columns.yaml");
  expect(
      conversion_refusal(log, with(kColumns, "right: {column: 4}", "right: {column: 5}")),
      "a.log:2: wheels.right (column '5') is missing in this line; 10 of 10 lines do not fit, so the log is otherwise "
      "than columns.yaml says: correct wheels there");
  expect(conversion_refusal(log, with(kColumns, "column: 2, unit: ms", "column: 2, unit: s, offset: 1000 s")),
         "write offset: 999.997 s into scans.time");
  expect(conversion_refusal(log + "W 0 1 1\nW 0 1 1\nW 0 1 1\nW 0 1 1\n"),
         "a.log:102: wheels.time goes back here or in the line before; so do 4 of 54 rows in all");
  expect(conversion_refusal("W 1 2 3", kColumns), "none of its 0 lines");
}

TEST(DriveConversion, LogsByNameOrByOrder) {
  LogColumns columns;
  columns.files.resize(2);
  columns.files[0].name = "a";
  columns.files[1].name = "b";
  using Paths = std::vector<fs::path>;
  EXPECT_EQ(logs_of_files(columns, {"x/b", "y/a"}), (Paths{"y/a", "x/b"}));
  EXPECT_EQ(logs_of_files(columns, {"d", "c"}), (Paths{"d", "c"}));
  EXPECT_THROW(logs_of_files(columns, {"a", "c"}), InputError);
  EXPECT_THROW(logs_of_files(columns, {"a"}), InputError);
}

/// The worked examples of io/FORMATS.md: what stands in each file that is named before a block of text.
using Example = std::map<std::string, std::string>;

std::vector<Example> worked_examples() {
  const std::string formats = whole_text_of(fs::path(WAINSCOT_CHECKOUT) / "io" / "FORMATS.md");
  const std::size_t begin = formats.find("## columns.yaml:");
  const std::string section = formats.substr(begin, formats.find("\n## ", begin + 1) - begin);
  static const std::regex pattern(R"re((\n- \*)?[^\n]*`([a-z_]+\.[a-z]+)`:\n```[a-z]*\n([^`]*)```)re");
  std::vector<Example> examples;
  for (std::sregex_iterator at(section.begin(), section.end(), pattern), end; at != end; ++at) {
    if ((*at)[1].matched || examples.empty()) examples.emplace_back();
    examples.back()[at->str(2)] = at->str(3);
  }
  return examples;
}

TEST(DriveConversion, TheWorkedExamplesAreRight) {
  const std::vector<Example> examples = worked_examples();
  ASSERT_EQ(examples.size(), 3U);
  const std::set<std::string> tables = {"wheels.csv", "odometry.csv", "gyro.csv", "scans.csv", "returns.csv"};
  std::size_t compared = 0;
  for (const Example& example : examples) {
    const ReaderFolder home;
    fs::create_directory(home.path() / "drive");
    std::vector<fs::path> logs;
    for (const auto& [name, text] : example) {
      if (name == "columns.yaml" || tables.count(name) > 0) continue;
      logs.push_back(home.write(name, text));
    }
    ASSERT_EQ(example.count("columns.yaml"), 1U);
    convert_logs(parse_columns_yaml(example.at("columns.yaml"), "columns.yaml"), logs, home.path() / "drive");
    for (const auto& [name, text] : example) {
      if (tables.count(name) == 0) continue;
      EXPECT_EQ(whole_text_of(home.path() / "drive" / name), text) << name;
      ++compared;
    }
    EXPECT_EQ(static_cast<std::size_t>(std::distance(fs::directory_iterator(home.path() / "drive"), {})),
              example.size() - 1 - logs.size());
  }
  EXPECT_EQ(compared, 7U);
}

/// The first block of a document that is a columns.yaml.
LogColumns first_columns_in(const std::string& document) {
  const std::string text = whole_text_of(fs::path(WAINSCOT_CHECKOUT) / document);
  const std::size_t begin = text.find("```yaml\nwainscot_columns: 1") + 8;
  return parse_columns_yaml(text.substr(begin, text.find("```", begin) - begin), "columns.yaml");
}

TEST(DriveConversion, TheDocumentsListOfKeysIsReadAsItStands) {
  const LogColumns columns = first_columns_in("io/FORMATS.md");
  EXPECT_TRUE(columns.wheels && columns.gyro && columns.scans);
  EXPECT_EQ(columns.scans->no_return, std::vector<double>{65535});
  EXPECT_EQ(first_columns_in("apps/USING.md").wheels->right.sign, -1);
}

}  // namespace
}  // namespace wainscot
