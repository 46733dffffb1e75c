#pragma once

// The map of a drive that is still being recorded: again and again the whole of it so far is mapped, as `build` does,
// by a thread that leaves the processor to everything else. So what is shown is never worse than what `build` would
// give, whatever robot.yaml lacks or misstates, and nothing has to be patched when a loop closes.

#include <condition_variable>
#include <filesystem>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <thread>

#include "core/drive.hpp"
#include "core/robot.hpp"
#include "graph/map.hpp"
#include "graph/mapping/map_verdict.hpp"
#include "io/page/live_page.hpp"

namespace wainscot {

/// What one round of mapping came to.
struct MappedSoFar {
  std::shared_ptr<const Map> map;  ///< none: the drive gives no map yet,
  std::string why_not;             ///< for this reason
  Robot robot;                     ///< with what the drive shows of it
  MapVerdict verdict;
  TimedPose last_node;  ///< where the map has the robot at the last node, by the time of its scan as read
  LiveMapPicture picture;
};

class GrowingMap {
 public:
  /// `cell_size_m`: of the grid.
  GrowingMap(std::filesystem::path drive, double cell_size_m);
  GrowingMap(const GrowingMap&) = delete;
  GrowingMap& operator=(const GrowingMap&) = delete;
  /// Gives up the round that runs.
  ~GrowingMap();

  /// Asks for another round; while one runs, for one after it.
  void ask();

  /// What the last round found, once.
  std::optional<MappedSoFar> take();

 private:
  struct GivenUp {};

  void work();
  MappedSoFar round() const;

  std::filesystem::path drive_;
  double cell_size_m_;
  mutable std::mutex mutex_;
  std::condition_variable changed_;
  bool is_asked_ = false;
  bool ends_ = false;
  std::optional<MappedSoFar> found_;
  std::thread thread_;  ///< the last member: it uses the others
};

}  // namespace wainscot
