#include "io/files/folder_kind.hpp"

#include <filesystem>
#include <string>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "tests/io/reader_folder.hpp"
#include "tests/io/without_superuser.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

class FolderKind : public testing::Test {
 protected:
  FolderKind() {
    for (const char* name : {"map", "map/deep", "drive", "other"}) fs::create_directory(folder_.path() / name);
    folder_.write("map/grid.yaml", "wainscot_map: 1\n");
    for (const char* name : {"grid.pgm", "trajectory.csv", "odometry.csv"}) {
      folder_.write(std::string("map/") + name, "x");
    }
    folder_.write("drive/scans.csv", "time_s,0,1\n");
  }

  /// What `require` says of a name in the test's folder, without that folder.
  template <typename Require>
  std::string said(Require require, const std::string& name) const {
    try {
      require(folder_.path() / name);
    } catch (const InputError& error) {
      return std::string(error.what()).substr(folder_.path().string().size() + 1);
    }
    return "";
  }

  ReaderFolder folder_;
};

TEST_F(FolderKind, TellsMapsFromDrives) {
  EXPECT_TRUE(is_map_folder(folder_.path() / "map"));
  EXPECT_FALSE(is_drive_folder(folder_.path() / "map"));
  EXPECT_TRUE(is_drive_folder(folder_.path() / "drive"));
  EXPECT_FALSE(is_map_folder(folder_.path() / "drive"));
  EXPECT_FALSE(is_map_folder(folder_.path() / "other"));
  EXPECT_FALSE(is_drive_folder(folder_.path() / "other"));
  EXPECT_FALSE(is_map_folder(folder_.path() / "absent"));
}

TEST_F(FolderKind, SaysWhatIsThereInsteadOfAMap) {
  EXPECT_EQ(said(require_map_folder, "map"), "");
  EXPECT_EQ(said(require_map_folder, "absent").rfind("absent: is not there; give", 0), 0U);
  EXPECT_EQ(said(require_map_folder, "drive/scans.csv").rfind("drive/scans.csv: is a file; give", 0), 0U);
  EXPECT_EQ(said(require_map_folder, "drive").rfind("drive: is the folder of a drive, not of a map; make", 0), 0U);
  EXPECT_EQ(said(require_map_folder, "other").rfind("other: has no grid.yaml", 0), 0U);
  folder_.remove("map/odometry.csv");
  EXPECT_EQ(said(require_map_folder, "map"), "map/odometry.csv: is missing from the map; build the map again");
}

TEST_F(FolderKind, TakesPlainFilesOnly) {
  fs::remove(folder_.path() / "map/odometry.csv");
  fs::create_symlink("trajectory.csv", folder_.path() / "map/odometry.csv");
  EXPECT_EQ(said(require_map_folder, "map").rfind("map/odometry.csv: is a link, a pipe, a device or a folder", 0), 0U);
  EXPECT_EQ(sidecar_text(folder_.path() / "map"), "wainscot_map: 1\n");
  fs::resize_file(folder_.path() / "map/grid.yaml", 1'000'001);
  EXPECT_THROW(sidecar_text(folder_.path() / "map"), InputError);
  EXPECT_TRUE(is_map_folder(folder_.path() / "map"));
}

TEST_F(FolderKind, TellsAFolderThatMayNotBeEnteredFromAnEmptyOne) {
  const fs::perms everybody = fs::perms::owner_all | fs::perms::group_exec | fs::perms::others_exec;
  fs::permissions(folder_.path(), everybody);
  fs::permissions(folder_.path() / "map", fs::perms::none);
  const std::string words = without_superuser([this] { return said(require_map_folder, "map"); });
  fs::permissions(folder_.path() / "map", fs::perms::owner_all);
  EXPECT_EQ(words, "map: cannot be opened (Permission denied); check the permissions");
}

TEST_F(FolderKind, KeepsOtherFilesOutOfAMap) {
  EXPECT_EQ(said(require_outside_maps, "map/plan.svg").rfind("map/plan.svg: would lie in the folder of the map map", 0),
            0U);
  EXPECT_NE(said(require_outside_maps, "map/deep/plan.svg"), "");
  EXPECT_NE(said(require_outside_maps, "other/../map/grid.yaml"), "");
  EXPECT_EQ(said(require_outside_maps, "other/plan.svg"), "");
  EXPECT_EQ(said(require_outside_maps, "absent/plan.svg"), "");
  fs::create_directory_symlink(folder_.path() / "map", folder_.path() / "link");
  EXPECT_NE(said(require_outside_maps, "link/plan.svg"), "");
}

TEST_F(FolderKind, AnotherFormSaysWhatToDo) {
  EXPECT_STREQ(other_form("my map/graph.sqlite", 3, 2).what(),
               "my map/graph.sqlite: is of a newer form (3) than this program reads (2); update the program");
  EXPECT_STREQ(
      other_form("my map/graph.sqlite", 1, 2).what(),
      "my map/graph.sqlite: is of an older form (1) than this program reads (2); renew the map from its drive: "
      "wainscot build DRIVE --out 'my map' --replace");
}

}  // namespace
}  // namespace wainscot
