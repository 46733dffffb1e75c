#include "tests/bench/pair_score.hpp"

#include <algorithm>
#include <cmath>

#include "core/errors.hpp"
#include "core/median.hpp"
#include "graph/constants.hpp"
#include "graph/extend/extended_map.hpp"
#include "graph/extend/shared_house.hpp"
#include "graph/known/map_views.hpp"
#include "graph/known/whole_drive.hpp"
#include "io/map/known_map.hpp"

namespace wainscot::bench {
namespace {

constexpr float kOccupied = 0.5F;  // as graph/known/known_map has it

/// How far an answer lies from the place that the drive's own map gives, in that place's axes.
Pose2 off_by(const FoundScan& answer, const Pose2& other_own) {
  Pose2 off = between(other_own * answer.in_own, answer.in_other);
  off.heading_rad = wrap_angle(off.heading_rad);
  return off;
}

bool agrees(const Pose2& off) {
  return off.translation().norm() <= kAgrees_m && std::abs(off.heading_rad) <= kAgrees_rad;
}

/// The motion by which `extend` would lay the own map on the other, if it is sure.
std::optional<Pose2> motion_of_maps(const KnownMap& other, const SavedMap& own, std::string& doubt) {
  const Drive& drive = own.drives.front();
  const std::vector<LaidOn> ways =
      ways_to_lay_on(other, map_views(own.map, own.drives), range_noise(drive.robot.lidar));
  doubt = doubt_of(ways).value_or("");
  if (!doubt.empty()) return std::nullopt;
  return ways.front().first_second;
}

std::vector<FoundScan> counted_answers(const std::vector<LocatedScan>& rows,
                                       const std::vector<std::optional<Pose2>>& own_pose_of_scan,
                                       LocatedDrive& located) {
  std::vector<FoundScan> answers;
  for (const LocatedScan& row : rows) {
    located.ambiguous += row.location.answer == Answer::ambiguous ? 1 : 0;
    located.lost += row.location.answer == Answer::lost ? 1 : 0;
    if (row.location.answer != Answer::found) continue;
    ++located.found;
    const std::optional<Pose2>& own = own_pose_of_scan.at(row.scan);
    if (own) answers.push_back({row.location.places.front().pose, *own});
  }
  located.scans = rows.size();
  return answers;
}

/// 1 where the middle of a cell within kOnWall_m of the middle of this one is occupied.
std::vector<char> beside_walls(const OccupancyGrid& grid) {
  const GridFrame& frame = grid.frame;
  std::vector<char> beside(grid.probability.size(), 0);
  const double reach_cells = kOnWall_m / frame.cell_size_m + 1e-6;
  const auto reach = static_cast<int>(reach_cells);
  for (int row = 0; row < frame.rows; ++row) {
    for (int column = 0; column < frame.columns; ++column) {
      const auto at =
          static_cast<std::size_t>(row) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(column);
      if (!(grid.probability[at] > kOccupied)) continue;
      for (int r = std::max(0, row - reach); r <= std::min(frame.rows - 1, row + reach); ++r) {
        for (int c = std::max(0, column - reach); c <= std::min(frame.columns - 1, column + reach); ++c) {
          if (std::hypot(r - row, c - column) > reach_cells) continue;
          beside[static_cast<std::size_t>(r) * static_cast<std::size_t>(frame.columns) + static_cast<std::size_t>(c)] =
              1;
        }
      }
    }
  }
  return beside;
}

double share_of(const std::vector<char>& cells, const GridFrame& frame, const std::vector<ScanPoint>& points,
                const Pose2& pose) {
  std::size_t inside = 0;
  for (const ScanPoint& p : points) {
    const Eigen::Vector2d cell =
        (pose * Eigen::Vector2d(p.x_m, p.y_m) - frame.lower_left_corner_m()) / frame.cell_size_m;
    if (!(cell.x() >= 0.0 && cell.y() >= 0.0 && cell.x() < frame.columns && cell.y() < frame.rows)) continue;
    inside += cells[static_cast<std::size_t>(cell.y()) * static_cast<std::size_t>(frame.columns) +
                    static_cast<std::size_t>(cell.x())] != 0
                  ? 1
                  : 0;
  }
  return points.empty() ? 0.0 : static_cast<double>(inside) / static_cast<double>(points.size());
}

bool comes_by(const std::vector<TrajectoryRow>& path, const Pose2& here) {
  return std::any_of(path.begin(), path.end(), [&here](const TrajectoryRow& row) {
    return (row.pose.translation() - here.translation()).norm() <= kDriven_m;
  });
}

/// Counts the scans that see what is mapped, and those taken where the other drive came by. A turn of the lidar is
/// taken as one moment, good to kOnWall_m.
void count_mapped(const std::vector<LocatedScan>& rows, const std::vector<std::optional<Pose2>>& own_pose_of_scan,
                  const Pose2& other_own, const Map& other, const KnownRobot& robot, LocatedDrive& located) {
  const std::vector<char> beside = beside_walls(other.grid);
  for (const LocatedScan& row : rows) {
    const std::optional<Pose2>& own = own_pose_of_scan.at(row.scan);
    if (!own) continue;
    const bool found = row.location.answer == Answer::found;
    const bool driven = comes_by(other.trajectory, other_own * *own);
    located.driven += driven ? 1 : 0;
    located.driven_found += driven && found ? 1 : 0;
    const std::vector<ScanPoint> points =
        correct_motion(robot.drive.scans[row.scan], robot.lidar, robot.drive.robot.lidar.max_range_m, {});
    if (share_of(beside, other.grid.frame, points, other_own * *own) < kMappedShare) continue;
    ++located.mapped;
    located.mapped_found += found ? 1 : 0;
  }
}

}  // namespace

double mapped_share(const OccupancyGrid& grid, const std::vector<ScanPoint>& points, const Pose2& pose) {
  return share_of(beside_walls(grid), grid.frame, points, pose);
}

std::optional<Pose2> motion_of_most(const std::vector<FoundScan>& answers) {
  constexpr std::size_t kMostTried = 300;  // evenly spread over the drive: some metres apart at most
  const std::size_t step = answers.size() / kMostTried + 1;
  std::optional<Pose2> best;
  std::ptrdiff_t most = 0;
  for (std::size_t i = 0; i < answers.size(); i += step) {
    const Pose2 motion = answers[i].in_other * inverse(answers[i].in_own);
    const auto agreeing = std::count_if(answers.begin(), answers.end(),
                                        [&](const FoundScan& answer) { return agrees(off_by(answer, motion)); });
    if (agreeing <= most) continue;
    most = agreeing;
    best = motion;
  }
  return best;
}

void judge(const std::vector<FoundScan>& answers, const Pose2& other_own, LocatedDrive& located) {
  std::vector<double> off_m;
  for (const FoundScan& answer : answers) {
    const Pose2 off = off_by(answer, other_own);
    off_m.push_back(off.translation().norm());
    located.agreeing += agrees(off) ? 1 : 0;
    located.near += off_m.back() <= kAgrees_m ? 1 : 0;
  }
  located.judged = answers.size();
  located.median_m = median(off_m);
  located.worst_m = off_m.empty() ? 0.0 : *std::max_element(off_m.begin(), off_m.end());
}

LocatedDrive score_located(const SavedMap& other, const RecordedDrive& recorded, const SavedMap& own,
                           const std::vector<std::optional<Pose2>>& own_pose_of_scan) {
  LocatedDrive located;
  const KnownMap map = known_map(other);
  const KnownRobot robot = with_found_constants(recorded.drive, other);
  const std::vector<LocatedScan> rows = locate_whole_drive(map, robot.drive, robot.lidar, robot.options);
  const std::vector<FoundScan> answers = counted_answers(rows, own_pose_of_scan, located);
  std::optional<Pose2> motion = motion_of_maps(map, own, located.doubt);
  located.laid_by = "maps";
  if (!motion) {
    motion = motion_of_most(answers);
    located.laid_by = motion ? "answers" : "";
  }
  if (!motion) return located;
  judge(answers, *motion, located);
  count_mapped(rows, own_pose_of_scan, *motion, other.map, robot, located);
  return located;
}

ExtendedDrive score_extended(const SavedMap& first, const RecordedDrive& second,
                             const std::vector<Eigen::Vector2d>& walls) {
  ExtendedDrive result;
  std::vector<Drive> drives = first.drives;
  drives.push_back(second.drive);
  try {
    const Map map = extend_map(first.map, drives, first.drives.size(), {});
    result.joined = true;
    result.closures = static_cast<std::size_t>(
        std::count_if(map.candidates.begin(), map.candidates.end(), [&map](const LoopCandidate& candidate) {
          return candidate.verdict == Verdict::accepted &&
                 map.graph.nodes[candidate.from].drive != map.graph.nodes[candidate.to].drive;
        }));
    if (!walls.empty()) result.walls = align_to_walls(occupied_cells(map.grid), walls);
  } catch (const PoorData& refused) {
    result.why_not = refused.what();
  } catch (const InputError& refused) {
    result.why_not = refused.what();
  }
  return result;
}

}  // namespace wainscot::bench
