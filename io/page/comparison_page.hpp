#pragma once

// A comparison as pictures and as a page for people.

#include <string>
#include <vector>

#include "io/results/comparison.hpp"

namespace wainscot {

struct ComparisonPicture {
  std::string name;  ///< of its file without the ending, for example "position"
  std::string svg;
  std::string words;  ///< what it shows and how to read it, a sentence or two
};

enum class PictureSize {
  file,    ///< a document of its own, with the style sheet
  page,    ///< an element of a page
  narrow,  ///< the same for a telephone
};

/// The paths over the map, differences of place and heading over time, differences over the length of a stretch, and
/// for two maps where their walls differ and by how much. Only those for which there is something to show.
std::vector<ComparisonPicture> comparison_pictures(const Comparison& comparison, PictureSize size);

/// One page that loads nothing from anywhere and needs no script: what was found in a sentence, the pictures, all
/// figures as tables. Well-formed as XML too.
std::string comparison_page(const Comparison& comparison, const std::string& program_version);

}  // namespace wainscot
