#include "io/graph_reader.hpp"

#include <cmath>

#include <SQLiteCpp/SQLiteCpp.h>
#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr int known_schema = 1;

std::vector<WallPiece> read_wall_pieces(const SQLite::Database& database) {
  SQLite::Statement rows(database,
                         "SELECT x_m, y_m, normal_rad, half_length_m, sd_m, returns, nodes FROM wall_pieces "
                         "WHERE sd_m > 0 ORDER BY piece");
  std::vector<WallPiece> pieces;
  while (rows.executeStep()) {
    WallPiece piece{{rows.getColumn(0).getDouble(), rows.getColumn(1).getDouble()},
                    rows.getColumn(2).getDouble(),
                    rows.getColumn(3).getDouble(),
                    rows.getColumn(4).getDouble(),
                    rows.getColumn(5).getInt(),
                    rows.getColumn(6).getInt()};
    // No house is so large; NaN is refused too.
    constexpr double farthest_m = 1e4;
    if (!(piece.middle_m.norm() < farthest_m && piece.half_length_m > 0.0 && piece.half_length_m < farthest_m &&
          std::isfinite(piece.normal_rad) && piece.sd_m < farthest_m)) {
      throw SQLite::Exception("a wall piece that cannot be");
    }
    pieces.push_back(piece);
  }
  return pieces;
}

}  // namespace

GraphRecord read_graph_record(const std::filesystem::path& map_folder) {
  const std::filesystem::path file = map_folder / "graph.sqlite";
  const std::string shown = printable(file.string(), 300);
  if (!std::filesystem::exists(file)) {
    throw InputError(shown + ": is not there; give the folder of a map that wainscot build wrote");
  }
  try {
    SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
    const int schema = database.execAndGet("PRAGMA user_version").getInt();
    if (schema > known_schema) {
      throw InputError(
          fmt::format("{}: is of a form that this program does not know ({}); update the program", shown, schema));
    }
    GraphRecord record;
    SQLite::Statement drives(database, "SELECT checksum FROM drives ORDER BY drive");
    while (drives.executeStep()) record.drive_checksums.push_back(drives.getColumn(0).getString());
    record.wall_pieces = read_wall_pieces(database);
    return record;
  } catch (const SQLite::Exception& error) {
    throw InputError(fmt::format("{}: cannot be read ({}); build the map again", shown, error.what()));
  }
}

}  // namespace wainscot
