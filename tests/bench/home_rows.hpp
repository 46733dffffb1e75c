#pragma once

// A table of which each row is another robot, driven through the same simulated homes.

#include <algorithm>
#include <cstdint>
#include <iterator>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "core/median.hpp"

namespace wainscot::bench {

/// Which homes and which rows.
struct HomeRows {
  std::uint64_t first = 1;
  int seeds = 10;
  std::vector<std::string> only = {};  ///< rows by their names; empty: all

  void add_to(CLI::App& app) {
    app.add_option("--first", first, "first home")->capture_default_str();
    app.add_option("--seeds", seeds, "how many homes")->check(CLI::Range(1, 10000))->capture_default_str();
    app.add_option("--only", only, "one row, by its name in the table; may be given often");
  }

  bool has(const std::string& row) const {
    return only.empty() || std::find(only.begin(), only.end(), row) != only.end();
  }

  std::vector<std::uint64_t> homes() const {
    std::vector<std::uint64_t> all;
    for (int i = 0; i < seeds; ++i) all.push_back(first + static_cast<std::uint64_t>(i));
    return all;
  }
};

/// Median and worst of a figure of each home, in columns of nine. `homes` is not empty.
template <typename Home, typename Figure>
std::string spread_text(const std::vector<Home>& homes, int digits, Figure figure) {
  std::vector<double> values;
  std::transform(homes.begin(), homes.end(), std::back_inserter(values), figure);
  const double worst = *std::max_element(values.begin(), values.end());
  return fmt::format("{:>9.{}f}{:>9.{}f}", median(values), digits, worst, digits);
}

}  // namespace wainscot::bench
