#pragma once

#include <filesystem>
#include <string>

namespace wainscot {

/// The bytes of a PNG of a map's grid, `side_px` (at least 1) on its longer side at most: walls dark, free floor light,
/// unseen transparent, and no levels between, so that it takes few bytes. Throws `InputError` where the grid cannot be
/// read, and where it is so large that a page of many maps does without its picture.
std::string small_map_png(const std::filesystem::path& map, int side_px);

}  // namespace wainscot
