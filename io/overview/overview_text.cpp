#include "io/overview/overview_text.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <utility>

#include <fmt/format.h>

#include "core/median.hpp"
#include "io/number_text.hpp"
#include "io/short_list.hpp"

namespace wainscot {
namespace {

std::vector<std::string> failures_of(const std::vector<DriveRow>& rows) {
  std::vector<std::string> lines;
  for (const DriveRow& row : rows) {
    if (row.state == RowState::mapped) continue;
    lines.push_back(fmt::format("{} ({}): {}", row.name, verdict_words(row), row.sentence));
  }
  return lines;
}

std::vector<std::string> odd_lines(const Overview& overview) {
  std::vector<std::string> lines;
  for (const OddConstant& odd : overview.fleet.odd) {
    lines.push_back(fmt::format("{}: {}", overview.rows[odd.row].name, odd_sentence(odd)));
  }
  return lines;
}

struct Figure {
  const char* name;
  std::function<double(const DriveRow&)> of;
  std::string (*text)(double);
};

std::string metres(double value) { return length_text(value); }
std::string degrees(double value) { return short_text(value, 3) + " deg"; }

/// Median and worst of a figure, over the rows that have it.
std::string figure_line(const Figure& figure, const std::vector<DriveRow>& rows) {
  std::vector<double> values;
  const DriveRow* worst = nullptr;
  for (const DriveRow& row : rows) {
    const double value = figure.of(row);
    if (std::isnan(value)) continue;
    values.push_back(value);
    if (worst == nullptr || value > figure.of(*worst)) worst = &row;
  }
  if (worst == nullptr) return {};
  const std::string known =
      values.size() < rows.size() ? fmt::format(", of {}", count_text(values.size(), "drive")) : std::string();
  return fmt::format("  {:<28}median {}, worst {} ({}){}\n", figure.name, figure.text(median(values)),
                     figure.text(figure.of(*worst)), worst->name, known);
}

std::string figures_text(const std::vector<DriveRow>& rows) {
  const std::vector<Figure> figures = {
      {"a place, as stated:", [](const DriveRow& row) { return row.place_sd_m; }, metres},
      {"the scale, as stated:", [](const DriveRow& row) { return row.scale_sd; }, percent_text},
      {"tapes, root mean square:", [](const DriveRow& row) { return row.tapes.rms_m; }, metres},
      {"path against the truth:", [](const DriveRow& row) { return row.truth.path_rmse_m; }, metres},
      {"its largest error:", [](const DriveRow& row) { return row.truth.path_worst_m; }, metres},
      {"heading against the truth:", [](const DriveRow& row) { return row.truth.heading_rmse_deg; }, degrees},
  };
  std::string text;
  for (const Figure& figure : figures) text += figure_line(figure, rows);
  return text.empty() ? text : "Standard uncertainties and errors:\n" + text;
}

}  // namespace

std::string counts_sentence(const OverviewCounts& counts) {
  std::vector<std::string> verdicts;
  const auto add = [](std::vector<std::string>& parts, std::size_t count, const char* words) {
    if (count > 0) parts.push_back(whole_text(count) + " " + words);
  };
  add(verdicts, counts.good, "good");
  add(verdicts, counts.usable, "usable");
  add(verdicts, counts.unusable, "not to be used");
  add(verdicts, counts.without_verdict, "without a verdict");
  std::string text = count_text(counts.maps(), "map");
  if (!verdicts.empty()) text += fmt::format(": {}", fmt::join(verdicts, ", "));
  if (counts.failed > 0) text += fmt::format("; {} failed", count_text(counts.failed, "drive"));
  if (counts.damaged > 0) text += fmt::format("; {} damaged", count_text(counts.damaged, "map"));
  return text;
}

std::vector<std::string> change_sentences(const Overview& overview) {
  std::vector<std::string> sentences;
  for (const FleetRobot& robot : overview.fleet.robots) {
    for (const ConstantSeries& series : robot.series) {
      if (std::string sentence = change_sentence(series, overview.rows); !sentence.empty()) {
        sentences.push_back(std::move(sentence));
      }
    }
  }
  return sentences;
}

std::string overview_text(const Overview& overview) {
  constexpr const char* kWhere = ": in the CSV";
  const std::vector<DriveRow>& rows = overview.rows;
  std::string text;
  if (std::any_of(rows.begin(), rows.end(), [](const DriveRow& row) { return row.simulated; })) {
    text += "Simulated drives are among these: their figures say nothing of a real robot.\n";
  }
  text += short_list("No map:", failures_of(rows), kWhere);
  text += counts_sentence(counts_of(rows)) + ".\n";
  text += short_list("Drives that differ from their sisters:", odd_lines(overview), kWhere);
  text += short_list("Robots that changed from drive to drive:", change_sentences(overview), kWhere);
  return text + figures_text(rows);
}

}  // namespace wainscot
