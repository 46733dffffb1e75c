// The command `locate`, run with the real program as a user runs it.

#include <algorithm>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <utility>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "tests/apps/comes_true.hpp"
#include "tests/apps/command_line.hpp"
#include "tests/apps/has.hpp"
#include "tests/apps/running_program.hpp"

namespace wainscot {
namespace {

class LocateCommand : public CommandLine {};

std::vector<std::string> cells_of(const std::string& row) {
  std::vector<std::string> cells;
  std::istringstream text(row);
  for (std::string cell; std::getline(text, cell, ',');) cells.push_back(cell);
  return cells;
}

TEST_F(LocateCommand, LocatesADriveInAMap) {
  write("scans.csv", scans_of_cut_room(drive_scans));
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome outcome = run("locate flat drive");
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_EQ(outcome.out.rfind("time_s,x_m,y_m,heading_rad,sd_x_m,sd_y_m,sd_heading_rad,answer\n", 0), 0U);
  EXPECT_EQ(std::count(outcome.out.begin(), outcome.out.end(), '\n'), drive_scans + 1);
  EXPECT_NE(outcome.out.find(",found\n"), std::string::npos) << outcome.out;
  EXPECT_EQ(outcome.err.rfind("Simulated drive: ", 0), 0U) << outcome.err;
  EXPECT_NE(outcome.err.find("the first scan.\n"), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("\nCaution: "), std::string::npos) << outcome.err;
}

TEST_F(LocateCommand, ARoomThatLooksTheSameFromBothEndsIsAmbiguous) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const Outcome likeliest = run("locate flat drive --quiet");
  EXPECT_EQ(likeliest.status, 1);
  EXPECT_NE(likeliest.err.find("--all lists the places"), std::string::npos) << likeliest.err;
  EXPECT_EQ(std::count(likeliest.out.begin(), likeliest.out.end(), '\n'), drive_scans + 1);
  EXPECT_EQ(likeliest.out.find(",found\n"), std::string::npos) << likeliest.out;
  const Outcome all = run("locate flat drive --quiet --all");
  EXPECT_EQ(all.status, 1);
  EXPECT_GE(std::count(all.out.begin(), all.out.end(), '\n'), 2 * drive_scans);
}

/// That two tables have the same answers: a recorded drive's own scans tell how noisy its lidar is.
void expect_same_answers(const std::string& table, const std::string& expected) {
  std::istringstream rows(table);
  std::istringstream expected_rows(expected);
  std::string row;
  std::string expected_row;
  while (std::getline(expected_rows, expected_row)) {
    ASSERT_TRUE(std::getline(rows, row)) << expected_row;
    const std::vector<std::string> cells = cells_of(row);
    const std::vector<std::string> expected_cells = cells_of(expected_row);
    EXPECT_EQ(cells.front(), expected_cells.front());
    ASSERT_EQ(cells.back(), expected_cells.back()) << row;
    if (cells.back() != "found") continue;
    for (std::size_t i = 1; i <= 3; ++i) EXPECT_NEAR(std::stod(cells[i]), std::stod(expected_cells[i]), 0.001) << row;
  }
  EXPECT_FALSE(std::getline(rows, row)) << row;
}

class LocateWhileDriving : public LocateCommand {
 protected:
  LocateWhileDriving() {
    write("scans.csv", scans_of_cut_room(drive_scans));
    EXPECT_EQ(run("build drive --out flat --quiet").status, 0);
  }
};

TEST_F(LocateWhileDriving, TheRowsAreThoseOfAsDriving) {
  const Outcome recorded = run("locate flat drive --as-driving --quiet");
  ASSERT_EQ(recorded.status, 0) << recorded.err;
  const Outcome followed = run("locate flat drive --follow --until-idle 0.3");
  EXPECT_EQ(followed.status, 0) << followed.err;
  expect_same_answers(followed.out, recorded.out);
  EXPECT_NE(followed.err.find("40 scans: "), std::string::npos) << followed.err;
  EXPECT_NE(followed.err.find("\nCaution: "), std::string::npos) << followed.err;
}

TEST_F(LocateWhileDriving, ARowComesAsSoonAsItsScanHas) {
  const std::string whole = run("locate flat drive --follow --until-idle 0.1 --quiet").out;
  const std::string wheel_rows = read("wheels.csv");
  const std::string scan_rows = read("scans.csv");
  write("wheels.csv", wheel_rows.substr(0, wheel_rows.find("\n2.10,") + 1));
  write("scans.csv", scan_rows.substr(0, scan_rows.find("\n2.1,") + 1));
  RunningProgram program(folder_.path(), "locate flat drive --follow --quiet");
  // The scan of 2.0 s is answered once the wheels have gone past it by 25 ms.
  ASSERT_TRUE(comes_true([&] { return has(program.printed(), "\n2.0"); })) << program.said();
  const std::string early = program.printed();
  EXPECT_EQ(early, whole.substr(0, early.size()));
  std::ofstream(drive_ / "scans.csv", std::ios::app) << scan_rows.substr(scan_rows.find("\n2.1,") + 1);
  std::ofstream(drive_ / "wheels.csv", std::ios::app) << wheel_rows.substr(wheel_rows.find("\n2.10,") + 1, 3);
  std::ofstream(drive_ / "wheels.csv", std::ios::app) << wheel_rows.substr(wheel_rows.find("\n2.10,") + 4);
  EXPECT_TRUE(comes_true([&] { return program.printed().size() >= whole.size(); }));
  program.signal(SIGINT);
  const Outcome outcome = program.end();
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_EQ(outcome.out, whole);
}

TEST_F(LocateWhileDriving, WhatIsOddIsSaidAndTheRestIsLocated) {
  RunningProgram program(folder_.path(), "locate flat drive --follow");
  const auto rows = [&] {
    const std::string printed = program.printed();
    return std::count(printed.begin(), printed.end(), '\n') - 1;
  };
  const std::vector<std::pair<std::string, std::string>> tables = {{"wheels.csv", read("wheels.csv")},
                                                                   {"scans.csv", read("scans.csv")}};
  // The recorder is ended in the middle of a row, and begins a new line.
  std::ofstream(drive_ / "scans.csv", std::ios::app) << "4.2,1.0,\n";
  ASSERT_TRUE(program.says("Warning: drive/scans.csv:42: ")) << program.said();
  ASSERT_TRUE(comes_true([&] { return rows() == drive_scans; }));
  // The whole drive again, by new files.
  for (const auto& [table, text] : tables) {
    std::ofstream(folder_.path() / "new") << text;
    std::filesystem::rename(folder_.path() / "new", drive_ / table);
    ASSERT_TRUE(program.says(table + ": begins anew")) << program.said();
  }
  EXPECT_TRUE(comes_true([&] { return rows() == 2 * drive_scans; })) << program.said();
  program.signal(SIGINT);
  EXPECT_EQ(program.end().status, 0) << program.said();
}

TEST_F(LocateWhileDriving, NothingRecordedIsNoAnswer) {
  std::filesystem::remove(drive_ / "scans.csv");
  const Outcome outcome = run("locate flat drive --follow --until-idle 0.1 --quiet");
  EXPECT_EQ(outcome.status, 1);
  EXPECT_EQ(outcome.err.rfind("wainscot: nothing came that a robot could be located by", 0), 0U) << outcome.err;
}

TEST_F(LocateWhileDriving, RefusesWrongInput) {
  expect_refused("locate flat nowhere --follow", 2, "is not a folder");
  expect_refused("locate flat flat --follow", 2, "is the folder of a map");
  expect_refused("locate flat drive --follow --as-driving", 2, "--as-driving");
  expect_refused("locate flat drive --follow --until-idle 0.01", 2, "--until-idle");
  expect_refused("locate flat drive --until-idle 1", 2, "--follow");
  expect_refused("locate flat -", 2, "--columns");
}

TEST_F(LocateCommand, WritesTableAndPageToFiles) {
  write("scans.csv", scans_of_cut_room(drive_scans));
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  const std::string table = run("locate flat drive --quiet").out;
  const Outcome outcome = run("locate flat drive --csv where.csv --page where.html");
  EXPECT_EQ(outcome.status, 0) << outcome.err;
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(content(folder_.path() / "where.csv"), table);
  const std::string page = content(folder_.path() / "where.html");
  EXPECT_NE(page.find("Where the robot was: drive in flat"), std::string::npos);
  EXPECT_NE(page.find("simulated drive"), std::string::npos);
  expect_refused("locate flat drive --csv where.csv", 2, "--replace");
  expect_refused("locate flat drive --page where.html", 2, "--replace");
  expect_refused("locate flat drive --csv one --page one", 2, "one");
  const Outcome again = run("locate flat drive --follow --until-idle 0.1 --csv where.csv --page where.html --replace");
  EXPECT_EQ(again.status, 0) << again.err;
  EXPECT_EQ(again.out, "");
  expect_same_answers(content(folder_.path() / "where.csv"), run("locate flat drive --as-driving --quiet").out);
}

TEST_F(LocateCommand, ADriveThatFitsNowhereEndsWithStatusOne) {
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  replace("robot.yaml", "  sweep_s: 0\n", "  sweep_s: 0\n  range_scale: 0.6\n");
  const Outcome outcome = run("locate flat drive --quiet");
  EXPECT_EQ(outcome.status, 1);
  EXPECT_EQ(outcome.out.find(",found\n"), std::string::npos) << outcome.out;
  EXPECT_EQ(outcome.err.rfind("wainscot: ", 0), 0U) << outcome.err;
  EXPECT_EQ(std::count(outcome.err.begin(), outcome.err.end(), '\n'), 1) << outcome.err;
}

TEST_F(LocateCommand, LocateRefusesWrongInput) {
  expect_refused("locate", 2, "MAP");
  expect_refused("locate nowhere drive", 2, "wainscot build");
  ASSERT_EQ(run("build drive --out flat --quiet").status, 0);
  expect_refused("locate flat nowhere", 2, "is not a folder");
  expect_refused("locate flat drive --al", 2, "did you mean --all");
  write("scans.csv", scans(drive_scans, false));
  expect_refused("locate flat drive --quiet", 1, "20 returns");
}

}  // namespace
}  // namespace wainscot
