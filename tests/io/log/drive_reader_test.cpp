#include "io/log/drive_reader.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include <cstdio>
#include <filesystem>
#include <memory>
#include <string>

#include <sys/stat.h>
#include <unistd.h>

#include "core/errors.hpp"
#include "io/files/file_reader.hpp"
#include "tests/io/reader_folder.hpp"

namespace wainscot {
namespace {

class DriveReaderTest : public testing::Test {
 protected:
  DriveReaderTest() { folder_.write_drive(); }

  Drive read() const { return read_drive(folder_.path()); }

  // The message of the refusal, the folder's path cut off; "" where the drive is read.
  std::string refusal() const {
    try {
      read();
    } catch (const InputError& error) {
      std::string message = error.what();
      const std::string path = folder_.path().string();
      EXPECT_EQ(message.rfind(path, 0), 0u) << message;
      return message.substr(path.size());
    }
    return "";
  }

  std::string refusal_with(const std::string& name, const std::string& text) const {
    folder_.write(name, text);
    return refusal();
  }

  ReaderFolder folder_;
};

TEST_F(DriveReaderTest, TheCommonForm) {
  const Drive drive = read();
  EXPECT_EQ(drive.name, folder_.path().filename());
  EXPECT_TRUE(drive.warnings.empty());
  ASSERT_EQ(drive.wheels.size(), 3u);
  EXPECT_EQ(drive.wheels[2].right_ticks, 205);
  EXPECT_TRUE(drive.odometry.empty());
  EXPECT_TRUE(drive.breaks.empty());
  ASSERT_EQ(drive.scans.size(), 3u);
  EXPECT_EQ(drive.scans[0].returns.size(), 3u);
  EXPECT_EQ(drive.scans[1].returns.size(), 2u);
  EXPECT_EQ(drive.scans[2].returns.size(), 2u);
  EXPECT_EQ(drive.robot.drive->track_width_m, 0.31);
}

TEST_F(DriveReaderTest, EveryOptionalFile) {
  folder_.write("gyro.csv", "time_s,yaw_rate_rad_s\n10,0.25\n10.5,-0.5\n");
  folder_.write("markers.csv", "time_s,marker,x_m,y_m,heading_rad\n10.2,door,1,2,0.5\n10.2,sofa,3,4,\n");
  folder_.write("marker_map.csv", "marker,x_m,y_m\ndoor,5,6\nsofa,7,8");
  folder_.write("followed.csv", "from_s,to_s,line\n10.4,10.6,hall\n10.1,10.2,hall\n");
  folder_.write("line_map.csv", "line,x1_m,y1_m,x2_m,y2_m\nhall,1,2,3,4");
  folder_.write("hints.csv", "time_1_s,time_2_s,same_place\n10.5,10.1,yes\n10.1,10.3,no");
  folder_.write("truth.csv", "time_s,x_m,y_m,heading_rad\n10,1,2,3\n11,1,2,3\n");
  const Drive drive = read();
  ASSERT_EQ(drive.gyro.size(), 2u);
  EXPECT_EQ(drive.gyro[1].yaw_rate_rad_s, -0.5);
  ASSERT_EQ(drive.markers.size(), 2u);
  EXPECT_EQ(drive.markers[0].marker, "door");
  EXPECT_EQ(drive.markers[0].heading_rad, 0.5);
  EXPECT_EQ(drive.markers[1].heading_rad, std::nullopt);
  ASSERT_EQ(drive.marker_map.size(), 2u);
  EXPECT_EQ(drive.marker_map[1].marker, "sofa");
  EXPECT_EQ(drive.marker_map[1].y_m, 8.0);
  ASSERT_EQ(drive.followed.size(), 2u);
  EXPECT_EQ(drive.followed[1].to_s, 10.6);
  ASSERT_EQ(drive.line_map.size(), 1u);
  EXPECT_EQ(drive.line_map[0].y2_m, 4.0);
  ASSERT_EQ(drive.hints.size(), 2u);
  EXPECT_TRUE(drive.hints[0].same_place);
  EXPECT_FALSE(drive.hints[1].same_place);
  EXPECT_EQ(drive.hints[1].time_2_s, 10.3);
  EXPECT_EQ(drive.truth.size(), 2u);
  EXPECT_TRUE(drive.warnings.empty());
}

TEST_F(DriveReaderTest, ASurveyWithoutSightingsIsOfNoUse) {
  folder_.write("marker_map.csv", "marker,x_m,y_m\ndoor,5,6\n");
  folder_.write("line_map.csv", "line,x1_m,y1_m,x2_m,y2_m\nhall,1,2,3,4\n");
  const Drive drive = read_drive(folder_.path());
  ASSERT_EQ(drive.warnings.size(), 2u);
  EXPECT_NE(drive.warnings[1].find("/line_map.csv: nothing can be made from it without followed.csv"),
            std::string::npos);
  EXPECT_NE(drive.warnings[0].find("/marker_map.csv: nothing can be made from it without markers.csv"),
            std::string::npos);
}

TEST_F(DriveReaderTest, OdometryAndReturnsInstead) {
  folder_.remove("wheels.csv");
  folder_.remove("scans.csv");
  folder_.write("robot.yaml", "wainscot_robot: 1\n");
  folder_.write("odometry.csv", "time_s,x_m,y_m,heading_rad\n0,0,0,0\n1,0.1,0,0\n");
  folder_.write("returns.csv", "time_s,angle_deg,range_m\n0.1,0,1\n0.2,90,1\n0.3,180,2\n");
  const Drive drive = read();
  EXPECT_FALSE(drive.robot.drive);
  EXPECT_EQ(drive.odometry.size(), 2u);
  ASSERT_EQ(drive.scans.size(), 1u);
  EXPECT_EQ(drive.scans[0].returns.size(), 3u);
}

// The outside check is GNU coreutils' sha256sum, over the list that it prints itself.
TEST_F(DriveReaderTest, TheChecksumIsThatOfSha256sum) {
  folder_.write("gyro.csv", "time_s,yaw_rate_rad_s\n10,0.25\n10.5,-0.5\n10.6,0");  // the dropped row counts too
  const std::string command =
      "cd '" + folder_.path().string() + "' && LC_ALL=C sha256sum *.csv *.yaml | sort -k 2 | sha256sum";
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
  char expected[65] = {};
  ASSERT_EQ(std::fread(expected, 1, 64, pipe.get()), 64u);
  EXPECT_EQ(read().checksum, expected);
}

TEST_F(DriveReaderTest, TheChecksumLeavesTheTruthOut) {
  const std::string before = read().checksum;
  folder_.write("truth.csv", "time_s,x_m,y_m,heading_rad\n10,1,2,3\n11,1,2,3\n");
  EXPECT_EQ(read().checksum, before);
  folder_.write("wheels.csv", "time_s,left_ticks,right_ticks\n10.0,1000,-5\n10.5,1100,95\n11.0,1201,205\n");
  EXPECT_NE(read().checksum, before);
}

TEST_F(DriveReaderTest, ProgressGrowsToOne) {
  double last = 0.0;
  read_drive(folder_.path(), [&](double fraction) {
    EXPECT_GE(fraction, last);
    last = fraction;
  });
  EXPECT_GT(last, 0.5);
  EXPECT_LE(last, 1.0);
}

TEST_F(DriveReaderTest, AnUnfinishedLastRowIsDroppedWithAWarning) {
  folder_.write("wheels.csv", "time_s,left_ticks,right_ticks\n10.0,1000,-5\n11.0,1200,205\n11.5,13");
  const Drive drive = read();
  EXPECT_EQ(drive.wheels.size(), 2u);
  ASSERT_EQ(drive.warnings.size(), 1u);
  EXPECT_NE(drive.warnings[0].find("wheels.csv:4: the last row has no line end"), std::string::npos);
}

TEST_F(DriveReaderTest, AMisspeltOptionalFileIsTold) {
  folder_.write("marker.csv", "anything");
  folder_.write("notes.txt", "anything");
  const Drive drive = read();
  ASSERT_EQ(drive.warnings.size(), 1u);
  EXPECT_NE(drive.warnings[0].find("marker.csv: is not read; if it is meant to be markers.csv"), std::string::npos);
}

TEST_F(DriveReaderTest, TimesInMillisecondsAreTold) {
  folder_.write("wheels.csv", "time_s,left_ticks,right_ticks\n0,0,0\n1000,10,10\n");
  folder_.write("scans.csv", "time_s,0\n100,1\n200,1\n300,1\n");
  const Drive drive = read();
  ASSERT_EQ(drive.warnings.size(), 1u);
  EXPECT_NE(drive.warnings[0].find("milliseconds"), std::string::npos);
}

TEST_F(DriveReaderTest, ATableInMillisecondsThatLiesElsewhereIsNamed) {
  folder_.write("wheels.csv", "time_s,left_ticks,right_ticks\n1000000,0,0\n1000500,10,10\n1001000,20,20\n");
  folder_.write("scans.csv", "time_s,0\n1000.1,1\n1000.5,1\n1001.1,1\n");
  const Drive drive = read();
  EXPECT_TRUE(std::any_of(drive.warnings.begin(), drive.warnings.end(), [](const std::string& warning) {
    return warning.find("lasts 1000 times as long: divide its time_s by 1000 if they are milliseconds") !=
           std::string::npos;
  }));
}

TEST_F(DriveReaderTest, ManyRowsOfOneFileBetweenTwoOfTheOther) {
  std::string scans = "time_s,0,180\n";
  for (int i = 0; i < 500; ++i) scans += "10." + std::to_string(1000 + i) + ",1,2\n";
  folder_.write("scans.csv", scans);
  EXPECT_EQ(read().scans.size(), 500u);
}

TEST_F(DriveReaderTest, FilesThatExcludeEachOther) {
  folder_.write("odometry.csv", "time_s,x_m,y_m,heading_rad\n0,0,0,0\n");
  EXPECT_EQ(
      refusal(),
      ": wheels.csv and odometry.csv are both there, but only one may be; remove the one that should not be used");
  folder_.remove("odometry.csv");
  folder_.write("returns.csv", "time_s,angle_deg,range_m\n0.1,0,1\n");
  EXPECT_EQ(refusal(),
            ": scans.csv and returns.csv are both there, but only one may be; remove the one that should not be used");
}

TEST_F(DriveReaderTest, TheMotionMayBeMissing) {
  folder_.remove("wheels.csv");
  const Drive drive = read_drive(folder_.path());
  EXPECT_TRUE(drive.wheels.empty());
  EXPECT_TRUE(drive.odometry.empty());
  EXPECT_FALSE(drive.scans.empty());
}

TEST_F(DriveReaderTest, FilesThatAreMissing) {
  folder_.remove("wheels.csv");
  // Whether it is to be read nobody knows: a drive may have no record of its motion.
  folder_.write("wheel.csv", "x");
  const Drive without = read();
  EXPECT_TRUE(without.wheels.empty());
  ASSERT_EQ(without.warnings.size(), 1u);
  EXPECT_NE(without.warnings[0].find("/wheel.csv: is not read; if it is meant to be wheels.csv, rename it"),
            std::string::npos);
  folder_.remove("wheel.csv");
  folder_.write_drive();
  folder_.remove("scans.csv");
  EXPECT_EQ(refusal(), ": neither scans.csv nor returns.csv is there; record the lidar");
  folder_.write_drive();
  folder_.remove("robot.yaml");
  EXPECT_EQ(refusal(),
            "/robot.yaml: is not there; write the robot's measures into it, or the line wainscot_robot: 1 alone, and "
            "build finds the measures from the drive");
}

// Every kind of file of a drive, and what a link may be in its place.
TEST_F(DriveReaderTest, WhatIsNoPlainFile) {
  namespace fs = std::filesystem;
  const std::string secret = "root:x:0:0:secret\n";
  folder_.write("secret", secret);
  ReaderFolder elsewhere;
  ::alarm(60);  // should a pipe be waited for
  for (const char* name : {"robot.yaml", "wheels.csv", "odometry.csv", "scans.csv", "returns.csv", "gyro.csv",
                           "markers.csv", "marker_map.csv", "followed.csv", "line_map.csv", "hints.csv", "truth.csv"}) {
    SCOPED_TRACE(name);
    for (const auto& entry : fs::directory_iterator(folder_.path())) fs::remove(entry.path());
    folder_.write_drive();
    if (name == std::string("odometry.csv")) folder_.remove("wheels.csv");
    if (name == std::string("returns.csv")) folder_.remove("scans.csv");
    if (name == std::string("marker_map.csv")) folder_.write("markers.csv", "time_s,marker,x_m,y_m\n10.2,7,1,0\n");
    const fs::path file = folder_.path() / name;
    fs::remove(file);
    const std::string refused = "/" + std::string(name) + ": is not a plain file; give the recorded file itself";
    ASSERT_EQ(::mkfifo(file.c_str(), 0600), 0);
    EXPECT_EQ(refusal(), refused);
    fs::remove(file);
    fs::create_symlink("/dev/zero", file);
    EXPECT_EQ(refusal(), refused);
    fs::remove(file);
    fs::create_symlink(elsewhere.write("secret", secret), file);
    EXPECT_EQ(refusal(),
              "/" + std::string(name) + (name == std::string("robot.yaml") ? ": " : ":1: ") + kFaultBehindLink);
  }
  ::alarm(0);
}

TEST_F(DriveReaderTest, LinksToPlainFilesAreRead) {
  namespace fs = std::filesystem;
  const std::string checksum = read().checksum;
  const ReaderFolder elsewhere;
  for (const char* name : {"robot.yaml", "wheels.csv", "scans.csv"}) {
    fs::rename(folder_.path() / name, elsewhere.path() / name);
    fs::create_symlink(elsewhere.path() / name, folder_.path() / name);
  }
  EXPECT_EQ(read().checksum, checksum);
}

TEST_F(DriveReaderTest, FoldersThatAreNone) {
  EXPECT_THROW(read_drive(folder_.path() / "none"), InputError);
  EXPECT_THROW(read_drive(folder_.path() / "wheels.csv"), InputError);
  EXPECT_THROW(read_drive(""), InputError);
}

TEST_F(DriveReaderTest, AMapIsCalledAMap) {
  folder_.write("grid.yaml", "wainscot_map: 1\n");
  EXPECT_EQ(refusal(), ": is the folder of a map; give the folder of a recorded drive");
}

TEST_F(DriveReaderTest, TimesThatDoNotOverlap) {
  EXPECT_EQ(refusal_with("scans.csv", "time_s,0\n20,1\n21,1\n"),
            "/scans.csv: its times, 20.000 to 21.000 s, do not overlap those of " + folder_.path().string() +
                "/wheels.csv, 10.000 to 11.000 s; log both by one clock, or set lidar.time_offset_s in robot.yaml");
  folder_.write_drive();
  EXPECT_NE(refusal_with("gyro.csv", "time_s,yaw_rate_rad_s\n0,0\n").find("/gyro.csv: its times, 0.000 to 0.000 s"),
            std::string::npos);
  folder_.remove("gyro.csv");
  EXPECT_NE(refusal_with("markers.csv", "time_s,marker,x_m,y_m\n12,a,0,0\n").find("/markers.csv: its times"),
            std::string::npos);
  folder_.remove("markers.csv");
  EXPECT_NE(refusal_with("truth.csv", "time_s,x_m,y_m,heading_rad\n12,0,0,0\n").find("/truth.csv: its times"),
            std::string::npos);
}

TEST_F(DriveReaderTest, AnOffsetOfTheClocksBringsThemTogether) {
  folder_.write("scans.csv", "time_s,0\n1732600000,1\n1732600001,1\n");
  folder_.write("robot.yaml",
                "wainscot_robot: 1\ndrive: {left_m_per_tick: 1e-4, right_m_per_tick: 1e-4, track_width_m: 0.3}\n"
                "lidar: {time_offset_s: -1732599990}\n");
  const Drive drive = read();
  EXPECT_EQ(drive.scans[0].time_s, 10.0);
  EXPECT_EQ(drive.scans[1].time_s, 11.0);
}

TEST_F(DriveReaderTest, RefusalsOfTheSmallFiles) {
  EXPECT_NE(refusal_with("hints.csv", "time_1_s,time_2_s,same_place\n10.1,10.2,maybe\n")
                .find("/hints.csv:2: same_place is 'maybe'; write yes or no"),
            std::string::npos);
  EXPECT_NE(refusal_with("hints.csv", "time_1_s,time_2_s,same_place\n10.1,99,yes\n")
                .find("/hints.csv:2: time_2_s is 99, but the scans' times go from"),
            std::string::npos);
  EXPECT_NE(refusal_with("hints.csv", "time_1_s,time_2_s,same_place\n10.1,10.1,yes\n")
                .find("/hints.csv:2: time_2_s is the same as time_1_s"),
            std::string::npos);
  folder_.remove("hints.csv");
  EXPECT_NE(refusal_with("marker_map.csv", "marker,x_m,y_m\na,0,0\na,1,1\n")
                .find("/marker_map.csv:3: marker 'a' is there twice"),
            std::string::npos);
  folder_.remove("marker_map.csv");
  EXPECT_NE(refusal_with("markers.csv", "time_s,marker,x_m,y_m\n10.1,\xfc,0,0\n")
                .find("/markers.csv:2: marker is '\\xfc', which is not UTF-8"),
            std::string::npos);
  folder_.remove("markers.csv");
  EXPECT_NE(refusal_with("gyro.csv", "time_s,yaw_rate_rad_s\n10.1,36000\n")
                .find("/gyro.csv:2: yaw_rate_rad_s is '36000', which is not possible"),
            std::string::npos);
}

// What the words of a wrong robot.yaml and of wrong tables say is tested beside their readers; here, that each file of
// the folder is read by the reader that says so.
TEST_F(DriveReaderTest, EveryFileIsChecked) {
  for (const char* name : {"robot.yaml", "wheels.csv", "scans.csv", "gyro.csv", "markers.csv", "marker_map.csv",
                           "followed.csv", "line_map.csv", "hints.csv", "truth.csv"}) {
    folder_.write_drive();
    for (const std::string& text : {std::string(), std::string("\xff\xfet\0", 4), std::string("a,b\n1,2\n"),
                                    std::string("\0\0\0\0\0\0\0\0\0\0", 10)}) {
      EXPECT_EQ(refusal_with(name, text).rfind(std::string("/") + name + ":", 0), 0u) << name;
    }
    folder_.remove(name);
  }
}

}  // namespace
}  // namespace wainscot
