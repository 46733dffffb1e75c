#pragma once

// graph.sqlite of a map's folder, opened for reading as what it is: a file that somebody else may have made.

#include <exception>
#include <filesystem>
#include <span>
#include <string>

#include <SQLiteCpp/SQLiteCpp.h>

#include "core/errors.hpp"

namespace wainscot {

inline constexpr const char* database_name = "graph.sqlite";

/// Opens graph.sqlite of a map's folder. Nothing is written, neither to the file nor beside it, and no lock is taken or
/// waited for. A statement that takes more steps than the rows of a file of this size need is ended by SQLite. Throws
/// `InputError` where it is missing, no plain file or may not be read, and where another program's changes lie beside
/// it (a write-ahead log, a hot journal): the file alone is not the database then. Throws SQLite::Exception.
SQLite::Database open_database(const std::filesystem::path& map_folder);

/// Throws std::out_of_range where one of the tables is none: missing, a view or virtual, or with a column that is
/// computed when it is read. Reading them could then do any work at all.
void require_plain_tables(const SQLite::Database& database, std::span<const std::string> tables);

/// The sentence for what went wrong while graph.sqlite of a map's folder was read: whether it is damaged, could not be
/// read or asked for endless work. Throws std::bad_alloc where the memory was short, which is nothing wrong with the
/// file.
InputError database_fault(const std::exception& fault, const std::filesystem::path& map_folder);

}  // namespace wainscot
