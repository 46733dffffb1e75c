#include "io/convert/columns_yaml.hpp"

#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

const std::string kHead = "wainscot_columns: 1\nfiles:\n  - {name: a.log, lines: commas, header: true}\n";
const std::string kScans =
    "scans:\n  time: {column: t, unit: ms, offset: -100 ms}\n  ranges: {from: r0, unit: mm}\n  first_angle: 0 deg\n"
    "  angle_step: -1 deg\n  no_return: [65535]\n";

std::string columns_refusal(const std::string& text) {
  try {
    parse_columns_yaml(text, "columns.yaml");
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

TEST(ColumnsYaml, ReadsWhatIsThere) {
  const LogColumns columns = parse_columns_yaml(
      kHead +
          "wheels:\n  where: {kind: W}\n  time: {column: t, unit: us}\n  left: {column: l, sign: -1}\n"
          "  right: {column: r, unit: mm}\n  counts: increments\n" +
          kScans,
      "columns.yaml");
  ASSERT_EQ(columns.files.size(), 1U);
  EXPECT_EQ(columns.files[0].name, "a.log");
  EXPECT_TRUE(columns.files[0].header);
  ASSERT_TRUE(columns.wheels && columns.scans);
  EXPECT_EQ(columns.wheels->records.message_column, "kind");
  EXPECT_EQ(columns.wheels->records.message, "W");
  EXPECT_EQ(columns.wheels->left.sign, -1);
  EXPECT_EQ(columns.wheels->right.unit, "mm");
  EXPECT_TRUE(columns.wheels->increments);
  EXPECT_DOUBLE_EQ(columns.scans->time.offset, -0.1);
  EXPECT_EQ(columns.scans->angle_step.constant, -1.0);
  EXPECT_EQ(columns.scans->no_return, std::vector<double>{65535});
  EXPECT_FALSE(columns.odometry || columns.gyro || columns.returns);
}

TEST(ColumnsYaml, WritesWhatItReads) {
  for (const std::string& rest :
       {kScans,
        std::string(
            "odometry:\n  where: pose\n  time: {column: t, unit: s}\n  x: {column: 'a: b', unit: m}\n"
            "  y: {column: '3', unit: cm, offset: 0.5 m}\n  heading: {column: 'true', unit: deg, offset: 90 deg}\n"
            "gyro:\n  time: {column: t, unit: ns}\n  yaw_rate: {column: 'null', unit: deg/s, sign: -1}\n"
            "returns:\n  time: {column: t, unit: s}\n  number: {column: i}\n  first_angle: {column: f, unit: rad}\n"
            "  angle_step: 0.25 deg\n  range: {column: '#', unit: mm}\n"),
        std::string("scans:\n  time: {column: t, unit: s}\n  ranges: {from: s.r, to: '[x', unit: m}\n"
                    "  angles: {column: s.a, unit: rad, sign: -1}\n")}) {
    const std::string text = columns_yaml_text(parse_columns_yaml(kHead + rest, "a"));
    EXPECT_EQ(columns_yaml_text(parse_columns_yaml(text, "b")), text);
    EXPECT_NE(text.find("# what stands where in the logs"), std::string::npos);
  }
}

TEST(ColumnsYaml, NotesStandAboveTheirSections) {
  const LogColumns columns = parse_columns_yaml(kHead + kScans, "a");
  const std::string text =
      columns_yaml_text(columns, {{"", {"of a guess"}}, {"scans", {"sure", "", "since it fits\n!"}}});
  EXPECT_EQ(text.rfind("# of a guess\nwainscot_columns: 1", 0), 0U) << text;
  EXPECT_NE(text.find("\n# sure\n#\n# since it fits\\x0a!\nscans:\n"), std::string::npos) << text;
  EXPECT_EQ(columns_refusal(text), "");
}

TEST(ColumnsYaml, FaultsNameTheLineTheKeyAndWhatToDo) {
  const auto expect = [](const std::string& text, const std::string& part) {
    EXPECT_NE(columns_refusal(text).find(part), std::string::npos) << columns_refusal(text);
  };
  expect("", "columns.yaml: has no content");
  expect("files: 3\n", "wainscot_columns is missing");
  expect("wainscot_columns: 2\n", "columns.yaml:1: wainscot_columns is '2'");
  expect("wainscot_columns: 1\n", "files is no list of the logs");
  expect(kHead, "scans is missing, and returns too");
  expect(kHead + "scan:\n", "columns.yaml:4: the key scan is not known; the nearest known one is scans");
  expect(kHead + kScans +
             "returns:\n  time: {column: t, unit: s}\n  angle: {column: a, unit: deg}\n"
             "  range: {column: r, unit: m}\n",
         "returns is there beside scans");
  const auto with = [](const std::string& old_text, const std::string& new_text) {
    std::string text = kHead + kScans;
    return text.replace(text.find(old_text), old_text.size(), new_text);
  };
  expect(with("commas", "comma"), "columns.yaml:3: files.lines is 'comma'; write commas, semicolons");
  expect(with("header", "haeder"), "the nearest known one is files.header");
  expect(with("unit: ms", "unit: msec"), "columns.yaml:5: scans.time.unit is 'msec'; write s, ms, us or ns");
  expect(with(", unit: ms", ""), "scans.time.unit is missing; write s, ms, us or ns");
  expect(with("-100 ms", "-100"), "scans.time.offset is '-100'; write a number and its unit");
  expect(with("0 deg", "0"), "columns.yaml:7: scans.first_angle is '0'; write a number and its unit, rad or deg");
  expect(with("-1 deg", "0 deg"), "scans.angle_step is 0");
  expect(with("unit: mm", "unit: inch"), "scans.ranges.unit is 'inch'; write m, cm or mm");
  expect(with("[65535]", "65535"), "scans.no_return is no list");
  expect(with("scans:\n", "scans:\n  file: b.log\n"), "scans.file is 'b.log', which is not listed under files");
  expect(with("scans:\n", "scans:\n  where: {a: b, c: d}\n"), "scans.where tells no lines apart");
  expect(with("header: true}", "header: true}\n  - {name: a.log, lines: json}"), "the file a.log is there twice");
  expect(with("header: true}", "header: true}\n  - {name: b.log, lines: json}"),
         "scans.file is missing, but there are");
}

TEST(ColumnsYaml, NothingIsQuotedBehindALink) {
  const ReaderFolder folder;
  std::filesystem::create_symlink(folder.write("secret", "word: 1\n"), folder.path() / "columns.yaml");
  try {
    read_columns_yaml(folder.path() / "columns.yaml");
    FAIL() << "no refusal";
  } catch (const InputError& error) {
    EXPECT_EQ(std::string(error.what()).find("word"), std::string::npos) << error.what();
  }
}

}  // namespace
}  // namespace wainscot
