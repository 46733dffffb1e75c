#include "io/log/tape_reader.hpp"

#include <cstddef>
#include <map>
#include <string>
#include <utility>

#include <fmt/format.h>

#include "io/files/csv_reader.hpp"
#include "io/files/file_reader.hpp"
#include "io/spelling.hpp"

namespace wainscot {
namespace {

constexpr double kFarthestM = 1e4;

std::optional<double> tape_length(const CsvReader& table, std::size_t column) {
  if (column == CsvReader::kAbsent || table.cells()[column].empty()) return std::nullopt;
  const double length = table.number_within(column, kFarthestM);
  if (length <= 0.0) table.fail(column, "must be above 0; leave the cell empty where nothing was measured");
  return length;
}

/// Centimetres, millimetres or inches: 39 times as much and more, or as little. The points may lie off their faces.
bool is_in_another_unit(double tape_m, double apart_m) {
  constexpr double kFactor = 20.0;
  constexpr double kOffFaces_m = 0.8;
  return tape_m > kFactor * (apart_m + kOffFaces_m) || kFactor * tape_m < apart_m - kOffFaces_m;
}

}  // namespace

TapeList read_tapes(const std::filesystem::path& path, std::vector<std::string>& warnings) {
  FileReader file(path);
  CsvReader table(file, UnfinishedRow::keep, warnings);
  const auto columns = table.find_columns({"name", "x1_m", "y1_m", "x2_m", "y2_m"}, {"tape_m"});
  TapeList list;
  list.has_tape_column = columns[5] != CsvReader::kAbsent;
  std::map<std::string, std::size_t> lines;  // where each name was first
  while (table.next_row()) {
    const auto metres = [&](std::size_t which) { return table.number_within(columns[which], kFarthestM); };
    const auto [first, is_new] = lines.emplace(table.name(columns[0]), file.line_number());
    if (!is_new) {
      table.fail(columns[0], fmt::format("'{}' is that of line {} too; give each tape a name of its own",
                                         printable(first->first), first->second));
    }
    NamedTape row{table.name(columns[0]), {{metres(1), metres(2)}, {metres(3), metres(4)}}, {}};
    if (row.tape.from_m == row.tape.to_m) table.fail(columns[3], "and y2_m are the first point again; give another");
    row.tape_m = tape_length(table, columns[5]);
    const double apart_m = (row.tape.to_m - row.tape.from_m).norm();
    if (row.tape_m && is_in_another_unit(*row.tape_m, apart_m)) {
      table.fail(columns[5], fmt::format("is not in metres: its points lie {:.2f} m apart; write metres", apart_m));
    }
    list.tapes.push_back(std::move(row));
  }
  return list;
}

}  // namespace wainscot
