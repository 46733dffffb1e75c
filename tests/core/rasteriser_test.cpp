#include "core/rasteriser.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <stdexcept>
#include <vector>

#include <gtest/gtest.h>

#include "tests/core/raster_beams.hpp"

namespace wainscot {
namespace {

/// How long a segment runs inside an axis-parallel square, by cutting it against the four sides one after the other:
/// slow and plain, shares nothing with the rasteriser. Negative: how far the segment misses it by, about.
double length_inside(const Eigen::Vector2d& from, const Eigen::Vector2d& to, const Eigen::Vector2d& low, double size) {
  double enter = 0.0;
  double leave = 1.0;
  for (int axis = 0; axis < 2; ++axis) {
    const double way = to[axis] - from[axis];
    for (const double sign : {1.0, -1.0}) {
      const double depth_from = sign * (from[axis] - low[axis]) + (sign > 0 ? 0.0 : size);
      const double depth_to = depth_from + sign * way;
      if (depth_from < 0 && depth_to < 0) {
        return std::max(depth_from, depth_to);
      }
      if (depth_from < 0) {
        enter = std::max(enter, depth_from / (depth_from - depth_to));
      } else if (depth_to < 0) {
        leave = std::min(leave, depth_from / (depth_from - depth_to));
      }
    }
  }
  return (leave - enter) * (to - from).norm();
}

void expect_cells_of_segment(const GridFrame& frame, const Eigen::Vector2f& from, const Eigen::Vector2f& to) {
  Rasteriser rasteriser(frame);
  const RasterBeam one{from.x(), from.y(), to.x(), to.y(), false, 0.0F};
  rasteriser.add_scan({&one, 1}, 0);
  const OccupancyGrid grid = rasteriser.grid();
  for (std::size_t cell = 0; cell < grid.probability.size(); ++cell) {
    const Eigen::Vector2d low = middle_of(frame, cell).array() - 0.5 * frame.cell_size_m;
    const double inside = length_inside(from.cast<double>(), to.cast<double>(), low, frame.cell_size_m);
    const bool seen = !std::isnan(grid.probability[cell]);
    // A cell of which less than a hair is crossed may be counted either way.
    if (inside > 1e-5) {
      EXPECT_TRUE(seen) << from.transpose() << " -> " << to.transpose() << " cell " << cell << " inside " << inside;
    } else if (inside < -1e-5) {
      EXPECT_FALSE(seen) << from.transpose() << " -> " << to.transpose() << " cell " << cell << " inside " << inside;
    }
  }
}

/// Three scans each at places along `way_m`, each with a wall 1 m above and one 1 m to the left.
void drive_along(double from_m, double to_m, int visit, Rasteriser& rasteriser) {
  const double step_m = from_m < to_m ? 1.0 : -1.0;
  for (double x = from_m; std::abs(x - to_m) > 0.5; x += step_m) {
    const std::vector<RasterBeam> beams{beam(x, 0.0, x, 1.0, true), beam(x, 0.0, x - 1.0, 0.0, true)};
    for (int scan = 0; scan < 3; ++scan) rasteriser.add_scan(beams, visit);
  }
}

TEST(Rasteriser, DrawsFarPlacesLikeNearOnes) {
  const GridFrame frame{0.05, -1000, -100, 2000, 200};
  Rasteriser rasteriser(frame);
  drive_along(-40.025, -10.025, 0, rasteriser);  // a visit that goes on over many metres, forward
  drive_along(45.025, 20.025, 1, rasteriser);    // and back, from far away
  for (int visit = 2; visit < 60; visit += 2) {  // short ones, now here, now there
    drive_along(-30.025, -29.025, visit, rasteriser);
    drive_along(30.025, 31.025, visit + 1, rasteriser);
  }
  const OccupancyGrid grid = rasteriser.grid();
  const auto at = [&](double x, double y) { return grid.probability[cell_at(frame, x, y)]; };
  for (double x = -40.025; x < -10.5; x += 1.0) {
    EXPECT_GT(at(x, 1.001), 0.5F) << x;
    EXPECT_LT(at(x, 0.501), 0.1F) << x;
    EXPECT_TRUE(std::isnan(at(x, 1.501))) << x;
  }
  for (double x = 45.025; x > 20.5; x -= 1.0) {
    EXPECT_GT(at(x, 1.001), 0.5F) << x;
    EXPECT_LT(at(x, 0.501), 0.1F) << x;
  }
  EXPECT_TRUE(std::isnan(at(0.0, 0.0)));
}

TEST(Rasteriser, CrossesTheCellsThatBruteForceFinds) {
  std::mt19937 random(3);
  const GridFrame frame{0.1, -20, 5, 40, 30};
  std::uniform_real_distribution<float> x(-2.0F, 2.0F);
  std::uniform_real_distribution<float> y(0.5F, 3.5F);
  for (int trial = 0; trial < 300; ++trial) {
    expect_cells_of_segment(frame, {x(random), y(random)}, {x(random), y(random)});
  }
}

TEST(Rasteriser, CutsBeamsAtTheFrame) {
  std::mt19937 random(4);
  const GridFrame frame{0.1, -10, -5, 20, 10};
  std::uniform_real_distribution<float> far(-4.0F, 4.0F);
  for (int trial = 0; trial < 300; ++trial) {
    expect_cells_of_segment(frame, {far(random), far(random)}, {far(random), far(random)});
  }
}

TEST(Rasteriser, CrossesStraightAndShortBeams) {
  const GridFrame frame{0.1, 0, 0, 30, 30};
  for (const Eigen::Vector2f& to :
       {Eigen::Vector2f(2.55F, 1.05F), Eigen::Vector2f(1.05F, 2.55F), Eigen::Vector2f(0.05F, 1.05F),
        Eigen::Vector2f(1.06F, 1.07F), Eigen::Vector2f(1.05F, 1.05F), Eigen::Vector2f(2.15F, 2.17F)}) {
    expect_cells_of_segment(frame, {1.05F, 1.05F}, to);
  }
}

TEST(Rasteriser, ASingleStrayHitMakesNoOccupiedCellTwoDo) {
  const GridFrame frame{0.05, 0, 0, 60, 60};
  const RasterBeam stray = beam(0.52, 0.52, 2.02, 1.52, true);
  Rasteriser rasteriser(frame);
  rasteriser.add_scan({&stray, 1}, 0);
  EXPECT_LE(rasteriser.grid().probability[cell_at(frame, 2.02, 1.52)], 0.5F);
  rasteriser.add_scan({&stray, 1}, 0);
  EXPECT_GT(rasteriser.grid().probability[cell_at(frame, 2.02, 1.52)], 0.5F);
}

TEST(Rasteriser, AScanCountsOnceForACellAndItsHitWins) {
  const GridFrame frame{0.05, 0, 0, 60, 60};
  // Ten beams of one scan that end in one cell say no more than one.
  std::vector<RasterBeam> scan;
  for (int i = 0; i < 10; ++i) {
    scan.push_back(beam(0.52, 0.52 + 0.001 * i, 2.02, 1.52, true));
  }
  Rasteriser many(frame);
  many.add_scan(scan, 0);
  Rasteriser one(frame);
  one.add_scan({scan.data(), 1}, 0);
  const std::size_t end = cell_at(frame, 2.02, 1.52);
  EXPECT_EQ(many.grid().probability[end], one.grid().probability[end]);
  // A beam of the same scan that crosses the cell takes nothing from the hit.
  scan.push_back(beam(2.02, 0.52, 2.02, 2.52, false));
  Rasteriser crossed(frame);
  crossed.add_scan(scan, 0);
  EXPECT_EQ(crossed.grid().probability[end], one.grid().probability[end]);
}

TEST(Rasteriser, WhatMovedAwayIsRemovedByLaterVisits) {
  const GridFrame frame{0.05, 0, 0, 60, 60};
  Rasteriser rasteriser(frame);
  const std::size_t there = cell_at(frame, 1.52, 0.52);
  const RasterBeam blocked = beam(0.52, 0.52, 1.52, 0.52, true);
  const RasterBeam open = beam(0.52, 0.52, 2.52, 0.52, true);
  for (int scan = 0; scan < 600; ++scan) {  // a minute with someone in the way
    rasteriser.add_scan({&blocked, 1}, 0);
  }
  EXPECT_GT(rasteriser.grid().probability[there], 0.5F);
  for (int scan = 0; scan < 20; ++scan) {
    rasteriser.add_scan({&open, 1}, 1);
  }
  EXPECT_LT(rasteriser.grid().probability[there], 0.5F);
}

// A door across a beam's way in visits 0 and 2, open in 1 and 3; the wall beside it always stands.
TEST(Rasteriser, CellsOfADoorChangeThoseOfAWallDoNot) {
  const GridFrame frame{0.05, 0, 0, 60, 60};
  Rasteriser rasteriser(frame);
  for (int visit = 0; visit < 4; ++visit) {
    const bool shut = visit % 2 == 0;
    for (int scan = 0; scan < 12; ++scan) {
      const std::vector<RasterBeam> beams{beam(0.52, 0.52, shut ? 1.52 : 2.52, 0.52, true),
                                          beam(0.52, 0.52, 1.52, 1.52, true)};
      rasteriser.add_scan(beams, visit);
    }
  }
  rasteriser.grid();
  const std::vector<ChangedCell> changed = rasteriser.changed_cells();
  ASSERT_EQ(changed.size(), 1U);
  EXPECT_EQ(changed[0].column, 30);
  EXPECT_EQ(changed[0].row, 10);
  EXPECT_EQ(changed[0].visits_there, 2);
  EXPECT_EQ(changed[0].visits_gone, 2);
}

// A shelf's board, seen in visits 0 and 2; in 1 and 3 it answers from between itself and what is behind it.
TEST(Rasteriser, WhatIsSeenVaguelyHasNotGone) {
  const GridFrame frame{0.05, 0, 0, 60, 60};
  const auto changed_where = [&frame](bool vague) {
    Rasteriser rasteriser(frame);
    for (int visit = 0; visit < 4; ++visit) {
      for (int scan = 0; scan < 12; ++scan) {
        std::vector<RasterBeam> beams{beam(0.52, 0.52, visit % 2 == 0 ? 1.52 : 2.52, 0.52, true),
                                      beam(0.52, 0.42, visit % 2 == 0 ? 1.52 : 1.62, 0.52, true)};
        beams.back().vague = visit % 2 != 0;
        if (beams.back().vague && !vague) beams.pop_back();
        rasteriser.add_scan(beams, visit);
      }
    }
    rasteriser.grid();
    return rasteriser.changed_cells().size();
  };
  EXPECT_EQ(changed_where(true), 0U);
  EXPECT_EQ(changed_where(false), 1U);
}

// However often it ends in a cell, a vague beam neither fills nor empties it, and what others of its scan say there
// counts where they hit only. Before its end it has crossed what is free, as each beam has.
TEST(Rasteriser, AVagueBeamSaysNothingOfWhereItEnds) {
  const GridFrame frame{0.05, 0, 0, 60, 60};
  RasterBeam vague = beam(0.52, 0.52, 2.02, 0.52, true, 0.0);
  vague.vague = true;
  const RasterBeam on = beam(0.52, 0.52, 2.52, 0.52, true);
  const RasterBeam hit = beam(2.02, 1.52, 2.02, 0.52, true);
  const auto seen = [&frame](const std::vector<RasterBeam>& beams) {
    Rasteriser rasteriser(frame);
    for (int scan = 0; scan < 5; ++scan) rasteriser.add_scan(beams, 0);
    return rasteriser.grid().probability;
  };
  const std::size_t end = cell_at(frame, 2.02, 0.52);
  EXPECT_TRUE(std::isnan(seen({vague})[end]));
  EXPECT_LT(seen({vague})[cell_at(frame, 1.02, 0.52)], 0.1F);
  EXPECT_LT(seen({on})[end], 0.1F);
  EXPECT_TRUE(std::isnan(seen({vague, on})[end]));
  EXPECT_EQ(seen({vague, on, hit})[end], seen({hit})[end]);
}

// Half of the beams of each visit go through a pane, the others come back from it.
TEST(Rasteriser, APaneIsNoChangedCell) {
  Rasteriser rasteriser({0.05, 0, 0, 60, 60});
  for (int scan = 0; scan < 80; ++scan) {
    const RasterBeam one = beam(0.52, 0.52, scan % 2 == 0 ? 1.52 : 2.52, 0.52, true);
    rasteriser.add_scan({&one, 1}, scan / 20);
  }
  rasteriser.grid();
  EXPECT_TRUE(rasteriser.changed_cells().empty());
}

TEST(Rasteriser, WhatManyVisitsSawOutlastsOneThatMissedIt) {
  const GridFrame frame{0.05, 0, 0, 60, 60};
  Rasteriser rasteriser(frame);
  const RasterBeam blocked = beam(0.52, 0.52, 1.52, 0.52, true);
  const RasterBeam missed = beam(0.52, 0.52, 2.52, 0.52, true);
  for (int visit = 0; visit < 3; ++visit) {
    for (int scan = 0; scan < 10; ++scan) {
      rasteriser.add_scan({&blocked, 1}, visit);
    }
  }
  for (int scan = 0; scan < 500; ++scan) {
    rasteriser.add_scan({&missed, 1}, 3);
  }
  EXPECT_GT(rasteriser.grid().probability[cell_at(frame, 1.52, 0.52)], 0.5F);
}

TEST(Rasteriser, GrazingBeamsLeaveTheWallTheyRunAlong) {
  // A wall along x at y = 1.01, seen from 0.3 m away at flat angles: every beam's last stretch runs in the wall's own
  // row of cells.
  const GridFrame frame{0.05, 0, 0, 120, 40};
  Rasteriser rasteriser(frame);
  for (int scan = 0; scan < 30; ++scan) {
    std::vector<RasterBeam> beams;
    for (int i = 0; i < 60; ++i) {
      const double across = 1.2 + 0.07 * i;
      beams.push_back(beam(0.3 + 0.001 * scan, 0.71, 0.3 + across, 1.01, true, 0.3 / std::hypot(across, 0.3)));
    }
    rasteriser.add_scan(beams, scan / 10);
  }
  const OccupancyGrid grid = rasteriser.grid();
  int occupied = 0;
  for (double x = 1.525; x < 5.6; x += 0.05) {
    const std::size_t cell = cell_at(frame, x, 1.01);
    occupied += grid.probability[cell] > 0.5F ? 1 : 0;
  }
  EXPECT_GE(occupied, 50) << "of 82 cells, of which the beams' ends reach 58";
}

TEST(Rasteriser, AThinLegSurvivesBeamsThatPassIt) {
  // A leg of 24 mm in cells of 50 mm, 2 m away, beams 1 degree (35 mm) apart at random phase.
  const GridFrame frame{0.05, 0, 0, 100, 60};
  std::mt19937 random(5);
  std::uniform_real_distribution<double> phase(0.0, 1.0);
  Rasteriser rasteriser(frame);
  const Eigen::Vector2d leg(3.03, 1.52);
  for (int scan = 0; scan < 200; ++scan) {
    const double offset = phase(random);
    std::vector<RasterBeam> beams;
    for (int i = -10; i < 10; ++i) {
      const double angle = (i + offset) * kPi / 180;
      const Eigen::Vector2d direction(std::cos(angle), std::sin(angle));
      const Eigen::Vector2d origin(1.02, 1.50);
      const double along = direction.dot(leg - origin);
      const double across = (leg - origin - along * direction).norm();
      const double range = across < 0.012 ? along - 0.012 : 3.5 / direction.x();
      const Eigen::Vector2d end = origin + range * direction;
      beams.push_back(beam(origin.x(), origin.y(), end.x(), end.y(), true));
    }
    rasteriser.add_scan(beams, scan / 50);
  }
  EXPECT_GT(rasteriser.grid().probability[cell_at(frame, leg.x(), leg.y())], 0.5F);
}

TEST(FrameAround, LiesOnTheLatticeAndCovers) {
  const GridFrame frame = frame_around({Eigen::Vector2d(-1.02, 0.31), Eigen::Vector2d(2.01, 0.32)}, 0.05, 0.1);
  EXPECT_EQ(frame.first_column, -23);
  EXPECT_EQ(frame.first_row, 4);
  EXPECT_EQ(frame.columns, 43 + 23);
  EXPECT_EQ(frame.rows, 9 - 4);
  EXPECT_EQ(frame_around({Eigen::Vector2d(1, 1), Eigen::Vector2d(1, 1)}, 0.25, 0.0).columns, 1);
}

TEST(FrameAround, RefusesWhatIsNoFrame) {
  const Eigen::AlignedBox2d box(Eigen::Vector2d(0, 0), Eigen::Vector2d(1, 1));
  EXPECT_THROW(frame_around({}, 0.05, 0.1), std::invalid_argument);
  EXPECT_THROW(frame_around(box, 0.0, 0.1), std::invalid_argument);
  EXPECT_THROW(frame_around(box, 0.05, -1.0), std::invalid_argument);
  EXPECT_THROW(frame_around({Eigen::Vector2d(0, 0), Eigen::Vector2d(1e6, 1e6)}, 0.05, 0.0), std::invalid_argument);
  EXPECT_THROW(Rasteriser(GridFrame{}), std::invalid_argument);
}

TEST(Rasteriser, TellsWhatHappenedToAWatchedCell) {
  const GridFrame frame{0.1, 0, 0, 40, 3};
  Rasteriser rasteriser(frame);
  rasteriser.watch(20, 1);
  EXPECT_THROW(rasteriser.watch(40, 1), std::invalid_argument);
  const RasterBeam ends = beam(0.05, 0.15, 2.05, 0.15, true);
  const RasterBeam passes = beam(0.05, 0.15, 3.5, 0.15, true);
  const RasterBeam beside = beam(0.05, 0.15, 0.6, 0.15, true);
  rasteriser.add_scan({&ends, 1}, 0);
  rasteriser.add_scan({&beside, 1}, 0);
  rasteriser.add_scan({&ends, 1}, 0);
  rasteriser.add_scan({&passes, 1}, 1);
  const std::vector<CellEvent> events = rasteriser.histories().at(0);
  ASSERT_EQ(events.size(), 3U);
  EXPECT_EQ(events[0].scan, 0U);
  EXPECT_EQ(events[1].scan, 2U);
  EXPECT_TRUE(events[1].hit);
  EXPECT_EQ(events[1].visit_hits, 2);
  EXPECT_FALSE(events[2].hit);
  EXPECT_EQ(events[2].visit, 1);
  EXPECT_EQ(events[2].visit_hits, 0);
  EXPECT_EQ(events[2].visit_crossings, 1);
  const RasteriserOptions voting;
  EXPECT_NEAR(events[0].log_odds, voting.prior_log_odds + voting.hit_log_odds, 1e-6);
  EXPECT_NEAR(events[1].log_odds, voting.prior_log_odds + 2.0 * voting.hit_log_odds, 1e-6);
  EXPECT_NEAR(events[2].log_odds, events[1].log_odds - voting.free_log_odds, 1e-6);
  const OccupancyGrid grid = rasteriser.grid();
  EXPECT_NEAR(grid.probability[cell_at(frame, 2.05, 0.15)], 1.0 / (1.0 + std::exp(-events[2].log_odds)), 1e-5);
}

}  // namespace
}  // namespace wainscot
