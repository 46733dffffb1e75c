#include "io/tape_reader.hpp"

#include <utility>

#include "io/csv_reader.hpp"
#include "io/file_reader.hpp"

namespace wainscot {
namespace {

constexpr double kFarthestM = 1e4;

std::optional<double> tape_length(const CsvReader& table, std::size_t column) {
  if (column == CsvReader::kAbsent || table.cells()[column].empty()) return std::nullopt;
  const double length = table.number_within(column, kFarthestM);
  if (length <= 0.0) table.fail(column, "must be above 0; leave the cell empty where nothing was measured");
  return length;
}

}  // namespace

TapeList read_tapes(const std::filesystem::path& path, std::vector<std::string>& warnings) {
  FileReader file(path);
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"name", "x1_m", "y1_m", "x2_m", "y2_m"}, {"tape_m"});
  TapeList list;
  list.has_tape_column = columns[5] != CsvReader::kAbsent;
  while (table.next_row()) {
    const auto metres = [&](std::size_t which) { return table.number_within(columns[which], kFarthestM); };
    NamedTape row{table.name(columns[0]), {{metres(1), metres(2)}, {metres(3), metres(4)}}, {}};
    if (row.tape.from_m == row.tape.to_m) table.fail(columns[3], "and y2_m are the first point again; give another");
    row.tape_m = tape_length(table, columns[5]);
    list.tapes.push_back(std::move(row));
  }
  return list;
}

}  // namespace wainscot
