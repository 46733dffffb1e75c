#include "io/draw/dxf_writer.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <stdexcept>
#include <utility>

#include <fmt/format.h>

#include "io/spelling.hpp"

namespace wainscot {
namespace {

/// Each table, record, block and entity has a number by which others refer to it. Those of all drawings are here; the
/// layers' and entities' follow.
enum class DxfHandle : unsigned {
  none,
  view_ports,
  line_types,
  layers,
  styles,
  views,
  frames,
  applications,
  dimension_styles,
  block_records,
  view_port,
  by_block,
  by_layer,
  continuous,
  layer_0,
  style,
  application,
  dimension_style,
  model_space,
  model_space_begin,
  model_space_end,
  paper_space,
  paper_space_begin,
  paper_space_end,
  root,
  groups,
  first_free
};

constexpr const char* style_name = "Standard";
constexpr const char* line_type = "CONTINUOUS";

void put(std::string& to, int code, std::string_view value) {
  fmt::format_to(std::back_inserter(to), "{:>3}\n{}\n", code, value);
}
void put(std::string& to, int code, int value) { put(to, code, std::string_view(fmt::to_string(value))); }
void put(std::string& to, int code, DxfHandle value) {
  put(to, code, std::string_view(fmt::format("{:X}", static_cast<unsigned>(value))));
}
/// With the fewest digits that give the same number again, and a point or an exponent: readers tell by it that it is no
/// whole number.
void put(std::string& to, int code, double value) {
  std::string text = fmt::to_string(value);
  if (text.find_first_of(".e") == std::string::npos) text += ".0";
  put(to, code, std::string_view(text));
}

/// The codes of y and z are ten and twenty above that of x.
void put_flat_point(std::string& to, int code, const Eigen::Vector2d& place) {
  put(to, code, place.x());
  put(to, code + 10, place.y());
}
void put_point(std::string& to, int code, const Eigen::Vector2d& place) {
  put_flat_point(to, code, place);
  put(to, code + 20, 0.0);
}

/// A character beyond ASCII in one or two units of UTF-16, the form's own way to write it in any code page.
std::string escaped_character(char32_t point) {
  if (point < 0x10000) return fmt::format("\\U+{:04X}", static_cast<unsigned>(point));
  const unsigned above = static_cast<unsigned>(point) - 0x10000;
  return fmt::format("\\U+{:04X}\\U+{:04X}", 0xd800 + (above >> 10), 0xdc00 + (above & 0x3ff));
}

/// The first character, whose well-formed UTF-8 is `length` bytes.
char32_t first_character(std::string_view text, std::size_t length) {
  const auto byte = [&text](std::size_t i) { return static_cast<char32_t>(static_cast<unsigned char>(text[i])); };
  if (length == 1) return byte(0);
  char32_t point = byte(0) & (0xffU >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) point = point << 6 | (byte(i) & 0x3fU);
  return point;
}

/// ASCII of one line from which a reader makes the text again. Two percent signs begin a code, such as %%d for a
/// degree sign, of which %%% is the sign itself; a caret begins a control character, a backslash any character.
std::string escaped_text(std::string_view text) {
  constexpr char32_t no_character = 0xfffd;
  std::string escaped;
  bool after_percent = false;
  while (!text.empty()) {
    const std::size_t length = utf8_length(text);
    const char32_t point = length == 0 ? no_character : first_character(text, length);
    const bool percent = point == U'%';
    if (percent && (after_percent || text.substr(1).starts_with('%'))) {
      escaped += "%%%";
    } else if (point < 0x20) {
      escaped += {'^', static_cast<char>(point + 0x40)};
    } else if (point == U'^') {
      escaped += "^ ";
    } else if (point == U'\\' || point >= 0x7f) {
      escaped += escaped_character(point);
    } else {
      escaped += static_cast<char>(point);
    }
    after_percent = percent;
    text.remove_prefix(std::max<std::size_t>(length, 1));
  }
  return escaped;
}

void begin_section(std::string& to, const char* name) {
  put(to, 0, "SECTION");
  put(to, 2, name);
}

void begin_table(std::string& to, const char* name, DxfHandle handle, int records) {
  put(to, 0, "TABLE");
  put(to, 2, name);
  put(to, 5, handle);
  put(to, 330, DxfHandle::none);
  put(to, 100, "AcDbSymbolTable");
  put(to, 70, records);
}

void begin_record(std::string& to, const char* kind, DxfHandle handle, DxfHandle table, const char* subclass,
                  std::string_view name) {
  put(to, 0, kind);
  // 5 of a dimension style is the block of an arrow's head.
  put(to, table == DxfHandle::dimension_styles ? 105 : 5, handle);
  put(to, 330, table);
  put(to, 100, "AcDbSymbolTableRecord");
  put(to, 100, subclass);
  put(to, 2, name);
}

void put_header(std::string& to, unsigned next_handle, const PictureWindow& extent) {
  constexpr int metres = 6;
  constexpr int metric = 1;
  // What the form says of a drawing with nothing in it.
  constexpr double nowhere = 1e20;
  const bool nothing = extent.is_nothing();
  begin_section(to, "HEADER");
  put(to, 9, "$ACADVER");
  put(to, 1, "AC1015");
  put(to, 9, "$DWGCODEPAGE");
  put(to, 3, "ANSI_1252");
  put(to, 9, "$HANDSEED");
  put(to, 5, static_cast<DxfHandle>(next_handle));
  put(to, 9, "$INSUNITS");
  put(to, 70, metres);
  put(to, 9, "$MEASUREMENT");
  put(to, 70, metric);
  put(to, 9, "$EXTMIN");
  put_point(to, 10, nothing ? Eigen::Vector2d::Constant(nowhere) : extent.low_m);
  put(to, 9, "$EXTMAX");
  put_point(to, 10, nothing ? Eigen::Vector2d::Constant(-nowhere) : extent.high_m);
  put(to, 0, "ENDSEC");
}

/// What a program shows when it opens the drawing: all of it, with a tenth around.
void put_view_port(std::string& to, const PictureWindow& extent) {
  constexpr double aspect = 4.0 / 3.0;
  constexpr double least_m = 1.0;
  const bool nothing = extent.is_nothing();
  const Eigen::Vector2d centre = nothing ? Eigen::Vector2d(0.0, 0.0) : (extent.low_m + 0.5 * extent.size_m()).eval();
  const Eigen::Vector2d size = nothing ? Eigen::Vector2d(0.0, 0.0) : extent.size_m();
  begin_table(to, "VPORT", DxfHandle::view_ports, 1);
  begin_record(to, "VPORT", DxfHandle::view_port, DxfHandle::view_ports, "AcDbViewportTableRecord", "*Active");
  put(to, 70, 0);
  put_flat_point(to, 10, {0.0, 0.0});  // the whole of the screen
  put_flat_point(to, 11, {1.0, 1.0});
  put_flat_point(to, 12, centre);
  put_flat_point(to, 13, {0.0, 0.0});  // snapping and its grid, off below
  put_flat_point(to, 14, {0.1, 0.1});
  put_flat_point(to, 15, {1.0, 1.0});
  put(to, 16, 0.0);  // from above
  put(to, 26, 0.0);
  put(to, 36, 1.0);
  put_point(to, 17, {0.0, 0.0});
  put(to, 40, std::max({1.1 * size.y(), 1.1 * size.x() / aspect, least_m}));
  put(to, 41, aspect);
  put(to, 42, 50.0);  // the lens, which a view without perspective has too
  for (const int code : {43, 44, 50, 51}) put(to, code, 0.0);
  put(to, 71, 0);
  put(to, 72, 100);  // how smooth circles are
  put(to, 73, 1);
  put(to, 74, 3);
  for (const int code : {75, 76, 77, 78}) put(to, code, 0);
  put(to, 0, "ENDTAB");
}

void put_line_types(std::string& to) {
  begin_table(to, "LTYPE", DxfHandle::line_types, 3);
  for (const auto& [name, handle] : {std::pair("BYBLOCK", DxfHandle::by_block),
                                     {"BYLAYER", DxfHandle::by_layer},
                                     {line_type, DxfHandle::continuous}}) {
    begin_record(to, "LTYPE", handle, DxfHandle::line_types, "AcDbLinetypeTableRecord", name);
    put(to, 70, 0);
    put(to, 3, "");
    put(to, 72, 'A');
    put(to, 73, 0);  // no dashes
    put(to, 40, 0.0);
  }
  put(to, 0, "ENDTAB");
}

void put_layer(std::string& to, const DxfLayer& layer, DxfHandle handle) {
  begin_record(to, "LAYER", handle, DxfHandle::layers, "AcDbLayerTableRecord", layer.name);
  put(to, 70, 0);
  put(to, 62, layer.colour);
  put(to, 6, line_type);
  put(to, 370, 25);  // a quarter of a millimetre wide on paper
}

void put_layers(std::string& to, const std::vector<DxfLayer>& layers) {
  begin_table(to, "LAYER", DxfHandle::layers, static_cast<int>(layers.size()) + 1);
  put_layer(to, {"0"}, DxfHandle::layer_0);
  auto handle = static_cast<unsigned>(DxfHandle::first_free);
  for (const DxfLayer& layer : layers) put_layer(to, layer, static_cast<DxfHandle>(handle++));
  put(to, 0, "ENDTAB");
}

void put_style(std::string& to) {
  begin_table(to, "STYLE", DxfHandle::styles, 1);
  begin_record(to, "STYLE", DxfHandle::style, DxfHandle::styles, "AcDbTextStyleTableRecord", style_name);
  put(to, 70, 0);
  put(to, 40, 0.0);  // each text has its own height
  put(to, 41, 1.0);
  put(to, 50, 0.0);
  put(to, 71, 0);
  put(to, 42, 0.2);
  put(to, 3, "txt");
  put(to, 4, "");
  put(to, 0, "ENDTAB");
}

/// The tables that the form wants, in its order.
void put_tables(std::string& to, const std::vector<DxfLayer>& layers, const PictureWindow& extent) {
  begin_section(to, "TABLES");
  put_view_port(to, extent);
  put_line_types(to);
  put_layers(to, layers);
  put_style(to);
  begin_table(to, "VIEW", DxfHandle::views, 0);
  put(to, 0, "ENDTAB");
  begin_table(to, "UCS", DxfHandle::frames, 0);
  put(to, 0, "ENDTAB");
  begin_table(to, "APPID", DxfHandle::applications, 1);
  begin_record(to, "APPID", DxfHandle::application, DxfHandle::applications, "AcDbRegAppTableRecord", "ACAD");
  put(to, 70, 0);
  put(to, 0, "ENDTAB");
  begin_table(to, "DIMSTYLE", DxfHandle::dimension_styles, 1);
  put(to, 100, "AcDbDimStyleTable");
  begin_record(to, "DIMSTYLE", DxfHandle::dimension_style, DxfHandle::dimension_styles, "AcDbDimStyleTableRecord",
               style_name);
  put(to, 70, 0);
  put(to, 340, DxfHandle::style);
  put(to, 0, "ENDTAB");
  begin_table(to, "BLOCK_RECORD", DxfHandle::block_records, 2);
  for (const auto& [name, handle] :
       {std::pair("*Model_Space", DxfHandle::model_space), {"*Paper_Space", DxfHandle::paper_space}}) {
    begin_record(to, "BLOCK_RECORD", handle, DxfHandle::block_records, "AcDbBlockTableRecord", name);
    put(to, 340, DxfHandle::none);  // of no layout of a sheet
  }
  put(to, 0, "ENDTAB");
  put(to, 0, "ENDSEC");
}

void put_block(std::string& to, const char* name, DxfHandle record, DxfHandle begin, DxfHandle end) {
  const auto begin_part = [&to, record](const char* kind, DxfHandle handle, const char* subclass) {
    put(to, 0, kind);
    put(to, 5, handle);
    put(to, 330, record);
    put(to, 100, "AcDbEntity");
    if (record == DxfHandle::paper_space) put(to, 67, 1);
    put(to, 8, "0");
    put(to, 100, subclass);
  };
  begin_part("BLOCK", begin, "AcDbBlockBegin");
  put(to, 2, name);
  put(to, 70, 0);
  put_point(to, 10, {0.0, 0.0});
  put(to, 3, name);
  put(to, 1, "");
  begin_part("ENDBLK", end, "AcDbBlockEnd");
}

/// Two that every drawing has: what is drawn belongs to the first, though it stands in a section of its own.
void put_blocks(std::string& to) {
  begin_section(to, "BLOCKS");
  put_block(to, "*Model_Space", DxfHandle::model_space, DxfHandle::model_space_begin, DxfHandle::model_space_end);
  put_block(to, "*Paper_Space", DxfHandle::paper_space, DxfHandle::paper_space_begin, DxfHandle::paper_space_end);
  put(to, 0, "ENDSEC");
}

/// The root of what is not drawn; groups of entities are the one thing that has to hang on it.
void put_objects(std::string& to) {
  constexpr int keep_existing = 1;  // where two drawings are joined
  const auto begin_dictionary = [&to](DxfHandle handle, DxfHandle owner) {
    put(to, 0, "DICTIONARY");
    put(to, 5, handle);
    put(to, 330, owner);
    put(to, 100, "AcDbDictionary");
    put(to, 281, keep_existing);
  };
  begin_section(to, "OBJECTS");
  begin_dictionary(DxfHandle::root, DxfHandle::none);
  put(to, 3, "ACAD_GROUP");
  put(to, 350, DxfHandle::groups);
  begin_dictionary(DxfHandle::groups, DxfHandle::root);
  put(to, 0, "ENDSEC");
}

}  // namespace

DxfWriter::DxfWriter(std::vector<DxfLayer> layers)
    : layers_(std::move(layers)),
      next_handle_(static_cast<unsigned>(DxfHandle::first_free) + static_cast<unsigned>(layers_.size())) {}

void DxfWriter::begin_entity(const char* kind, std::string_view layer, const char* subclass,
                             std::span<const Eigen::Vector2d> places_m) {
  const auto is_named = [layer](const DxfLayer& one) { return one.name == layer; };
  if (std::none_of(layers_.begin(), layers_.end(), is_named)) throw std::invalid_argument("no such layer");
  for (const Eigen::Vector2d& place : places_m) {
    if (!place.allFinite()) throw std::invalid_argument("a place in a drawing is not finite");
  }
  for (const Eigen::Vector2d& place : places_m) extent_.include(place);
  put(entities_, 0, kind);
  put(entities_, 5, static_cast<DxfHandle>(next_handle_++));
  put(entities_, 330, DxfHandle::model_space);
  put(entities_, 100, "AcDbEntity");
  put(entities_, 8, layer);
  put(entities_, 6, "BYLAYER");
  put(entities_, 100, subclass);
}

void DxfWriter::add_line(std::string_view layer, const Eigen::Vector2d& from_m, const Eigen::Vector2d& to_m) {
  begin_entity("LINE", layer, "AcDbLine", std::array{from_m, to_m});
  put_point(entities_, 10, from_m);
  put_point(entities_, 11, to_m);
}

void DxfWriter::add_polyline(std::string_view layer, const std::vector<Eigen::Vector2d>& places_m) {
  constexpr int is_open = 0;
  if (places_m.size() < 2) throw std::invalid_argument("a polyline has two places or more");
  begin_entity("LWPOLYLINE", layer, "AcDbPolyline", places_m);
  put(entities_, 90, static_cast<int>(places_m.size()));
  put(entities_, 70, is_open);
  for (const Eigen::Vector2d& place : places_m) put_flat_point(entities_, 10, place);
}

void DxfWriter::add_text(std::string_view layer, const Eigen::Vector2d& place_m, double height_m,
                         std::string_view text) {
  constexpr std::size_t longest = 2049;
  const std::string escaped = escaped_text(text);
  if (escaped.size() > longest) throw std::invalid_argument("a text is longer than DXF has it");
  if (!std::isfinite(height_m)) throw std::invalid_argument("a text's height is not finite");
  begin_entity("TEXT", layer, "AcDbText", std::array{place_m});
  put_point(entities_, 10, place_m);
  put(entities_, 40, height_m);
  put(entities_, 1, escaped);
  put(entities_, 7, style_name);
  put(entities_, 100, "AcDbText");  // of how it is aligned, which is left as it is by default
}

std::string DxfWriter::document() const {
  std::string whole;
  put_header(whole, next_handle_, extent_);
  put_tables(whole, layers_, extent_);
  put_blocks(whole);
  begin_section(whole, "ENTITIES");
  whole += entities_;
  put(whole, 0, "ENDSEC");
  put_objects(whole);
  put(whole, 0, "EOF");
  return whole;
}

}  // namespace wainscot
