#include "apps/live_view.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "apps/growing_log.hpp"
#include "tests/apps/comes_true.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"

namespace wainscot {
namespace {

/// A view of the drive, and all that it tells a page.
class LiveViewTest : public CommandLine {
 protected:
  struct Told {
    std::string kind;
    std::string json;
  };

  void begin() {
    const Robot robot = robot_of_growing_drive(drive_, {});
    growing_.emplace(drive_, robot);
    map_.emplace(drive_, 0.05);
    view_.emplace(drive_, *growing_, robot, *map_, [this](const std::string& kind, std::string json) {
      told_.push_back({kind, std::move(json)});
    });
  }
  void take() { view_->take(growing_->read()); }
  std::ptrdiff_t count_of(const std::string& kind) const {
    return std::count_if(told_.begin(), told_.end(), [&](const Told& told) { return told.kind == kind; });
  }
  std::string last_of(const std::string& kind) const {
    const auto last = std::find_if(told_.rbegin(), told_.rend(), [&](const Told& told) { return told.kind == kind; });
    return last == told_.rend() ? "" : last->json;
  }
  /// Whether the page is told something while it is looked for maps.
  bool comes(const std::string& kind, const std::string& words) {
    return comes_true([&] {
      view_->look();
      return has(last_of(kind), words);
    });
  }

  std::vector<Told> told_;  // what is told outlives who tells it
  std::optional<GrowingDrive> growing_;
  std::optional<GrowingMap> map_;
  std::optional<LiveView> view_;
};

TEST_F(LiveViewTest, ShowsTheRobotAtOnceAndTheMapWhenItIsMade) {
  begin();
  EXPECT_EQ(view_->state(), "Waiting for the recording to begin.");
  EXPECT_FALSE(view_->here());
  EXPECT_TRUE(has(last_of("moment"), "Waiting for the recording to begin."));
  take();
  EXPECT_EQ(count_of("here"), drive_scans);
  EXPECT_TRUE(has(last_of("here"), "not mapped yet"));
  EXPECT_EQ(count_of("map"), 0);
  ASSERT_TRUE(view_->here());
  EXPECT_NEAR(view_->here()->time_s, 4.1, 1e-9);
  EXPECT_TRUE(has(view_->state(), "Following the recording: 4 s, 0.9")) << view_->state();
  EXPECT_TRUE(has(view_->state(), "0 loops closed.")) << view_->state();
  ASSERT_TRUE(comes("map", "\"path\""));
  // 0.25 m/s straight on from the first scan, at 0.2 s.
  EXPECT_NEAR(view_->here()->pose.x_m, 0.25 * 3.9, 0.02);
  EXPECT_NEAR(view_->here()->pose.y_m, 0.0, 0.02);
  view_->end("It is over.");
  EXPECT_TRUE(has(last_of("moment"), "It is over."));
}

TEST_F(LiveViewTest, TheTrackGoesOnFromTheMap) {
  write("wheels.csv", wheels().substr(0, wheels().find("\n2.50,")) + "\n");
  begin();
  take();
  ASSERT_TRUE(comes("map", "\"path\""));
  const std::ptrdiff_t before = count_of("here");
  EXPECT_LT(before, drive_scans);
  write("wheels.csv", wheels());
  take();
  EXPECT_EQ(count_of("here"), drive_scans);
  EXPECT_TRUE(has(last_of("here"), "when mapped")) << last_of("here");
  EXPECT_NEAR(view_->here()->pose.x_m, 0.25 * 3.9, 0.02);
}

TEST_F(LiveViewTest, SaysOnceWhyThereIsNoMap) {
  write("hints.csv", "odd,columns\n1,2\n");
  begin();
  take();
  ASSERT_TRUE(comes("moment", "no map yet: ")) << last_of("moment");
  EXPECT_TRUE(has(last_of("moment"), "hints.csv:1: ")) << last_of("moment");
  EXPECT_EQ(count_of("map"), 0);
}

TEST_F(LiveViewTest, WhatWasOddStandsInTheLog) {
  begin();
  take();
  std::ofstream(drive_ / "wheels.csv", std::ios::app) << "torn\n";
  take();
  EXPECT_TRUE(has(last_of("moment"), "wheels.csv:93: ")) << last_of("moment");
}

TEST_F(LiveViewTest, ADriveThatBeginsAnewIsTrackedAnew) {
  begin();
  take();
  for (const char* table : {"wheels.csv", "scans.csv"}) {
    std::filesystem::rename(drive_ / table, drive_ / "old");
    write(table, std::string(table) == "wheels.csv" ? wheels() : scans(20, true));
  }
  take();
  EXPECT_FALSE(view_->here());
  take();
  ASSERT_TRUE(view_->here());
  EXPECT_NEAR(view_->here()->time_s, 2.1, 1e-9);
  EXPECT_TRUE(has(last_of("moment"), "begins anew"));
}

TEST_F(LiveViewTest, ARobotWhoseWheelsAreNotKnownIsNotTrackedYet) {
  write("robot.yaml", "wainscot_robot: 1\n");
  begin();
  take();
  EXPECT_EQ(count_of("here"), 0);
  EXPECT_EQ(view_->state(), "Following the recording.");
}

}  // namespace
}  // namespace wainscot
