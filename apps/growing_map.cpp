#include "apps/growing_map.hpp"

#include <chrono>
#include <exception>
#include <utility>

#include <sys/resource.h>

#include "apps/mapping/drive_to_map.hpp"
#include "core/errors.hpp"
#include "graph/mapping/mapper.hpp"

namespace wainscot {
namespace {

/// Only what nobody else wants of the processor. Linux counts this by threads; elsewhere, or where it is refused,
/// rounds take from the rest what a thread takes.
void give_way() {
  constexpr int kLeast = 19;
  ::setpriority(PRIO_PROCESS, 0, kLeast);
}

}  // namespace

GrowingMap::GrowingMap(std::filesystem::path drive, double cell_size_m)
    : drive_(std::move(drive)), cell_size_m_(cell_size_m), thread_([this] { work(); }) {}

GrowingMap::~GrowingMap() {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    ends_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

void GrowingMap::ask() {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    is_asked_ = true;
  }
  changed_.notify_all();
}

std::optional<MappedSoFar> GrowingMap::take() {
  const std::lock_guard<std::mutex> lock(mutex_);
  return std::exchange(found_, std::nullopt);
}

void GrowingMap::work() {
  using Clock = std::chrono::steady_clock;
  give_way();
  std::unique_lock<std::mutex> lock(mutex_);
  while (true) {
    changed_.wait(lock, [this] { return is_asked_ || ends_; });
    if (ends_) return;
    is_asked_ = false;
    lock.unlock();
    const Clock::time_point begun = Clock::now();
    std::optional<MappedSoFar> found;
    try {
      found = round();
    } catch (const GivenUp&) {
      return;
    } catch (const std::exception& error) {  // of a drive that has hardly begun, or of a row that is half-written
      found.emplace().why_not = error.what();
    }
    lock.lock();
    found_ = std::move(found);
    // Two thirds of the time at most: the work grows with the drive, and somebody may want the processor cool.
    changed_.wait_for(lock, (Clock::now() - begun) / 2, [this] { return ends_; });
  }
}

MappedSoFar GrowingMap::round() const {
  const auto go_on = [this](const std::string& /*stage*/, double /*fraction*/) {
    const std::lock_guard<std::mutex> lock(mutex_);
    if (ends_) throw GivenUp();
  };
  DriveToMapOptions reading;
  reading.even_so = true;
  reading.threads = 1;
  reading.progress = go_on;
  const Drive drive = drive_to_map(drive_, reading);
  MapperOptions mapping;
  mapping.cell_size_m = cell_size_m_;
  mapping.threads = 1;
  mapping.progress = go_on;
  MappedSoFar found;
  Map map = build_map(drive, mapping);
  found.verdict = map_verdict(map, drive);
  const Node& last = map.graph.nodes.back();
  found.last_node = {drive.scans[last.scan].time_s, last.pose};
  found.picture = live_map_picture(map.grid);
  found.map = std::make_shared<const Map>(std::move(map));
  found.robot = drive.robot;
  return found;
}

}  // namespace wainscot
