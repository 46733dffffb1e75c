#include "io/map/database_file.hpp"

#include <algorithm>
#include <cstdint>
#include <limits>
#include <new>
#include <stdexcept>
#include <string_view>

#include <fmt/format.h>
#include <sqlite3.h>

#include "io/files/plain_file.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

/// A URI of SQLite: whatever could be taken for something else than a part of the path is written as %XX.
std::string immutable_uri(const fs::path& file) {
  constexpr std::string_view kPlain = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789/-._~";
  std::string uri = "file://";
  for (const char c : fs::absolute(file).string()) {
    if (kPlain.find(c) != std::string_view::npos) {
      uri += c;
    } else {
      uri += fmt::format("%{:02X}", static_cast<unsigned char>(c));
    }
  }
  return uri + "?immutable=1";
}

/// What other programs leave beside a database whose changes are not, or not wholly, in it.
/// Source: https://www.sqlite.org/tempfiles.html
void require_no_pending_changes(const fs::path& file) {
  // A journal that is done with has no bytes, or zeros where its header was.
  const std::string journal = file_start(file.string() + "-journal", 1);
  if (!journal.empty() && journal.front() != '\0') {
    throw InputError(fmt::format(
        "{}: a change of another program was not finished (its journal {}-journal lies beside it); let that "
        "program finish, or open the file once with sqlite3, which takes the change back",
        shown(file), database_name));
  }
  if (!file_start(file.string() + "-wal", 1).empty()) {
    throw InputError(
        fmt::format("{}: changes of another program are not in it yet ({}-wal lies beside it); close that program, or "
                    "open the file once with sqlite3 and leave it with .quit",
                    shown(file), database_name));
  }
}

/// The least row has five bytes (its length, number and header, and where it begins) and takes twenty steps at most.
void limit_work(const SQLite::Database& database, std::uintmax_t bytes) {
  constexpr std::uintmax_t kAtLeast = 1'000'000;
  constexpr std::uintmax_t kStepsPerByte = 20 / 5;
  constexpr std::uintmax_t kMost = std::numeric_limits<int>::max();
  // Called after so many steps of one statement; what it gives ends the statement.
  const auto steps = static_cast<int>(std::min(kAtLeast + kStepsPerByte * std::min(bytes, kMost), kMost));
  sqlite3_progress_handler(
      database.getHandle(), steps, [](void*) { return 1; }, nullptr);
  // Of one text or blob: none is longer than its file, unless it is computed.
  sqlite3_limit(database.getHandle(), SQLITE_LIMIT_LENGTH, static_cast<int>(std::clamp(bytes, kAtLeast, kMost)));
}

}  // namespace

SQLite::Database open_database(const fs::path& map_folder) {
  const fs::path file = plain_file(map_folder, database_name);
  require_no_pending_changes(file);
  SQLite::Database database(immutable_uri(file), SQLite::OPEN_READONLY | SQLite::OPEN_URI);
  limit_work(database, fs::file_size(file));
  return database;
}

void require_plain_tables(const SQLite::Database& database, std::span<const std::string> tables) {
  for (const std::string& table : tables) {
    SQLite::Statement list(database, fmt::format("PRAGMA main.table_list('{}')", table));
    if (!list.executeStep()) throw std::out_of_range("it has no table " + table);
    const std::string type = list.getColumn("type").getString();
    if (type != "table") throw std::out_of_range(fmt::format("{} is no plain table: {}", table, type));
    SQLite::Statement columns(database, fmt::format("PRAGMA main.table_xinfo('{}')", table));
    while (columns.executeStep()) {
      if (columns.getColumn("hidden").getInt() == 0) continue;
      throw std::out_of_range(
          fmt::format("{}.{} is computed when it is read", table, columns.getColumn("name").getString()));
    }
  }
}

InputError database_fault(const std::exception& fault, const fs::path& map_folder) {
  const std::string file = shown(map_folder / database_name);
  const std::string what = printable(fault.what(), 120);
  const auto* const of_sqlite = dynamic_cast<const SQLite::Exception*>(&fault);
  switch (of_sqlite != nullptr ? of_sqlite->getErrorCode() & 0xff : SQLITE_CORRUPT) {
    case SQLITE_NOMEM:
      throw std::bad_alloc();
    case SQLITE_INTERRUPT:
      return InputError(
          fmt::format("{}: is damaged (reading it takes more steps than a file of its size has rows for); "
                      "build the map again",
                      file));
    case SQLITE_CANTOPEN:
    case SQLITE_PERM:
    case SQLITE_AUTH:
      return InputError(fmt::format("{}: cannot be opened ({}); check the permissions", file, what));
    case SQLITE_IOERR:
    case SQLITE_FULL:
      return InputError(fmt::format("{}: cannot be read ({}); check the disk", file, what));
    default:
      return InputError(fmt::format("{}: is damaged ({}); build the map again", file, what));
  }
}

}  // namespace wainscot
