#pragma once

// Drawings of lines and texts in DXF, the form in which drawing programs exchange them: text, a group code and a value
// on a line each, version AC1015, since older ones have no unit.
//
// Autodesk, "DXF Reference", AutoCAD 2000, 1999.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <Eigen/Core>

#include "io/draw/picture_window.hpp"

namespace wainscot {

struct DxfLayer {
  std::string name;  ///< of letters, digits, '_' and '-'
  int colour = 7;    ///< number in the form's list: 5 blue, 7 black on light ground and white on dark, 8 grey
};

/// Collects what is drawn, a unit a metre. Where the layer is not among those given, or a number is not finite, every
/// add_ throws std::invalid_argument and draws nothing.
class DxfWriter {
 public:
  /// Beside these there is the layer "0", which every drawing has.
  explicit DxfWriter(std::vector<DxfLayer> layers);

  void add_line(std::string_view layer, const Eigen::Vector2d& from_m, const Eigen::Vector2d& to_m);
  /// An open one. Throws std::invalid_argument where there are fewer than two places, too.
  void add_polyline(std::string_view layer, const std::vector<Eigen::Vector2d>& places_m);
  /// One line of text that begins at `place_m`, in UTF-8; the file has it in ASCII, and bytes that are not UTF-8 as
  /// U+FFFD. Throws std::invalid_argument where that is longer than a value may be, 2049 bytes, too.
  void add_text(std::string_view layer, const Eigen::Vector2d& place_m, double height_m, std::string_view text);

  /// All of it. The extent that the drawing states of itself takes of a text the place where it begins.
  std::string document() const;

 private:
  /// Nothing is drawn where it throws.
  void begin_entity(const char* kind, std::string_view layer, const char* subclass,
                    std::span<const Eigen::Vector2d> places_m);

  std::vector<DxfLayer> layers_;
  std::string entities_;
  unsigned next_handle_;
  PictureWindow extent_;
};

}  // namespace wainscot
