#pragma once

#include <filesystem>
#include <string>

namespace wainscot {

/// The bytes of a grey PNG of a map's grid, `side_px` (at least 1) on its longer side at most: walls black, free floor
/// white, unseen a light grey, and no levels between, so that it takes few bytes. A pixel is a wall where one of its
/// cells is. Throws `InputError` where the grid cannot be read, and where it is so large that a page of many maps does
/// without its picture.
std::string small_map_png(const std::filesystem::path& map, int side_px);

}  // namespace wainscot
