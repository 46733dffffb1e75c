#include "io/map/database_file.hpp"

#include <new>
#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/io/reader_folder.hpp"
#include "tests/io/without_superuser.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class DatabaseFile : public testing::Test {
 protected:
  void SetUp() override {
    ::alarm(20);  // what waits or never ends is to fail
    change("CREATE TABLE things (x_m); INSERT INTO things VALUES (1.5), (2.5)");
  }
  void TearDown() override { ::alarm(0); }

  void change(const std::string& sql) const {
    SQLite::Database(file_.string(), SQLite::OPEN_READWRITE | SQLite::OPEN_CREATE).exec(sql);
  }
  std::string said() const {
    try {
      const SQLite::Database database = open_database(folder_.path());
      SQLite::Statement query(database, "SELECT sum(x_m) FROM things");
      query.executeStep();
      return query.getColumn(0).getString();
    } catch (const SQLite::Exception& fault) {
      return database_fault(fault, folder_.path()).what();
    } catch (const InputError& error) {
      return error.what();
    }
  }
  std::string tables_said(const std::string& table) const {
    const SQLite::Database database = open_database(folder_.path());
    try {
      require_plain_tables(database, std::vector<std::string>{table});
    } catch (const std::out_of_range& fault) {
      return fault.what();
    }
    return "";
  }
  std::size_t files() const {
    const auto entries = fs::directory_iterator(folder_.path());
    return static_cast<std::size_t>(std::distance(begin(entries), end(entries)));
  }
  static bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

  ReaderFolder folder_;
  fs::path file_ = folder_.path() / "graph.sqlite";
};

// A database with a write-ahead log got graph.sqlite-wal and graph.sqlite-shm beside it when it was read.
TEST_F(DatabaseFile, NothingIsWrittenBesideIt) {
  change("PRAGMA journal_mode = WAL");
  fs::remove(file_.string() + "-wal");
  fs::remove(file_.string() + "-shm");
  const fs::file_time_type before = fs::last_write_time(file_);
  EXPECT_EQ(said(), "4.0");
  EXPECT_EQ(files(), 1U);
  EXPECT_EQ(fs::last_write_time(file_), before);
}

TEST_F(DatabaseFile, ItsNameIsTakenAsItIs) {
  const fs::path odd = folder_.path() / "100%25 #1?mode=rw&x ä";
  fs::create_directory(odd);
  fs::rename(file_, odd / "graph.sqlite");
  const SQLite::Database database = open_database(odd);
  EXPECT_TRUE(database.tableExists("things"));
}

TEST_F(DatabaseFile, ChangesThatAreNotInItAreTold) {
  folder_.write("graph.sqlite-wal", "");
  folder_.write("graph.sqlite-journal", std::string(512, '\0'));  // as one that is done with
  EXPECT_EQ(said(), "4.0");
  folder_.write("graph.sqlite-wal", "changes");
  EXPECT_TRUE(has(said(), "graph.sqlite: changes of another program are not in it yet (graph.sqlite-wal lies beside"));
  folder_.remove("graph.sqlite-wal");
  folder_.write("graph.sqlite-journal", "\xd9\xd5\x05\xf9");
  EXPECT_TRUE(
      has(said(), "graph.sqlite: a change of another program was not finished (its journal graph.sqlite-journal"));
}

TEST_F(DatabaseFile, PermissionJournalAndDamageAreToldApart) {
  fs::permissions(folder_.path(), fs::perms::owner_all | fs::perms::others_exec | fs::perms::group_exec);
  fs::permissions(file_, fs::perms::none);
  const std::string without_permission = without_superuser([this] { return said(); });
  fs::permissions(file_, fs::perms::owner_all);
  EXPECT_TRUE(has(without_permission, "graph.sqlite: cannot be opened (Permission denied); check the permissions"))
      << without_permission;
  folder_.write("graph.sqlite", "not a database at all, though it is long enough to be looked at by anybody");
  EXPECT_TRUE(has(said(), "graph.sqlite: is damaged ("));
  const SQLite::Exception no_memory("out of memory", SQLITE_NOMEM);
  EXPECT_THROW(database_fault(no_memory, folder_.path()), std::bad_alloc);
  const SQLite::Exception bad_disk("disk I/O error", SQLITE_IOERR);
  EXPECT_TRUE(has(database_fault(bad_disk, folder_.path()).what(), "cannot be read (disk I/O error); check the disk"));
}

TEST_F(DatabaseFile, OnlyAPlainFileIsOpened) {
  fs::rename(file_, folder_.path() / "elsewhere");
  EXPECT_TRUE(has(said(), "No such file"));
  fs::create_symlink("elsewhere", file_);
  EXPECT_TRUE(has(said(), "graph.sqlite: is a link, a pipe, a device or a folder"));
  fs::remove(file_);
  ::mkfifo(file_.c_str(), 0600);
  EXPECT_TRUE(has(said(), "graph.sqlite: is a link, a pipe, a device or a folder"));
}

TEST_F(DatabaseFile, EndlessWorkIsEnded) {
  change(
      "DROP TABLE things; CREATE VIEW things AS WITH RECURSIVE n(x_m) AS (SELECT 1 UNION ALL SELECT x_m FROM n) "
      "SELECT x_m FROM n");
  EXPECT_TRUE(has(said(), "reading it takes more steps than a file of its size has rows for"));
}

TEST_F(DatabaseFile, WhatIsNoPlainTableIsTold) {
  change("CREATE VIEW seen AS SELECT 1 AS x_m; CREATE TABLE computed (a, b AS (length(hex(zeroblob(a)))))");
  EXPECT_EQ(tables_said("things"), "");
  EXPECT_EQ(tables_said("absent"), "it has no table absent");
  EXPECT_EQ(tables_said("seen"), "seen is no plain table: view");
  EXPECT_EQ(tables_said("computed"), "computed.b is computed when it is read");
}

}  // namespace
}  // namespace wainscot
