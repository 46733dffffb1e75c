#pragma once

// A map of short lines that scans are matched against: one line stands for a piece of one face of a wall.
//
// Each line has a fixed frame (anchor, normal) and moments of the returns that fell on it, so that adding a return and
// fitting the line are a few operations. A return joins the line of its face that is nearest along the wall, or starts
// a new line where there is none within `half_length_m`. Both faces of a thin wall stay apart, since their normals
// point to opposite sides. Lookup is by a grid of cells that list the anchors in them.

#include <algorithm>
#include <cstdint>
#include <vector>

#include <Eigen/Core>

#include "core/pose2.hpp"

namespace wainscot {

struct LineMapOptions {
  /// Pieces of about 0.3 m: short enough to follow any wall (a round table's edge of radius 0.5 m departs by 3 cm from
  /// its chord), long enough for a slope. The length by hand, on simulated homes whose numbers were not kept.
  double half_length_m = 0.17;
  /// A return further from a line than this starts its own: four times RangeNoise's default and a centimetre for the
  /// line and the pose. By hand, on simulated homes whose numbers were not kept.
  double join_distance_m = 0.07;
  /// Normals within 32 degrees belong to the same face: ten times what noise does to a normal
  /// (NormalOptions::radius_m), and less than half of a right angle, so that a corner's sides stay apart.
  double normal_cosine = 0.85;
};

struct Line {
  // What a lookup reads comes first, so that it lies together in memory.
  Eigen::Vector2d anchor;
  Eigen::Vector2d normal;  ///< unit, to the side that was seen; tangent = normal turned by -90 degrees: (n.y, -n.x)
  Eigen::Vector2d fitted_normal;                   ///< unit normal of the fitted line
  double fitted_offset_m = 0.0;                    ///< distance of the fitted line from the anchor, along fitted_normal
  double first_along_m = 0.0, last_along_m = 0.0;  ///< extent of the returns
  double half_length_m = 0.0;  ///< returns within this of the anchor along the wall belong to the line
  int last_node = 0;           ///< the latest node (or other counter) that touched the line
  int nodes = 0;               ///< how many different ones did
  int returns = 0;
  double weight = 0.0, along = 0.0, across = 0.0, along2 = 0.0, along_across = 0.0;  ///< weighted moments, 1/m^2, ...
  double offset_m = 0.0;  ///< the fitted line: across = offset_m + slope * along
  double slope = 0.0;
  double slope_variance = 0.0;  ///< of the fit, from the returns' own variances
  double range_bias_m = 0.0;    ///< what this surface adds to a measured range

  double along_of(const Eigen::Vector2d& p) const {
    const Eigen::Vector2d d = p - anchor;
    return normal.y() * d.x() - normal.x() * d.y();
  }
  double across_of(const Eigen::Vector2d& p) const { return normal.dot(p - anchor); }
  /// Signed distance of a point from the fitted line, metres.
  double distance_of(const Eigen::Vector2d& p) const { return fitted_normal.dot(p - anchor) - fitted_offset_m; }
  /// Sets offset and slope, and what follows from them.
  void set_fit(double fit_offset_m, double fit_slope);
};

/// Adds points along the fitted line, from its first return to its last, each `spacing_m`.
void add_samples(const Line& line, double spacing_m, std::vector<Eigen::Vector2d>& samples);

/// What a return asks of its line beyond the options.
struct LineReach {
  double spacing_m = 0.0;  ///< between the returns of its scan along the wall: pieces are long where these are sparse
  double noise_m = 0.0;    ///< of its range: it joins a line within four times this
};

class LineMap {
 public:
  static constexpr std::int32_t kNone = -1;  ///< no line is numbered so

  explicit LineMap(const LineMapOptions& options = {});

  /// A map of lines that are fitted already: those of another map's `lines()`.
  explicit LineMap(std::vector<Line> lines, const LineMapOptions& options = {});

  /// Adds one return with its normal; `weight` = 1 / variance across the line. `oldest_node`: lines last touched before
  /// it are passed over. Returns the line's index.
  std::int32_t add(const Eigen::Vector2d& point, const Eigen::Vector2d& normal, double weight, int node,
                   int oldest_node, const LineReach& reach = {});

  /// Fits offset and slope of the lines touched since the last call. To be called before matching.
  void fit();

  /// The line whose face the return lies on: the smallest distance among those within `gate_m` across, within reach
  /// along, with an agreeing normal, and touched at or after `oldest_node`; kNone if there is none. `likely` (or kNone)
  /// is a line that the return may well lie on, its neighbour's: taken without a search where it is abreast and within
  /// 2 cm.
  std::int32_t find(const Eigen::Vector2d& point, const Eigen::Vector2d& normal, double gate_m, int oldest_node = 0,
                    std::int32_t likely = kNone) const;

  /// Removes the lines that no node touched at or after `oldest_node`; indices of the others change.
  void forget(int oldest_node);

  const std::vector<Line>& lines() const { return lines_; }
  std::vector<Line>& mutable_lines() { return lines_; }

 private:
  struct Entry {
    std::int32_t line;
    std::int32_t next;  ///< in the same cell
  };
  std::int32_t cell_of(double x, double y) const;
  void list_line(std::int32_t i);
  /// How far beyond its outermost returns a line is still believed: about one return's spacing.
  double beyond_m(const Line& line) const { return std::max(options_.half_length_m, 0.3 * line.half_length_m); }
  void reserve_cell(double x, double y);
  void reserve_along(const Line& line);
  void list_lines();
  template <typename Visit>
  void visit_near(double x, double y, const Visit& visit) const;

  LineMapOptions options_;
  std::vector<Line> lines_;
  std::vector<Entry> entries_;
  std::vector<std::int32_t> touched_;
  std::vector<std::int32_t> heads_;  ///< first entry of each cell
  std::int32_t first_column_ = 0, first_row_ = 0, columns_ = 0, rows_ = 0;
};

}  // namespace wainscot
