#include <filesystem>
#include <fstream>
#include <string>

#include <gtest/gtest.h>

#include "tests/apps/command_line.hpp"

namespace wainscot {
namespace {

namespace fs = std::filesystem;

TEST_F(CommandLine, ExportsAMap) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "mine.yaml.template") << "cell: {{cell_size_m}}\nimage: {{image}}\n";
  const Outcome exported =
      run("export flat --out hand --image tif --levels 10,240,100 --clearance pgm --template mine.yaml.template");
  ASSERT_EQ(exported.status, 0) << exported.err;
  for (const char* name : {"map.tif", "map.tfw", "plan.svg", "plan.dxf", "walls.csv", "caution.txt", "clearance.pgm",
                           "clearance.wld", "clearance.yaml", "mine.yaml"}) {
    EXPECT_TRUE(fs::exists(folder_.path() / "hand" / name)) << name;
    EXPECT_NE(exported.out.find(std::string("hand/") + name + "\n"), std::string::npos) << name;
  }
  EXPECT_EQ(content(folder_.path() / "hand" / "mine.yaml"), "cell: 0.05\nimage: map.tif\n");
  EXPECT_NE(exported.err.find("Caution: "), std::string::npos);
  EXPECT_NE(exported.err.find("(simulated)"), std::string::npos);
  EXPECT_NE(content(folder_.path() / "hand" / "caution.txt").find("stop switch"), std::string::npos);
}

TEST_F(CommandLine, ExportRefusesWrongInput) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  std::ofstream(folder_.path() / "bad.txt") << "\n{{cellsize}}\n";
  std::ofstream(folder_.path() / "walls.csv") << "{{rows}}\n";
  expect_refused("export flat --out hand --template bad.txt", 2, "bad.txt:2: there is no placeholder {{cellsize}}");
  expect_refused("export flat --out hand --template walls.csv", 2, "is asked for twice");
  expect_refused("export flat --out hand --template absent", 2, "absent");
  expect_refused("export flat --out hand --levels 1,2", 2, "three different whole numbers");
  expect_refused("export flat --out hand --levels 1,2,256", 2, "three different whole numbers");
  expect_refused("export flat --out hand --levels 1,2,2", 2, "three different whole numbers");
  expect_refused("export flat --out hand --image jpg", 2, "jpg");
  expect_refused("export flat --out absent/hand", 2, "cannot be made");
  expect_refused("export absent --out hand", 2, "absent: is not there");
  expect_refused("export flat --out ''", 2, "is empty");
  expect_refused("export flat --out flat/", 2, "is the map's own folder");
  ASSERT_EQ(run("export flat --out hand").status, 0);
  expect_refused("export flat --out hand", 2, "exists already; give --replace");
  EXPECT_EQ(run("export flat --out hand --replace").status, 0);
  fs::remove(folder_.path() / "flat" / "graph.sqlite");
  expect_refused("export flat --out other", 2, "graph.sqlite: is missing from the map");
}

}  // namespace
}  // namespace wainscot
