#pragma once

// How a place is searched for, followed and believed (locate.hpp).

#include <cstddef>

#include <Eigen/Core>

namespace wainscot {

struct LocatorOptions {
  double view_way_m = 0.30;     ///< a scan is weighed after this way,
  double view_turn_rad = 0.30;  ///< or this turn: neighbours see nearly the same walls
  double search_way_m = 3.0;    ///< what was seen on this way is searched for
  /// A place fits where at least this part of the returns lies on walls of the map and at most that part where the map
  /// is free or behind its walls: homes change, people stand about, and not all is mapped. After n views, by
  /// first_stricter / sqrt(n) stricter: few views may fit another house by chance, many hardly.
  double least_explained = 0.54;
  double most_contradicted = 0.11;
  double first_stricter = 0.06;  ///< for what lies on walls four times that
  /// By which the misfit of every other place is larger than the best one's; after n views by 1 + 1 / n times that.
  double clear_margin = 0.08;
  /// Much furniture was moved, or much is not mapped: a place fits as well where after `distinct_news` views the part
  /// on walls less twice the contradicted part is this, and every other place's misfit is larger by `distinct_margin`.
  double least_distinct = 0.30;
  double distinct_margin = 0.25;
  double distinct_news = 4.0;
  double turn_view = 0.25;         ///< of a view: what a turn shows where the lidar looks all round is hardly new
  std::size_t weighed_views = 24;  ///< of the last views
  /// ln of the odds that the robot is at a place and not elsewhere, nor at another place of the map: one wrong answer
  /// in 10,000 at most.
  double least_ln_odds = 9.21;
  /// Of a place that is only distinct, against elsewhere, also this times its news, ten to one a view: it contradicts
  /// the map by as much as another room does that was never mapped. Where it is right each view adds to its odds; the
  /// one that was wrong had 1.6 to 1.8 a view (locate --first 34244 --homes 1 --kind half-mapped, try 19), among moved
  /// furniture 33 of 34 had 18 by then (--first 34101 --homes 6 --kind moved-furniture).
  double distinct_ln_odds_a_view = 2.3;
  /// Of the heading of an answer called found, the delay of the lidar's clock times the turn rate and the walls' errors
  /// included, `common_sd` left out: the 95 % interval, 1.96 times this, is 0.3 degrees. A robot that turns before its
  /// delay is known waits. With 99.7 % in that place one of two recorded drives of one floor was found in the other's
  /// map in 89 % of its scans, with 95 % in 97 %.
  double most_told_sd_rad = 0.00267;
  double most_sd_m = 0.03;  ///< of a place that is called found, without `common_sd`
  double most_sd_rad = 0.006;
  /// After odometry had to be left out for a place that lies further aside than an answer may be off, the way on which
  /// the place is doubted. Without, one of 40 tries among moved furniture is wrong (locate --first 34107); with 3 m,
  /// all that is seen would be new, but of a recording's scans 5 % fewer are told, with 1 m 2 % (recordings, an office
  /// floor).
  double aside_way_m = 1.0;
  double keep_margin = 0.28;  ///< places whose misfit is larger than the best one's by this are given up
  std::size_t most_places = 40;
  /// What all answers share and no scan tells: errors of the map's walls and of the lidar's mounting.
  Eigen::Vector3d common_sd{0.0035, 0.0045, 0.0006};
  /// Of the lidar's clock against odometry's, before the robot has turned: a robot that turns by a radian a second
  /// shows a millisecond as 0.06 degrees. 0: it is exact.
  double delay_sd_s = 0.0;
  double delay_walk_s = 1e-4;  ///< by which the delay may wander from one scan to the next
};

}  // namespace wainscot
