#include "apps/mapping/drive_map.hpp"

#include <filesystem>
#include <stdexcept>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "io/map/map_reader.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

const std::filesystem::path demo = std::filesystem::path(WAINSCOT_CHECKOUT) / "data/demo/drive";

TEST(DriveMap, TheMappersFractionIsAShareOfTheJob) {
  std::vector<double> told;
  const JobProgress progress = mapper_share([&](const std::string&, double fraction) { told.push_back(fraction); });
  progress("matching", 0.0);
  progress("adjusting", 0.5);
  progress("done", 1.0);  // the writing is still to come
  EXPECT_EQ(told, (std::vector<double>{kReadingShare, kReadingShare + 0.5 * kMappingShare}));
  EXPECT_FALSE(mapper_share({}));
}

// Whole is shown by tests/apps/build_test.cpp and its neighbours, by way of the program.
TEST(DriveMap, WhatProgressThrowsEndsTheJobAndNothingIsWritten) {
  const ReaderFolder folder;
  DriveMapOptions options;
  std::vector<std::string> stages;
  options.progress = [&](const std::string& stage, double /*fraction*/) {
    if (stages.empty() || stages.back() != stage) stages.push_back(stage);
    if (stage == "matching") throw std::domain_error("enough");
  };
  EXPECT_THROW(map_drive(demo, folder.path() / "map", "9.8.7", options), std::domain_error);
  EXPECT_EQ(stages, (std::vector<std::string>{"reading", "looking", "matching"}));
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(DriveMap, ADestinationThatIsTakenIsRefusedBeforeTheWork) {
  const ReaderFolder folder;
  folder.write("map", "a file");
  DriveMapOptions options;
  options.progress = [](const std::string&, double) { FAIL() << "it began"; };
  EXPECT_THROW(map_drive(demo, folder.path() / "map", "9.8.7", options), InputError);
}

TEST(DriveMap, AMapThatIsNotToBeUsedIsRefused) {
  Map map;
  map.quality.matched_fraction = 0.9;
  EXPECT_NO_THROW(require_usable(map, Drive(), "flat"));
  map.quality.matched_fraction = 0.4;
  try {
    require_usable(map, Drive(), "flat");
    FAIL() << "it was accepted";
  } catch (const PoorData& refused) {
    EXPECT_NE(std::string(refused.what()).find("the map in flat is there to be looked at"), std::string::npos);
  }
}

}  // namespace
}  // namespace wainscot
