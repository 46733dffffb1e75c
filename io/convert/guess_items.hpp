#pragma once

// What a guess tells and asks on its way.

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "io/convert/guessed_item.hpp"
#include "io/convert/time_guess.hpp"

namespace wainscot {

/// A question with its possible answers, the likeliest first; gives the index of the one chosen, nullopt where nobody
/// answers.
using AskUser =
    std::function<std::optional<std::size_t>(const GuessedItem& item, const std::vector<std::string>& answers)>;

/// The sections whose names in columns.yaml are settled last: "scans" or "returns", "wheels" or "odometry".
enum class ItemSection { head, lidar, motion, gyro };

class GuessItems {
 public:
  /// `ask` may be empty. It must outlive this.
  explicit GuessItems(const AskUser& ask) : ask_(ask) {}

  void tell(ItemSection section, GuessedItem item);

  /// `column`: the text of the column where the time is.
  void tell_time(ItemSection section, const std::string& what, const std::string& column, const TimeGuess& time);

  /// Asks where two answers fit and writes the answer into the item, as sure. Gives its index, the likeliest being 0;
  /// nullopt where nothing was asked or nobody answered: the item stays as it is.
  std::optional<std::size_t> ask(GuessedItem& item) const;

  /// All that was told, in the order of telling, with the names of the sections.
  std::vector<GuessedItem> finish(const std::string& lidar, const std::string& motion);

 private:
  struct Told {
    ItemSection section;
    GuessedItem item;
  };
  const AskUser& ask_;
  std::vector<Told> told_;
};

}  // namespace wainscot
