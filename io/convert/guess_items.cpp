#include "io/convert/guess_items.hpp"

#include <utility>

namespace wainscot {

void GuessItems::tell(ItemSection section, GuessedItem item) { told_.push_back({section, std::move(item)}); }

void GuessItems::tell_time(ItemSection section, const std::string& what, const std::string& column,
                           const TimeGuess& time) {
  tell(section, {what, column + ", " + time.unit, time.why, time.sure ? 99 : 90, time.other_units});
}

std::optional<std::size_t> GuessItems::ask(GuessedItem& item) const {
  if (!ask_ || item.percent >= kSurePercent || item.others.empty()) return std::nullopt;
  std::vector<std::string> answers = item.others;
  answers.insert(answers.begin(), item.value);
  const std::optional<std::size_t> answer = ask_(item, answers);
  if (!answer) return std::nullopt;
  item.value = answers[*answer];
  item.why += "; you said so";
  item.percent = 100;
  item.others.clear();
  return answer;
}

std::vector<GuessedItem> GuessItems::finish(const std::string& lidar, const std::string& motion) {
  std::vector<GuessedItem> items;
  for (Told& told : told_) {
    GuessedItem& item = items.emplace_back(std::move(told.item));
    switch (told.section) {
      case ItemSection::head:
        break;
      case ItemSection::lidar:
        item.section = lidar;
        break;
      case ItemSection::motion:
        item.section = motion;
        break;
      case ItemSection::gyro:
        item.section = "gyro";
        break;
    }
  }
  told_.clear();
  return items;
}

}  // namespace wainscot
