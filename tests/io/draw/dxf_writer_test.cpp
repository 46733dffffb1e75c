#include "io/draw/dxf_writer.hpp"

#include <algorithm>
#include <limits>
#include <locale>
#include <map>
#include <set>
#include <stdexcept>
#include <string>
#include <string_view>
#include <vector>

#include <gtest/gtest.h>

#include "tests/io/dxf_groups.hpp"

namespace wainscot {
namespace {

using Words = std::vector<std::string>;

DxfWriter sample_drawing() {
  DxfWriter dxf({{"walls", 7}, {"notes", 8}});
  dxf.add_line("walls", {-1.0, 0.5}, {3.0, 2.0});
  dxf.add_polyline("walls", {{0.0, 0.0}, {0.25, -4.0}, {1.0, 1.0}});
  dxf.add_text("notes", {0.0, 7.5}, 0.15, "A note");
  return dxf;
}

/// What a text's line of the document is.
std::string written(std::string_view text) {
  DxfWriter dxf({{"notes", 8}});
  dxf.add_text("notes", {0.0, 0.0}, 0.15, text);
  return dxf_kind(dxf_section(dxf.document(), "ENTITIES"), "TEXT").at(0).one(1);
}

TEST(DxfWriter, SectionsStandInTheOrderOfTheFormAndEnd) {
  for (const std::string& document : {sample_drawing().document(), DxfWriter({}).document()}) {
    const std::vector<DxfPart> parts = dxf_parts(document);
    Words order;
    int depth = 0;
    for (const DxfPart& part : parts) {
      if (part.kind == "SECTION") order.push_back(part.all(2).at(0));
      depth += part.kind == "SECTION" ? 1 : part.kind == "ENDSEC" ? -1 : 0;
      EXPECT_EQ(depth, part.kind == "ENDSEC" || part.kind == "EOF" ? 0 : 1) << part.kind;
    }
    EXPECT_EQ(order, (Words{"HEADER", "TABLES", "BLOCKS", "ENTITIES", "OBJECTS"}));
    EXPECT_EQ(parts.back().kind, "EOF");
    EXPECT_TRUE(document.ends_with("\n  0\nEOF\n"));
  }
}

TEST(DxfWriter, TablesHoldWhatTheySay) {
  const std::vector<DxfPart> parts = dxf_section(sample_drawing().document(), "TABLES");
  std::map<std::string, std::size_t> counts;
  for (auto part = parts.begin(); part != parts.end(); ++part) {
    ASSERT_EQ(part->kind, "TABLE");
    const auto end = std::find_if(part, parts.end(), [](const DxfPart& one) { return one.kind == "ENDTAB"; });
    ASSERT_NE(end, parts.end());
    const auto count = static_cast<std::size_t>(end - part - 1);
    EXPECT_EQ(part->one(70), std::to_string(count)) << part->one(2);
    for (auto record = part + 1; record != end; ++record) EXPECT_EQ(record->kind, part->one(2));
    counts[part->one(2)] = count;
    part = end;
  }
  const std::map<std::string, std::size_t> wanted = {{"VPORT", 1}, {"LTYPE", 3},    {"LAYER", 3},
                                                     {"STYLE", 1}, {"VIEW", 0},     {"UCS", 0},
                                                     {"APPID", 1}, {"DIMSTYLE", 1}, {"BLOCK_RECORD", 2}};
  EXPECT_EQ(counts, wanted);
}

TEST(DxfWriter, LayersHaveTheirNamesAndColours) {
  const std::string document = sample_drawing().document();
  EXPECT_EQ(dxf_layers(document), (Words{"0", "walls", "notes"}));
  const std::vector<DxfPart> layers = dxf_kind(dxf_section(document, "TABLES"), "LAYER");
  EXPECT_EQ(layers.at(1).one(62), "7");
  EXPECT_EQ(layers.at(2).one(62), "8");
}

// Handles are hexadecimal. A program gives what it adds the handles from $HANDSEED on.
TEST(DxfWriter, ReferencesMeetWhatIsThere) {
  const std::string document = sample_drawing().document();
  std::set<std::string> handles;
  unsigned long greatest = 0;
  const std::vector<DxfPart> parts = dxf_parts(document);
  for (const DxfPart& part : parts) {
    const Words own = part.all(part.kind == "DIMSTYLE" ? 105 : 5);
    if (part.kind == "SECTION" || part.kind == "ENDSEC" || part.kind == "ENDTAB" || part.kind == "EOF") continue;
    ASSERT_EQ(own.size(), 1U) << part.kind;
    EXPECT_TRUE(handles.insert(own.front()).second) << part.kind << " " << own.front();
    greatest = std::max(greatest, std::stoul(own.front(), nullptr, 16));
  }
  for (const DxfPart& part : parts) {
    for (const int code : {330, 340, 350}) {
      for (const std::string& handle : part.all(code)) {
        EXPECT_TRUE(handle == "0" || handles.count(handle) > 0) << part.kind << " refers to " << handle;
      }
    }
  }
  EXPECT_GT(std::stoul(dxf_variable(document, "$HANDSEED").one(5), nullptr, 16), greatest);
}

TEST(DxfWriter, WhatIsDrawnBelongsToTheModel) {
  const std::string document = sample_drawing().document();
  const DxfPart model = dxf_kind(dxf_section(document, "TABLES"), "BLOCK_RECORD").at(0);
  EXPECT_EQ(model.one(2), "*Model_Space");
  const std::vector<DxfPart> entities = dxf_section(document, "ENTITIES");
  ASSERT_EQ(entities.size(), 3U);
  for (const DxfPart& entity : entities) EXPECT_EQ(entity.one(330), model.one(5)) << entity.kind;
}

TEST(DxfWriter, HeaderStatesVersionUnitAndExtent) {
  const std::string document = sample_drawing().document();
  EXPECT_EQ(dxf_variable(document, "$ACADVER").one(1), "AC1015");
  EXPECT_EQ(dxf_variable(document, "$INSUNITS").one(70), "6");
  const DxfPart low = dxf_variable(document, "$EXTMIN");
  const DxfPart high = dxf_variable(document, "$EXTMAX");
  EXPECT_EQ((Words{low.one(10), low.one(20), low.one(30)}), (Words{"-1.0", "-4.0", "0.0"}));
  EXPECT_EQ((Words{high.one(10), high.one(20), high.one(30)}), (Words{"3.0", "7.5", "0.0"}));
}

TEST(DxfWriter, ProgramsOpenOnAllOfTheDrawing) {
  const DxfPart port = dxf_kind(dxf_section(sample_drawing().document(), "TABLES"), "VPORT").at(0);
  EXPECT_EQ(port.number(12), 1.0);
  EXPECT_EQ(port.number(22), 1.75);
  EXPECT_GE(port.number(40), 11.5);
  EXPECT_LE(port.number(40), 13.0);
  EXPECT_GE(port.number(40) * port.number(41), 4.0);
  DxfWriter wide({{"walls", 7}});
  wide.add_line("walls", {0.0, 0.0}, {100.0, 1.0});
  const DxfPart wide_port = dxf_kind(dxf_section(wide.document(), "TABLES"), "VPORT").at(0);
  EXPECT_GE(wide_port.number(40) * wide_port.number(41), 100.0);
}

TEST(DxfWriter, OfNothingIsADrawingToo) {
  const std::string document = DxfWriter({{"walls", 7}}).document();
  EXPECT_TRUE(dxf_section(document, "ENTITIES").empty());
  EXPECT_EQ(dxf_layers(document), (Words{"0", "walls"}));
  // The form's own words for it: the lowest corner is above the highest.
  EXPECT_EQ(dxf_variable(document, "$EXTMIN").number(10), 1e20);
  EXPECT_EQ(dxf_variable(document, "$EXTMAX").number(20), -1e20);
  const DxfPart port = dxf_kind(dxf_section(document, "TABLES"), "VPORT").at(0);
  EXPECT_EQ(port.number(12), 0.0);
  EXPECT_GT(port.number(40), 0.0);
}

TEST(DxfWriter, EntitiesAreOnTheirLayersWithTheirPlaces) {
  const std::vector<DxfPart> entities = dxf_section(sample_drawing().document(), "ENTITIES");
  ASSERT_EQ(entities.size(), 3U);
  EXPECT_EQ(entities[0].kind, "LINE");
  EXPECT_EQ(entities[0].one(8), "walls");
  EXPECT_EQ((Words{entities[0].one(10), entities[0].one(20), entities[0].one(30)}), (Words{"-1.0", "0.5", "0.0"}));
  EXPECT_EQ((Words{entities[0].one(11), entities[0].one(21), entities[0].one(31)}), (Words{"3.0", "2.0", "0.0"}));
  EXPECT_EQ(entities[1].kind, "LWPOLYLINE");
  EXPECT_EQ(entities[1].one(90), "3");
  EXPECT_EQ(entities[1].all(10), (Words{"0.0", "0.25", "1.0"}));
  EXPECT_EQ(entities[1].all(20), (Words{"0.0", "-4.0", "1.0"}));
  EXPECT_EQ(entities[2].kind, "TEXT");
  EXPECT_EQ(entities[2].one(8), "notes");
  EXPECT_EQ(entities[2].one(1), "A note");
  EXPECT_EQ(entities[2].one(40), "0.15");
  EXPECT_EQ(entities[2].one(7), dxf_kind(dxf_section(sample_drawing().document(), "TABLES"), "STYLE").at(0).one(2));
}

TEST(DxfWriter, NumbersReadBackAsTheSame) {
  const std::vector<double> values = {0.1, -1.0 / 3.0, 1e-7, 123456789.123, 1e300, 5.0, 2e6};
  for (const double value : values) {
    DxfWriter dxf({{"walls", 7}});
    dxf.add_line("walls", {value, 0.0}, {0.0, -value});
    const DxfPart line = dxf_section(dxf.document(), "ENTITIES").at(0);
    EXPECT_EQ(line.number(10), value);
    EXPECT_EQ(line.number(21), -value);
    EXPECT_NE(line.one(10).find_first_of(".e"), std::string::npos) << line.one(10);
  }
}

TEST(DxfWriter, NumbersAreTheSameInEveryCountry) {
  struct Comma : std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
  };
  DxfWriter dxf = sample_drawing();
  dxf.add_line("walls", {1234.5, 0.0}, {0.0, 0.0});
  const std::string plain = dxf.document();
  const std::locale before = std::locale::global(std::locale(std::locale(), new Comma));
  dxf = sample_drawing();
  dxf.add_line("walls", {1234.5, 0.0}, {0.0, 0.0});
  const std::string elsewhere = dxf.document();
  std::locale::global(before);
  EXPECT_EQ(elsewhere, plain);
}

TEST(DxfWriter, TextsAreEscapedAsTheFormHasIt) {
  using namespace std::string_view_literals;
  EXPECT_EQ(written("Room 3, 90 % free"), "Room 3, 90 % free");
  EXPECT_EQ(written("B\u00fcro, 5 \u20ac"), "B\\U+00FCro, 5 \\U+20AC");
  EXPECT_EQ(written("\U0001f600"), "\\U+D83D\\U+DE00");  // two units of UTF-16
  EXPECT_EQ(written("\u007f\uffff"), "\\U+007F\\U+FFFF");
  EXPECT_EQ(written("a\xff|\xc3"), "a\\U+FFFD|\\U+FFFD");  // no UTF-8
  EXPECT_EQ(written("C:\\U+0041"), "C:\\U+005CU+0041");    // not an A
  EXPECT_EQ(written("45%%d"), "45%%%%%%d");                // not a degree sign
  EXPECT_EQ(written("%%%"), "%%%%%%%%%");                  // three of them
  EXPECT_EQ(written("50% %c"), "50% %c");                  // one alone begins nothing
  EXPECT_EQ(written("a^J"), "a^ J");                       // not a line's end
  EXPECT_EQ(written("a\nb\r\0\t"sv), "a^Jb^M^@^I");        // a text keeps to its line
  EXPECT_EQ(written("  0\nEOF\n"), "  0^JEOF^J");
  EXPECT_EQ(written(""), "");
}

TEST(DxfWriter, DocumentsAreAsciiWithoutControlCharacters) {
  DxfWriter dxf({{"notes", 8}});
  std::string all;
  for (int byte = 0; byte < 256; ++byte) all += static_cast<char>(byte);
  dxf.add_text("notes", {0.0, 0.0}, 0.15, all);
  const std::string document = dxf.document();
  EXPECT_TRUE(
      std::all_of(document.begin(), document.end(), [](char c) { return c == '\n' || (c >= ' ' && c <= '~'); }));
  EXPECT_EQ(dxf_section(document, "ENTITIES").size(), 1U);
}

TEST(DxfWriter, WhatIsWrongIsRefusedAndNotDrawn) {
  constexpr double infinity = std::numeric_limits<double>::infinity();
  constexpr double nan = std::numeric_limits<double>::quiet_NaN();
  DxfWriter dxf = sample_drawing();
  const std::string before = dxf.document();
  EXPECT_THROW(dxf.add_line("roof", {0.0, 0.0}, {90.0, 0.0}), std::invalid_argument);
  EXPECT_THROW(dxf.add_line("walls", {90.0, 0.0}, {0.0, infinity}), std::invalid_argument);
  EXPECT_THROW(dxf.add_polyline("walls", {{90.0, 0.0}, {nan, 0.0}}), std::invalid_argument);
  EXPECT_THROW(dxf.add_polyline("walls", {{90.0, 0.0}}), std::invalid_argument);
  EXPECT_THROW(dxf.add_polyline("roof", {{90.0, 0.0}, {0.0, 0.0}}), std::invalid_argument);
  EXPECT_THROW(dxf.add_text("notes", {90.0, nan}, 0.15, "here"), std::invalid_argument);
  EXPECT_THROW(dxf.add_text("notes", {90.0, 0.0}, infinity, "high"), std::invalid_argument);
  EXPECT_THROW(dxf.add_text("roof", {90.0, 0.0}, 0.15, "there"), std::invalid_argument);
  EXPECT_THROW(dxf.add_text("notes", {90.0, 0.0}, 0.15, std::string(2050, 'a')), std::invalid_argument);
  EXPECT_THROW(dxf.add_text("notes", {90.0, 0.0}, 0.15, std::string(1000, '^') + std::string(50, '\n')),
               std::invalid_argument);
  EXPECT_EQ(dxf.document(), before);
  EXPECT_EQ(written(std::string(2049, 'a')).size(), 2049U);
}

TEST(DxfWriter, IsTheSameEveryTime) { EXPECT_EQ(sample_drawing().document(), sample_drawing().document()); }

}  // namespace
}  // namespace wainscot
