#include "graph/live/recent_drive.hpp"

#include <algorithm>
#include <limits>
#include <optional>
#include <vector>

#include <gtest/gtest.h>

#include "core/errors.hpp"
#include "graph/usable_scans.hpp"

namespace wainscot {
namespace {

using Number = std::optional<std::size_t>;

/// A turn of a tenth of a second.
Scan scan_at(double time_s, std::size_t returns = kFewestUsableReturns) {
  Scan scan;
  scan.time_s = time_s;
  for (std::size_t i = 0; i < returns; ++i) {
    scan.returns.push_back({0.0F, 1.0F, 0.1F * static_cast<float>(i) / static_cast<float>(returns - 1)});
  }
  return scan;
}

/// A whole number of hundredths: binary fractions would be told from one another.
double seconds(int hundredths) { return 0.01 * hundredths; }

TEST(RecentDrive, AScanComesWhenOdometryHasGonePast) {
  RecentDrive recent{Robot()};
  EXPECT_EQ(recent.next_scan(0.0, 0.0), Number());
  recent.add_scan(scan_at(1.0));
  recent.add_counts({0.9, 0, 0});
  recent.add_counts({1.05, 1, 1});
  EXPECT_EQ(recent.next_scan(0.0, 0.0), Number()) << "its last beam is at 1.1 s";
  recent.add_counts({1.101, 2, 2});
  EXPECT_EQ(recent.next_scan(0.15, 0.0), Number()) << "past the first beam by 0.15 s";
  EXPECT_EQ(recent.next_scan(0.0, 0.05), Number()) << "past the last beam by 0.05 s";
  EXPECT_EQ(recent.next_scan(0.1, 0.0), Number(0));
  EXPECT_EQ(recent.scan().time_s, 1.0);
  EXPECT_EQ(recent.drive().scans.size(), 1U);
  EXPECT_EQ(recent.drive().wheels.size(), 3U);
  EXPECT_EQ(recent.next_scan(0.0, 0.0), Number());
}

TEST(RecentDrive, ScansThatTellNothingAreCountedAndPassedOver) {
  RecentDrive recent{Robot()};
  recent.add_scan(scan_at(0.5));
  recent.add_scan(scan_at(1.0));
  recent.add_scan(scan_at(1.1, kFewestUsableReturns - 1));
  recent.add_scan(Scan{1.2, {}});
  recent.add_scan(scan_at(1.3));
  recent.add_counts({0.9, 0, 0});
  recent.add_counts({2.0, 0, 0});
  EXPECT_EQ(recent.next_scan(0.0, 0.0), Number(1));
  EXPECT_EQ(recent.next_scan(0.0, 0.0), Number(4));
  EXPECT_EQ(recent.next_scan(0.0, 0.0), Number());
}

TEST(RecentDrive, PosesInPlaceOfCounts) {
  RecentDrive recent{Robot()};
  recent.add_pose({0.0, {}});
  EXPECT_THROW(recent.add_counts({0.1, 0, 0}), InputError);
  recent.add_pose({2.0, {0.5, 0.0, 0.0}});
  recent.add_scan(scan_at(1.0));
  EXPECT_EQ(recent.next_scan(0.0, 0.0), Number(0));
}

TEST(RecentDrive, WhatIsOutOfOrderIsRefused) {
  RecentDrive recent{Robot()};
  recent.add_counts({1.0, 0, 0});
  EXPECT_THROW(recent.add_counts({0.99, 0, 0}), InputError);
  EXPECT_THROW(recent.add_counts({std::numeric_limits<double>::infinity(), 0, 0}), InputError);
  EXPECT_THROW(recent.add_pose({2.0, {}}), InputError);
  recent.add_counts({1.0, 0, 0});
  EXPECT_EQ(recent.drive().wheels.size(), 2U) << "what was refused was not taken";
  recent.add_scan(scan_at(1.0));
  EXPECT_THROW(recent.add_scan(scan_at(0.9)), InputError);
  recent.add_counts({3.0, 0, 0});
  ASSERT_EQ(recent.next_scan(0.0, 0.0), Number(0));
  EXPECT_THROW(recent.add_scan(scan_at(0.9)), InputError) << "earlier than the one that was given";
  EXPECT_THROW(recent.add_yaw_rate({std::numeric_limits<double>::quiet_NaN(), 0.0}), InputError);
}

// Ten minutes of a robot that tells its counts a hundred times a second.
TEST(RecentDrive, HalfAMinuteIsKept) {
  RecentDrive recent{Robot()};
  std::size_t most = 0;
  std::size_t most_rates = 0;
  std::size_t given = 0;
  for (int i = 0; i < 60'000; ++i) {
    recent.add_counts({seconds(i), i, i});
    recent.add_yaw_rate({seconds(i), 0.0});
    if (i % 10 == 0) recent.add_scan(scan_at(seconds(i)));
    while (recent.next_scan(0.0, 0.0)) {
      ++given;
      most = std::max(most, recent.drive().wheels.size());
      most_rates = std::max(most_rates, recent.drive().gyro.size());
      ASSERT_LE(recent.drive().wheels.front().time_s, std::max(0.0, recent.scan().time_s - 30.0));
    }
  }
  EXPECT_EQ(given, 5999U);
  EXPECT_LE(most, 6100U) << "half a minute, and as much that is forgotten in one go";
  EXPECT_LE(most_rates, 6100U);
}

// They stand by their place among what is kept, which moves when older rows are forgotten.
TEST(RecentDrive, BreaksStayWhereTheyAre) {
  RecentDrive recent{Robot()};
  constexpr int kBroken = 4'000;
  for (int i = 0; i < 12'000; ++i) {
    if (i == kBroken) recent.add_break();
    recent.add_counts({seconds(i), i < kBroken ? i : 0, 0});
    if (i % 10 == 0) recent.add_scan(scan_at(seconds(i)));
    while (recent.next_scan(0.0, 0.0)) {
      const Drive& kept = recent.drive();
      if (i < kBroken || kept.wheels.front().time_s >= seconds(kBroken)) {
        ASSERT_TRUE(kept.breaks.empty()) << i;
      } else {
        ASSERT_EQ(kept.breaks.size(), 1U) << i;
        ASSERT_EQ(kept.wheels.at(kept.breaks.front()).time_s, seconds(kBroken)) << i;
      }
    }
  }
  EXPECT_TRUE(recent.drive().breaks.empty()) << "it is long forgotten";
}

TEST(RecentDrive, ABreakBeforeAllIsNone) {
  RecentDrive recent{Robot()};
  recent.add_break();
  recent.add_counts({0.0, 0, 0});
  recent.add_counts({1.0, 0, 0});
  EXPECT_TRUE(recent.drive().breaks.empty());
}

// A robot without odometry, or whose wheels' program has died: its scans are not piled up for ever.
TEST(RecentDrive, ScansDoNotWaitForEver) {
  RecentDrive recent{Robot()};
  constexpr int kScans = 100'000;
  for (int i = 0; i < kScans; ++i) recent.add_scan(scan_at(seconds(10 * i)));
  recent.add_counts({0.0, 0, 0});
  recent.add_counts({seconds(10 * kScans), 0, 0});
  const Number first = recent.next_scan(0.0, 0.0);
  ASSERT_TRUE(first.has_value());
  EXPECT_GE(*first, 75'000U);
  EXPECT_NEAR(recent.scan().time_s, seconds(10 * static_cast<int>(*first)), 1e-9) << "those left out are counted";
}

}  // namespace
}  // namespace wainscot
