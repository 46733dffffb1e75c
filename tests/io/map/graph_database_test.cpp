#include "io/map/graph_database.hpp"

#include <cstring>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

class GraphDatabase : public testing::Test {
 protected:
  std::filesystem::path write(const std::string& name) const {
    const std::filesystem::path file = folder_.path() / name;
    const Drive drive = sample_drive();
    write_graph_database(sample_map(), std::span(&drive, 1), sample_origin(), file);
    return file;
  }
  static std::string bytes(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }

  ReaderFolder folder_;
};

TEST_F(GraphDatabase, IsSoundAndKeepsItsReferences) {
  SQLite::Database database(write("graph.sqlite").string());
  EXPECT_EQ(database.execAndGet("PRAGMA integrity_check").getString(), "ok");
  SQLite::Statement broken(database, "PRAGMA foreign_key_check");
  EXPECT_FALSE(broken.executeStep());
}

TEST_F(GraphDatabase, HoldsTheGraph) {
  SQLite::Database database(write("graph.sqlite").string());
  EXPECT_EQ(database.execAndGet("SELECT value FROM meta WHERE key = 'program_version'").getString(), "9.8.7");
  EXPECT_EQ(database.execAndGet("SELECT value FROM meta WHERE key = 'simulated'").getString(), "yes");
  EXPECT_EQ(database.execAndGet("SELECT name FROM drives").getString(), sample_drive().name);
  EXPECT_EQ(database.execAndGet("SELECT scan FROM nodes WHERE node = 1").getInt(), 2);
  EXPECT_EQ(database.execAndGet("SELECT covariance_xh_m_rad FROM nodes WHERE node = 1").getDouble(), 3e-6);
  EXPECT_EQ(database.execAndGet("SELECT covariance_hh_rad2 FROM nodes WHERE node = 1").getDouble(), 6e-6);
  EXPECT_EQ(database.execAndGet("SELECT kind FROM edges").getString(), "match");
  EXPECT_EQ(database.execAndGet("SELECT information_yy_per_m2 FROM edges").getDouble(), 200.0);
  EXPECT_EQ(database.execAndGet("SELECT information_yh_per_m_rad FROM edges").getDouble(), 3.0);
}

TEST_F(GraphDatabase, HoldsEveryCandidateWithItsReason) {
  SQLite::Database database(write("graph.sqlite").string());
  SQLite::Statement rows(database, "SELECT verdict, reason, chi_squared FROM candidates ORDER BY candidate");
  ASSERT_TRUE(rows.executeStep());
  EXPECT_EQ(rows.getColumn(0).getString(), "accepted");
  EXPECT_EQ(rows.getColumn(2).getDouble(), 2.5);
  ASSERT_TRUE(rows.executeStep());
  EXPECT_EQ(rows.getColumn(0).getString(), "rejected");
  EXPECT_EQ(rows.getColumn(1).getString(), "a wall was seen through");
  EXPECT_TRUE(rows.getColumn(2).isNull());
  EXPECT_FALSE(rows.executeStep());
}

TEST_F(GraphDatabase, HoldsConstantsAndWallPieces) {
  SQLite::Database database(write("graph.sqlite").string());
  EXPECT_EQ(database.execAndGet("SELECT found FROM constants WHERE observed = 1").getDouble(), 0.431);
  EXPECT_EQ(database.execAndGet("SELECT count(*) FROM constants").getInt(), 2);
  EXPECT_EQ(database.execAndGet("SELECT returns FROM wall_pieces WHERE nodes = 7").getInt(), 120);
}

TEST_F(GraphDatabase, ScanBlobIsLittleEndianSinglePrecision) {
  SQLite::Database database(write("graph.sqlite").string());
  SQLite::Statement row(database, "SELECT returns, points FROM scans WHERE node = 0");
  ASSERT_TRUE(row.executeStep());
  EXPECT_EQ(row.getColumn(0).getInt(), 2);
  const SQLite::Column points = row.getColumn(1);
  ASSERT_EQ(points.getBytes(), 24);
  // IEEE 754: 0.5 = 3f000000, 2.25 = 40100000, -3 = c0400000, 0.75 = 3f400000, 0.125 = 3e000000.
  const unsigned char expected[] = {0, 0, 0x00, 0x3f, 0, 0, 0x10, 0x40, 0, 0, 0, 0,
                                    0, 0, 0x40, 0xc0, 0, 0, 0x40, 0x3f, 0, 0, 0, 0x3e};
  EXPECT_EQ(std::memcmp(points.getBlob(), expected, sizeof expected), 0);
}

TEST_F(GraphDatabase, SameValuesGiveTheSameBytes) { EXPECT_EQ(bytes(write("a.sqlite")), bytes(write("b.sqlite"))); }

TEST_F(GraphDatabase, SaysWhereItCannotBeWritten) { EXPECT_THROW(write("absent/graph.sqlite"), std::runtime_error); }

}  // namespace
}  // namespace wainscot
