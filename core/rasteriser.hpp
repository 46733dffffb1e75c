#pragma once

// Draws an occupancy grid from laser beams that the robot's motion no longer distorts.
//
// Every cell that a beam crosses votes "free", the cell that it ends in votes "hit"; votes add up as log-odds (H.
// Moravec, A. Elfes, "High resolution maps from wide angle sonar", ICRA 1985). The cells are those of J. Amanatides, A.
// Woo, "A fast voxel traversal algorithm for ray tracing", Eurographics 1987, walked column by column of the longer
// axis, which needs no decision from cell to cell.
//
// What makes the picture sharp and lasting:
// - A scan counts at most once for each cell, and a hit of it outweighs its crossings, so near walls count no more than
//   far ones.
// - A visit (a stretch of time at one place) adds a bounded amount of evidence, and the sum is bounded too (as in M.
//   Yguel, O. Aycard, C. Laugier, "Update policy of dense maps", FSR 2007): a person who stood in the way for a minute
//   is gone after a later visit or two that saw the floor there.
// - Where a beam comes near the surface that it ends on, it gives no free votes; a grazing beam does so over a longer
//   part of its way. So thin legs and walls seen at a flat angle survive.
// - Range noise spreads the hits of one wall face over two or three cells. Across the wall the cell with the most hits
//   takes those of its neighbours, so that a face is one cell thick.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include <Eigen/Geometry>

#include "core/cell_votes.hpp"
#include "core/occupancy_grid.hpp"

namespace wainscot {

/// One beam in the map frame, metres. Finite.
struct RasterBeam {
  float origin_x_m;  ///< where the lidar was at the beam's moment
  float origin_y_m;
  float end_x_m;  ///< where the beam ended, or how far it was free
  float end_y_m;
  bool hit;  ///< something answered at the end
  /// Between the beam and the normal of the surface that it met, 0..1: 1 head-on, 0 along the wall or not known.
  float incidence_cosine;
  /// Of a hit: answered from between two surfaces, or from a wall at so flat an angle that it looks like it. It is no
  /// evidence of a surface where it ended, nor that what stands around there has gone.
  bool vague = false;
};

struct RasteriserOptions {
  double hit_log_odds = 1.5;   ///< one scan's hit
  double free_log_odds = 0.5;  ///< one scan's crossing: weaker, since a thin leg fills a part of its cell only
  /// Before anything was seen. One hit alone must not make an occupied cell, two may.
  double prior_log_odds = -2.2;
  double visit_limit_log_odds = 4.0;  ///< the most that one visit adds or takes
  double total_limit_log_odds = 6.0;  ///< the furthest from even that a cell can be
  /// Standard deviation of where a beam ends, along the beam: nearer to its end than three times this it gives no free
  /// votes.
  double range_noise_m = 0.02;
  /// The same as the scans show it: what a face's hits are gathered over.
  double found_range_noise_m = 0.02;
  /// A beam gives no free votes where it is nearer to the surface that it met than this: cells hold pieces of wall.
  double unvoted_before_surface_cells = 1.5;
  double least_incidence_cosine = 0.15;  ///< flatter beams are taken as if they met the surface at this cosine
};

/// The whole cells that cover `box_m` with `margin_m` (>= 0) around it. Throws std::invalid_argument where the box is
/// empty or not finite, the cell size not positive, or the frame would have more than 400 million cells.
GridFrame frame_around(const Eigen::AlignedBox2d& box_m, double cell_size_m, double margin_m);

/// A cell in which something stood during some visits and not during others.
struct ChangedCell {
  std::int32_t column = 0;
  std::int32_t row = 0;
  int visits_there = 0;  ///< in which scans ended there and hardly any saw through
  int visits_gone = 0;   ///< in which scans saw through and none ended there or in the cells around
};

/// One scan that touched a cell, for explaining how its probability came about.
struct CellEvent {
  std::size_t scan = 0;  ///< which call of add_scan, from 0
  int visit = 0;         ///< as given there
  bool hit = false;      ///< a beam ended in the cell; else some only crossed it
  int visit_hits = 0;    ///< scans of this visit so far, this one included
  int visit_crossings = 0;
  double log_odds = 0.0;  ///< of the cell, if the visit ended with this scan
};

class Rasteriser {
 public:
  /// Beams may leave the frame: what lies outside is not drawn. Throws std::invalid_argument for an empty frame.
  explicit Rasteriser(const GridFrame& frame, const RasteriserOptions& options = {});

