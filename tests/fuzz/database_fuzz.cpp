// A libFuzzer target: the bytes are damages to graph.sqlite of a small good map, one after the other: cells that get
// another value, by SQL, and then bytes of the file that get other ones. SQLite itself is not watched by the fuzzer, so
// a whole file as input would seldom be one that SQLite reads.

#include <algorithm>
#include <array>
#include <bit>
#include <cstdint>
#include <cstdlib>
#include <iostream>
#include <limits>
#include <string>
#include <utility>
#include <vector>

#include "small_map.hpp"

namespace {

using Cell = std::pair<std::string, std::string>;  ///< table and column

class Bytes {
 public:
  Bytes(const std::uint8_t* data, std::size_t size) : data_(data), size_(size) {}

  bool empty() const { return size_ == 0; }
  std::uint8_t one() {
    if (size_ == 0) return 0;
    --size_;
    return *data_++;
  }
  std::uint64_t number(int bytes) {
    std::uint64_t value = 0;
    for (int i = 0; i < bytes; ++i) value |= static_cast<std::uint64_t>(one()) << (8 * i);
    return value;
  }
  std::string text(std::size_t length) {
    std::string taken(reinterpret_cast<const char*>(data_), std::min(length, size_));
    data_ += taken.size();
    size_ -= taken.size();
    return taken;
  }

 private:
  const std::uint8_t* data_;
  std::size_t size_;
};

std::vector<Cell> columns_of(const std::filesystem::path& file) {
  const SQLite::Database database(file.string(), SQLite::OPEN_READONLY);
  SQLite::Statement query(database,
                          "SELECT m.name, c.name FROM sqlite_schema m JOIN pragma_table_info(m.name) c "
                          "WHERE m.type = 'table' ORDER BY m.rowid, c.cid");
  std::vector<Cell> cells;
  while (query.executeStep()) cells.emplace_back(query.getColumn(0).getString(), query.getColumn(1).getString());
  return cells;
}

void bind_value(SQLite::Statement& statement, Bytes& bytes) {
  constexpr std::array kNumbers = {0.0,
                                   -0.0,
                                   1.0,
                                   -1.0,
                                   2.0,
                                   3.0,
                                   0.5,
                                   1e-300,
                                   1e9,
                                   1e11,
                                   -1e11,
                                   1e308,
                                   1e300,
                                   -1e300,
                                   9.3e18,
                                   -9.3e18,
                                   std::numeric_limits<double>::infinity(),
                                   -std::numeric_limits<double>::infinity()};
  constexpr std::array kWholes = {INT64_MAX,   INT64_MIN,        INT64_C(0),       INT64_C(1),      INT64_C(2),
                                  INT64_C(-1), INT64_C(1) << 31, INT64_C(1) << 32, INT64_C(1) << 62};
  switch (bytes.one() % 7) {
    case 0:
      statement.bind(1);
      break;
    case 1:
      statement.bind(1, static_cast<std::int64_t>(bytes.number(8)));
      break;
    case 2:
      statement.bind(1, std::bit_cast<double>(bytes.number(8)));
      break;
    case 3:
      statement.bind(1, kNumbers[bytes.one() % kNumbers.size()]);
      break;
    case 4:
      statement.bind(1, kWholes[bytes.one() % kWholes.size()]);
      break;
    case 5:
      statement.bind(1, bytes.text(bytes.one()));
      break;
    default: {
      const std::string blob = bytes.text(bytes.one());
      statement.bind(1, blob.data(), static_cast<int>(blob.size()));
    }
  }
}

void change_cell(const SQLite::Database& database, const std::vector<Cell>& cells, Bytes& bytes) {
  const auto& [table, column] = cells[bytes.one() % cells.size()];
  try {
    SQLite::Statement update(database, "UPDATE " + table + " SET " + column +
                                           " = ?1 WHERE rowid = (SELECT rowid FROM " + table +
                                           " ORDER BY rowid LIMIT 1 OFFSET " + std::to_string(bytes.one() % 4) + ")");
    bind_value(update, bytes);
    update.exec();
  } catch (const SQLite::Exception&) {
    return;  // no such value is allowed there
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const wainscot::SmallMap map;
  const wainscot::ReaderFolder folder;
  map.write(folder);
  const std::filesystem::path file = folder.path() / "graph.sqlite";
  static const std::vector<Cell> cells = columns_of(file);
  Bytes bytes(data, size);
  if (const int changes = bytes.one() % 8; changes > 0) {
    SQLite::Database database(file.string(), SQLite::OPEN_READWRITE);
    database.exec("PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; PRAGMA ignore_check_constraints = ON; BEGIN");
    for (int i = 0; i < changes; ++i) change_cell(database, cells, bytes);
    database.exec("COMMIT");
  }
  if (!bytes.empty()) {
    std::string whole = wainscot::bytes_of(file);
    while (!bytes.empty() && !whole.empty()) {
      const std::size_t place = bytes.number(2) % whole.size();
      const std::uint8_t how = bytes.one();
      if (how == 0) {
        whole.resize(place);
      } else {
        const std::string put = bytes.text(1 + how % 8);
        whole.replace(place, put.size(), put);
      }
    }
    folder.write("graph.sqlite", whole);
  }
  const std::string broken = wainscot::broken_reading(folder.path());
  if (!broken.empty()) {
    std::cerr << broken << '\n';
    std::abort();
  }
  return 0;
}
