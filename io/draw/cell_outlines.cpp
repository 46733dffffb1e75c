#include "io/draw/cell_outlines.hpp"

#include <array>
#include <cstddef>

namespace wainscot {
namespace {

/// East, north, west, south: a turn to the left is one more.
const std::array<Eigen::Vector2i, 4> steps = {Eigen::Vector2i(1, 0), Eigen::Vector2i(0, 1), Eigen::Vector2i(-1, 0),
                                              Eigen::Vector2i(0, -1)};

/// For each corner of cells, which border edges leave it: one bit a direction, the marked cell on the left.
class BorderEdges {
 public:
  BorderEdges(const std::vector<bool>& marked, std::int32_t columns, std::int32_t rows)
      : columns_(columns), leaving_(static_cast<std::size_t>(columns + 1) * static_cast<std::size_t>(rows + 1), 0) {
    const auto is_marked = [&](std::int32_t column, std::int32_t row) {
      return column >= 0 && row >= 0 && column < columns && row < rows &&
             marked[static_cast<std::size_t>(row) * static_cast<std::size_t>(columns) +
                    static_cast<std::size_t>(column)];
    };
    for (std::int32_t row = 0; row < rows; ++row) {
      for (std::int32_t column = 0; column < columns; ++column) {
        if (!is_marked(column, row)) continue;
        if (!is_marked(column, row - 1)) add({column, row}, 0);
        if (!is_marked(column + 1, row)) add({column + 1, row}, 1);
        if (!is_marked(column, row + 1)) add({column + 1, row + 1}, 2);
        if (!is_marked(column - 1, row)) add({column, row + 1}, 3);
      }
    }
  }

  bool leaves(const Eigen::Vector2i& corner, int direction) const {
    return (leaving_[index_of(corner)] >> direction & 1) != 0;
  }
  void remove(const Eigen::Vector2i& corner, int direction) {
    leaving_[index_of(corner)] = static_cast<unsigned char>(leaving_[index_of(corner)] & ~(1 << direction));
  }

 private:
  std::size_t index_of(const Eigen::Vector2i& corner) const {
    return static_cast<std::size_t>(corner.y()) * static_cast<std::size_t>(columns_ + 1) +
           static_cast<std::size_t>(corner.x());
  }
  void add(const Eigen::Vector2i& corner, int direction) {
    leaving_[index_of(corner)] = static_cast<unsigned char>(leaving_[index_of(corner)] | 1 << direction);
  }

  std::int32_t columns_;
  std::vector<unsigned char> leaving_;
};

/// Follows one border from its edge to the east, and removes its edges. A left turn comes first, which parts cells that
/// touch at a corner only.
CellOutline follow(BorderEdges& edges, const Eigen::Vector2i& start) {
  CellOutline outline;
  Eigen::Vector2i at = start;
  int direction = 0;
  for (;;) {
    outline.push_back(at);
    // Straight on to the next bend.
    do {
      edges.remove(at, direction);
      at += steps[static_cast<std::size_t>(direction)];
    } while (!edges.leaves(at, (direction + 1) % 4) && edges.leaves(at, direction));
    const bool turns_left = edges.leaves(at, (direction + 1) % 4);
    if (at == start && !turns_left) return outline;
    direction = (direction + (turns_left ? 1 : 3)) % 4;
  }
}

}  // namespace

std::vector<CellOutline> cell_outlines(const std::vector<bool>& marked, std::int32_t columns, std::int32_t rows) {
  BorderEdges edges(marked, columns, rows);
  std::vector<CellOutline> outlines;
  for (std::int32_t y = 0; y <= rows; ++y) {
    for (std::int32_t x = 0; x <= columns; ++x) {
      // Every border has an edge to the east: its lowest for an outer one, its highest for a hole.
      if (edges.leaves({x, y}, 0)) outlines.push_back(follow(edges, {x, y}));
    }
  }
  return outlines;
}

}  // namespace wainscot