  /// Adds one scan. Another `visit` than the call before ends that visit; the numbers have no further meaning.
  void add_scan(std::span<const RasterBeam> beams, int visit);

  /// Records from now on what scans do to a cell of the frame.
  void watch(std::int32_t column, std::int32_t row);

  /// Of each watched cell, in the order of `watch`.
  const std::vector<std::vector<CellEvent>>& histories() const { return histories_; }

  /// The map from all scans added. A cell is occupied where its probability is above 0.5.
  OccupancyGrid grid();

  /// Row by row, as of the last call of grid(). A pane, which lets some beams of each visit through, is none.
  std::vector<ChangedCell> changed_cells() const;

 private:
  struct Cell {
    std::int32_t column;
    std::int32_t row;
  };

  /// Cells of a rectangle: columns first..last and rows first..last, both included.
  struct CellBox {
    std::int32_t first_column;
    std::int32_t last_column;
    std::int32_t first_row;
    std::int32_t last_row;

    void extend(const Cell& cell);
  };

  /// Of the beams, in cells, within the frame.
  CellBox box_of(std::span<const RasterBeam> beams) const;
  void make_window_hold(const CellBox& box);
  void mark_crossed(Eigen::Vector2d from, Eigen::Vector2d to, CellBox& touched);
  std::optional<Cell> cell_with(const Eigen::Vector2d& end) const;
  void mark_vague(const Cell& cell, CellBox& touched);
  void mark_hit(const Cell& cell, const Eigen::Vector2f& direction, CellBox& touched);
  void count_marks(const CellBox& touched);
  void end_visit();
  float after_visit(float log_odds, int hits, int crossings) const;
  void record_watched();
  void mark_near_hits(std::uint8_t mark);
  void mark_around(const Cell& cell, std::uint8_t mark);
  void count_visit(std::size_t at, VisitVotes& votes) const;
  std::size_t index(std::int32_t column, std::int32_t row) const {
    return static_cast<std::size_t>(row) * static_cast<std::size_t>(votes_.frame.columns) +
           static_cast<std::size_t>(column);
  }
  /// Of a cell of the window.
  std::size_t in_window(std::int32_t column, std::int32_t row) const {
    return static_cast<std::size_t>(row - window_.first_row) * window_columns_ +
           static_cast<std::size_t>(column - window_.first_column);
  }

  CellVotes votes_;  ///< of all visits that have ended; directions of hits: of all scans
  RasteriserOptions options_;
  int visit_ = 0;
  int scans_of_visit_ = 0;
  CellBox visit_box_;
  // The part of the frame that the visit at hand may touch. One value a cell, each in a vector of its own, so that the
  // sweeps over them are a few instructions wide.
  CellBox window_{0, -1, 0, -1};
  std::size_t window_columns_ = 0;
  std::vector<std::uint8_t> mark_;         // of the scan at hand; at a visit's end, what lies near its hits
  std::vector<std::uint16_t> visit_hits_;  // scans of the visit at hand
  std::vector<std::uint16_t> visit_crossings_;
  std::vector<Cell> visit_vague_;  // where vague beams of the visit at hand ended
  std::size_t scans_ = 0;
  std::vector<std::size_t> watched_;  // cells
  std::vector<std::vector<CellEvent>> histories_;
};

}  // namespace wainscot
