#include "graph/mapping/map_grid.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <span>
#include <utility>

#include <Eigen/Geometry>

#include "core/rasteriser.hpp"
#include "graph/mapping/grid_size.hpp"
#include "graph/seen_round.hpp"

namespace wainscot {
namespace {

// A margin for the eye, chosen by hand. Beyond 10 m (kFarM) lie few returns of a home: the noise that the grid is drawn
// with is that of the far ones.
constexpr double kMarginM = 0.5;
constexpr double kFarM = 10.0;

/// A visit ends where the robot has gone this far from where the visit began: evidence from one spot is not
/// independent.
constexpr double kVisitM = 1.5;

bool near_occupied(const OccupancyGrid& grid, double x_m, double y_m) {
  const GridFrame& frame = grid.frame;
  const auto column = static_cast<std::int32_t>(std::floor(x_m / frame.cell_size_m)) - frame.first_column;
  const auto row = static_cast<std::int32_t>(std::floor(y_m / frame.cell_size_m)) - frame.first_row;
  for (std::int32_t r = std::max(row - 1, 0); r <= std::min(row + 1, frame.rows - 1); ++r) {
    for (std::int32_t c = std::max(column - 1, 0); c <= std::min(column + 1, frame.columns - 1); ++c) {
      const std::size_t cell =
          static_cast<std::size_t>(r) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(c);
      if (grid.probability[cell] > 0.5F) return true;
    }
  }
  return false;
}

/// The placed scans of each part that has any.
std::vector<std::span<const ScanPose>> scans_of_parts(const std::vector<ScanPose>& scans,
                                                      const std::vector<DrivePart>& parts) {
  std::vector<std::span<const ScanPose>> result;
  for (auto first = scans.begin(); first != scans.end();) {
    const std::size_t part = part_of_scan(parts, first->scan);
    const auto last =
        std::find_if(first, scans.end(), [&](const ScanPose& s) { return part_of_scan(parts, s.scan) != part; });
    result.emplace_back(first, last);
    first = last;
  }
  return result;
}

/// Each part is a visit of its own, at least: what was seen on another day is independent.
void add_part(std::span<const ScanPose> scans, const BeamsOfScan& beams_of, Rasteriser& rasteriser, int& visit) {
  ++visit;
  Eigen::Vector2d visit_begin = scans.front().pose.translation();
  for (const ScanPose& scan : scans) {
    if ((scan.pose.translation() - visit_begin).norm() > kVisitM) {
      ++visit;
      visit_begin = scan.pose.translation();
    }
    rasteriser.add_scan(beams_of(scan), visit);
  }
}

/// What a later drive saw by itself, and what of it is not as it was before.
struct LaterDrive {
  OccupancyGrid grid;
  std::vector<Change> changes;
};

LaterDrive seen_by(std::span<const ScanPose> scans, const BeamsOfScan& beams_of, const OccupancyGrid& before,
                   const RasteriserOptions& options, int drive) {
  Rasteriser alone(before.frame, options);
  int visit = -1;
  add_part(scans, beams_of, alone, visit);
  LaterDrive later{alone.grid(), {}};
  later.changes = find_changes_since(before, later.grid, drive);
  return later;
}

/// Whether most of a change's cells were seen from all sides, as a door leaf is that was seen open.
bool is_seen_from_both_sides(const Change& change, const OccupancyGrid& grid) {
  const auto columns = static_cast<std::size_t>(grid.frame.columns);
  const auto seen = std::count_if(change.cells.begin(), change.cells.end(), [&](std::size_t cell) {
    return is_seen_all_round(grid, static_cast<std::int32_t>(cell % columns),
                             static_cast<std::int32_t>(cell / columns));
  });
  return 2 * static_cast<std::size_t>(seen) > change.cells.size();
}

/// A wall of which the old drives kept few scans, and which a later one only brushed, has not changed.
void drop_brushed(DrawnGrid& drawn) {
  std::erase_if(drawn.changes, [&drawn](const Change& c) { return !is_seen_from_both_sides(c, drawn.grid); });
}

/// The house as the later drive saw it, where it is not as it was.
void take_over(const LaterDrive& later, DrawnGrid& drawn) {
  drawn.changes = apart_from(std::move(drawn.changes), later.changes, drawn.grid.frame);
  for (const Change& change : later.changes) {
    for (const std::size_t cell : change.cells) drawn.grid.probability[cell] = later.grid.probability[cell];
  }
  drawn.changes.insert(drawn.changes.end(), later.changes.begin(), later.changes.end());
}

}  // namespace

double fraction_on_walls(const OccupancyGrid& grid, const std::vector<ScanPose>& scans, const BeamsOfScan& beams_of) {
  constexpr std::size_t kEveryNth = 8;  // an eighth of the scans tells as much
  std::size_t all = 0;
  std::size_t on_walls = 0;
  for (std::size_t i = 0; i < scans.size(); i += kEveryNth) {
    for (const RasterBeam& beam : beams_of(scans[i])) {
      if (!beam.hit || beam.incidence_cosine == 0.0F) continue;
      ++all;
      if (near_occupied(grid, beam.end_x_m, beam.end_y_m)) ++on_walls;
    }
  }
  return all > 0 ? static_cast<double>(on_walls) / static_cast<double>(all) : 0.0;
}

DrawnGrid draw_grid(const Drive& drive, const std::vector<ScanPose>& scans, const BeamsOfScan& beams_of,
                    const RangeNoise& found_noise, double cell_size_m, const std::vector<DrivePart>& parts,
                    const std::vector<std::size_t>& watched) {
  Eigen::AlignedBox2d box;
  for (const ScanPose& scan : scans) {
    box.extend(scan.pose.translation());
    box.extend(scan.seen);
  }
  RasteriserOptions options;
  // Of the far returns: theirs is the tail that would stand behind a wall as a second one.
  const double far_m = std::min(0.7 * drive.robot.lidar.max_range_m, kFarM);
  options.range_noise_m = range_noise(drive.robot.lidar).at(far_m);
  options.found_range_noise_m = found_noise.at(far_m);
  std::vector<std::size_t> placed;
  for (const ScanPose& scan : scans) placed.push_back(scan.scan);
  const Eigen::Vector2d margin = Eigen::Vector2d::Constant(kMarginM + cell_size_m);  // and a cell that is cut
  require_possible_grid(drive, placed, {box.min() - margin, box.max() + margin}, cell_size_m);
  const GridFrame frame = frame_around(box, cell_size_m, kMarginM);
  Rasteriser all(frame, options);
  for (const std::size_t cell : watched) {
    const auto columns = static_cast<std::size_t>(frame.columns);
    all.watch(static_cast<std::int32_t>(cell % columns), static_cast<std::int32_t>(cell / columns));
  }
  std::vector<LaterDrive> later;
  int visit = -1;
  for (const std::span<const ScanPose> part : scans_of_parts(scans, parts)) {
    const auto drive_number = static_cast<int>(part_of_scan(parts, part.front().scan)) + 1;
    if (drive_number > 1) later.push_back(seen_by(part, beams_of, all.grid(), options, drive_number));
    add_part(part, beams_of, all, visit);
  }
  DrawnGrid drawn{all.grid(), find_changes(frame, all.changed_cells()), all.histories()};
  if (!later.empty()) drop_brushed(drawn);
  for (const LaterDrive& house : later) take_over(house, drawn);
  soften_doors(drawn.changes, drawn.grid);
  return drawn;
}

}  // namespace wainscot
