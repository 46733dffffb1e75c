#include "io/rooms/room_list.hpp"

#include <algorithm>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "core/map_extent.hpp"
#include "core/polygon.hpp"
#include "io/files/csv_reader.hpp"
#include "io/files/file_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

/// Rows of one name and one kind, in their order.
struct RowsOfAName {
  std::string kind;
  std::string name;
  std::vector<ListedPoint> points;
};

bool is_corner(const std::string& kind) { return kind == "room_corner" || kind == "no_go_corner"; }

/// A room's name is that of points or of corners, and corners of a name stand in one run of rows: two borders of a name
/// cannot be told from one.
void add_row(const CsvReader& table, std::size_t name_column, RowsOfAName row, std::vector<RowsOfAName>& all) {
  const bool is_room = row.kind.starts_with("room");
  const auto same = std::find_if(all.begin(), all.end(), [&](const RowsOfAName& other) {
    return other.name == row.name && (other.kind == row.kind || (is_room && other.kind.starts_with("room")));
  });
  if (same == all.end()) {
    all.push_back(std::move(row));
    return;
  }
  const auto refuse = [&](const std::string& what) {
    table.fail(name_column,
               fmt::format("'{}' is that of line {} too; {}", printable(row.name), same->points.front().line, what));
  };
  if (same->kind != row.kind) refuse("a room has either points or corners: give each room a name of its own");
  if (row.kind.starts_with("door")) refuse("give each door a name of its own");
  if (is_corner(row.kind) && &*same != &all.back()) {
    refuse("write all corners of a border in rows that follow one another, or give another name");
  }
  same->points.push_back(row.points.front());
}

void check_corners(const std::string& file, const RowsOfAName& rows) {
  const std::string name = printable(rows.name);
  if (rows.points.size() < 3) {
    fail_at_point(file, rows.points.back(),
                  fmt::format("'{}' has {} of at least three corners; add the others", name, rows.points.size()));
  }
  const auto crossing = crossing_edges(corners_of(rows.points));
  if (!crossing) return;
  fail_at_point(file, rows.points[crossing->second],
                fmt::format("the border of '{}' crosses itself: its edge from here meets the one from line {}; write "
                            "the corners in their order, each once",
                            name, rows.points[crossing->first].line));
}

}  // namespace

std::vector<Eigen::Vector2d> corners_of(const std::vector<ListedPoint>& points) {
  std::vector<Eigen::Vector2d> corners;
  corners.reserve(points.size());
  for (const ListedPoint& point : points) corners.push_back(point.at_m);
  return corners;
}

void fail_at_point(const std::string& file, const ListedPoint& point, const std::string& what) {
  throw InputError(fmt::format("{}:{}: {}", file, point.line, what));
}

RoomList read_rooms(const std::filesystem::path& path, std::vector<std::string>& warnings) {
  FileReader file(path);
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"kind", "name", "x_m", "y_m"}, {});
  std::vector<RowsOfAName> all;
  while (table.next_row()) {
    const std::string kind = table.name(columns[0]);
    if (!is_corner(kind) && kind != "room" && kind != "door_open" && kind != "door_closed") {
      table.fail(columns[0], fmt::format("'{}' is none of room, room_corner, no_go_corner, door_open and door_closed",
                                         printable(kind)));
    }
    const auto metres = [&](std::size_t which) { return table.number_within(columns[which], farthest_house_m); };
    add_row(table, columns[1], {kind, table.name(columns[1]), {{{metres(2), metres(3)}, file.line_number()}}}, all);
  }
  RoomList list;
  list.file = file.name();
  for (RowsOfAName& rows : all) {
    if (is_corner(rows.kind)) check_corners(list.file, rows);
    if (rows.kind == "no_go_corner") {
      list.no_go.push_back({rows.name, std::move(rows.points)});
    } else if (rows.kind.starts_with("door")) {
      list.doors.push_back({rows.name, rows.points.front(), rows.kind == "door_open"});
    } else {
      list.rooms.push_back({rows.name, is_corner(rows.kind), std::move(rows.points)});
    }
  }
  return list;
}

}  // namespace wainscot
