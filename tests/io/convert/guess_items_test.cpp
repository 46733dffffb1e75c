#include "io/convert/guess_items.hpp"

#include <optional>

#include <gtest/gtest.h>

namespace wainscot {
namespace {

GuessedItem doubt() { return {"unit", "mm", "it fits", 80, {"cm", "m"}}; }

AskUser answering(std::optional<std::size_t> answer) {
  return [answer](const GuessedItem&, const std::vector<std::string>&) { return answer; };
}

TEST(GuessItems, AnAnswerIsSure) {
  const AskUser ask = answering(2);
  const GuessItems items(ask);
  GuessedItem item = doubt();
  EXPECT_EQ(items.ask(item), 2U);
  EXPECT_EQ(item.value, "m");
  EXPECT_EQ(item.percent, 100);
  EXPECT_TRUE(item.others.empty());
  EXPECT_EQ(item.why, "it fits; you said so");
}

TEST(GuessItems, WithoutAnAnswerADoubtStays) {
  for (const AskUser& ask : {AskUser{}, answering(std::nullopt)}) {
    const GuessItems items(ask);
    GuessedItem item = doubt();
    EXPECT_EQ(items.ask(item), std::nullopt);
    EXPECT_EQ(item.value, "mm");
    EXPECT_EQ(item.percent, 80);
    EXPECT_EQ(item.others.size(), 2U);
  }
}

TEST(GuessItems, WhatIsSureIsNotAsked) {
  const AskUser ask = answering(1);
  const GuessItems items(ask);
  GuessedItem sure = doubt();
  sure.percent = kSurePercent;
  EXPECT_EQ(items.ask(sure), std::nullopt);
  GuessedItem only = doubt();
  only.others.clear();
  EXPECT_EQ(items.ask(only), std::nullopt);
}

TEST(GuessItems, NamesTheSectionsAtTheEnd) {
  const AskUser nobody;
  GuessItems items(nobody);
  TimeGuess time;
  time.unit = "ms";
  time.other_units = {"us"};
  items.tell(ItemSection::head, doubt());
  items.tell_time(ItemSection::lidar, "time of the scans", "column 2", time);
  items.tell(ItemSection::motion, doubt());
  items.tell(ItemSection::gyro, doubt());
  const std::vector<GuessedItem> told = items.finish("returns", "wheels");
  ASSERT_EQ(told.size(), 4U);
  EXPECT_EQ(told[0].section, "");
  EXPECT_EQ(told[1].section, "returns");
  EXPECT_EQ(told[1].value, "column 2, ms");
  EXPECT_EQ(told[1].percent, 90);
  EXPECT_EQ(told[2].section, "wheels");
  EXPECT_EQ(told[3].section, "gyro");
}

}  // namespace
}  // namespace wainscot
