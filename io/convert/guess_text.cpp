#include "io/convert/guess_text.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace wainscot {
namespace {

std::string sureness(const GuessedItem& item) { return fmt::format("{}, {} %", how_sure(item.percent), item.percent); }

std::string others_text(const GuessedItem& item) {
  constexpr std::size_t kMost = 4;
  if (item.others.empty()) return {};
  std::string text = "fits as well, less likely: ";
  for (std::size_t i = 0; i < std::min(kMost, item.others.size()); ++i) text += (i > 0 ? "; " : "") + item.others[i];
  return text;
}

}  // namespace

std::string guess_table(const std::vector<GuessedItem>& items) {
  std::size_t width = 0;
  for (const GuessedItem& item : items) width = std::max(width, item.what.size());
  std::string text;
  for (const GuessedItem& item : items) {
    text += fmt::format("  {:<{}}  {:<14}  {}\n", item.what, width, sureness(item), item.value);
    if (item.percent >= kSurePercent) continue;
    text += fmt::format("      {}\n", item.why);
    if (!item.others.empty()) text += fmt::format("      {}\n", others_text(item));
  }
  return text;
}

ColumnNotes guess_notes(const std::vector<GuessedItem>& items) {
  ColumnNotes notes;
  notes[""] = {"Guessed by `wainscot convert --guess`; the reasons stand above each section. Where a guess is wrong,",
               "change it here, and convert with --columns and this file."};
  for (const GuessedItem& item : items) {
    std::vector<std::string>& lines = notes[item.section];
    lines.push_back(fmt::format("{}: {} ({})", item.what, item.value, sureness(item)));
    lines.push_back("  " + item.why);
    if (!item.others.empty()) lines.push_back("  " + others_text(item));
  }
  return notes;
}

}  // namespace wainscot
