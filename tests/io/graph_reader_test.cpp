#include "io/graph_reader.hpp"

#include <fstream>
#include <string>

#include <SQLiteCpp/SQLiteCpp.h>
#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/graph_database.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/sample_map.hpp"

namespace wainscot {
namespace {

class GraphReader : public testing::Test {
 protected:
  void write() const {
    write_graph_database(sample_map(), sample_drive(), sample_origin(), folder_.path() / "graph.sqlite");
  }
  /// What reading says, on one line; empty where it says nothing.
  std::string complaint() const {
    try {
      read_graph_record(folder_.path());
    } catch (const InputError& error) {
      return error.what();
    }
    return "";
  }
  ReaderFolder folder_;
};

TEST_F(GraphReader, GivesBackWhatWasWritten) {
  write();
  const GraphRecord record = read_graph_record(folder_.path());
  ASSERT_EQ(record.drive_checksums.size(), 1u);
  EXPECT_EQ(record.drive_checksums[0], "0123abcd");
  const Map map = sample_map();
  ASSERT_EQ(record.wall_pieces.size(), map.wall_pieces.size());
  EXPECT_EQ(record.wall_pieces[0].middle_m, map.wall_pieces[0].middle_m);
  EXPECT_EQ(record.wall_pieces[0].normal_rad, map.wall_pieces[0].normal_rad);
  EXPECT_EQ(record.wall_pieces[0].half_length_m, map.wall_pieces[0].half_length_m);
  EXPECT_EQ(record.wall_pieces[0].sd_m, map.wall_pieces[0].sd_m);
  EXPECT_EQ(record.wall_pieces[0].returns, map.wall_pieces[0].returns);
  EXPECT_EQ(record.wall_pieces[0].nodes, map.wall_pieces[0].nodes);
}

TEST_F(GraphReader, SaysWhatIsWrongWithTheDatabase) {
  EXPECT_NE(complaint().find("graph.sqlite: is not there"), std::string::npos);
  std::ofstream(folder_.path() / "graph.sqlite") << std::string(5000, 'x');
  EXPECT_NE(complaint().find("cannot be read"), std::string::npos);
  std::filesystem::remove(folder_.path() / "graph.sqlite");
  write();
  SQLite::Database((folder_.path() / "graph.sqlite").string(), SQLite::OPEN_READWRITE).exec("PRAGMA user_version = 2");
  EXPECT_NE(complaint().find("update the program"), std::string::npos);
  SQLite::Database((folder_.path() / "graph.sqlite").string(), SQLite::OPEN_READWRITE)
      .exec("PRAGMA user_version = 1; UPDATE wall_pieces SET x_m = 1e300");
  EXPECT_NE(complaint().find("a wall piece that cannot be"), std::string::npos);
  SQLite::Database((folder_.path() / "graph.sqlite").string(), SQLite::OPEN_READWRITE).exec("DROP TABLE wall_pieces");
  EXPECT_NE(complaint().find("build the map again"), std::string::npos);
}

}  // namespace
}  // namespace wainscot
