#pragma once

// rooms.csv: what a user calls the rooms of a map, where no robot shall go, and which doors are to be open or closed in
// what is handed on (io/FORMATS.md).

#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include <Eigen/Core>

namespace wainscot {

/// A place of a row, metres of the map frame.
struct ListedPoint {
  Eigen::Vector2d at_m{0.0, 0.0};
  std::size_t line = 0;  ///< of the file
};

/// A room by one or more points in it, or by the corners of its border.
struct ListedRoom {
  std::string name;
  bool has_corners = false;
  std::vector<ListedPoint> points;  ///< at least one; corners: at least three, whose border does not cross itself
};

/// The corners, at least three, do not cross themselves.
struct NoGoArea {
  std::string name;
  std::vector<ListedPoint> corners;
};

/// A door near the point is to be open, or closed.
struct DoorWish {
  std::string name;
  ListedPoint near;
  bool open = false;
};

struct RoomList {
  std::string file;  ///< as messages name it
  std::vector<ListedRoom> rooms;
  std::vector<NoGoArea> no_go;
  std::vector<DoorWish> doors;
};

/// The corners alone.
std::vector<Eigen::Vector2d> corners_of(const std::vector<ListedPoint>& points);

/// Throws `InputError` with file and line, also for a kind that is not known, two things of one name and fewer than
/// three corners.
RoomList read_rooms(const std::filesystem::path& file, std::vector<std::string>& warnings);

/// Throws `InputError` "FILE:LINE: what".
[[noreturn]] void fail_at_point(const std::string& file, const ListedPoint& point, const std::string& what);

}  // namespace wainscot
