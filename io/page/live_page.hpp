#pragma once

// The page of a drive that is being recorded, and what it is told (io/page/live.js shows it).

#include <string>
#include <vector>

#include <Eigen/Core>

#include "core/occupancy_grid.hpp"
#include "core/pose2.hpp"
#include "graph/live/open_edges.hpp"
#include "graph/map.hpp"

namespace wainscot {

struct LivePage {
  std::string drive;  ///< names, any text
  std::string out;
  bool simulated = false;
  std::string program_version;
  std::string key;  ///< the word by which its script asks for events
};

/// Loads nothing from anywhere but the server that it is from. Well-formed as XML too.
std::string live_page(const LivePage& page);

/// What of a map takes long to make, of a large one a second: a thread of its own may do it.
struct LiveMapPicture {
  double left_m = 0.0;  ///< of the picture, in the map's frame
  double top_m = 0.0;
  double width_m = 0.0;
  double height_m = 0.0;
  std::string png;  ///< base64; of a large grid a pixel is several cells
  std::vector<OpenEdge> edges;
};
LiveMapPicture live_map_picture(const OccupancyGrid& grid);

/// A map of the drive so far.
struct LiveMapNews {
  const Map* map = nullptr;                 ///< not null,
  const LiveMapPicture* picture = nullptr;  ///< nor this
  std::string verdict;                      ///< a sentence
  double since_loop_m = 0.0;                ///< way since a loop was closed last, or since the beginning
  std::vector<Pose2> tail;                  ///< the way since the map's end, in its frame
};
std::string live_map_json(const LiveMapNews& news);

/// Where the robot is now, in the frame of the last map.
struct LiveHereNews {
  double time_s = 0.0;
  Pose2 pose;
  std::string sure;  ///< for people
  double speed_m_s = 0.0;
  double turn_rad_s = 0.0;
  std::vector<Eigen::Vector2d> seen_m;  ///< what the lidar sees, same frame
};
std::string live_here_json(const LiveHereNews& news);

/// What is to be said.
struct LiveMomentNews {
  std::string state;                  ///< what the program is doing, a sentence
  std::vector<std::string> warnings;  ///< that hold now
  std::vector<std::string> log;       ///< what happened, the oldest first
};
std::string live_moment_json(const LiveMomentNews& news);

/// The last: a sentence.
std::string live_end_json(const std::string& words);

}  // namespace wainscot
