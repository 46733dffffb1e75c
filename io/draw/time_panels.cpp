#include "io/draw/time_panels.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "core/median.hpp"
#include "io/draw/svg_plot.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double panel_left_px = 54.0;
constexpr double panel_margin_px = 12.0;  // to the right border
constexpr double curves_px = 110.0;       // height
constexpr double text_px = 21.0;          // from line to line
constexpr double bar_px = 12.0;

/// The picture while it grows downwards.
struct Sheet {
  const TimePanels& panels;
  double base_s = 0.0;  ///< the time axis' 0
  double end_s = 1.0;   ///< after panels.begin_s
  double y_px = 10.0;   ///< where what comes next begins
  std::string svg;

  double right_px() const { return panels.width_px - panel_margin_px; }
  double x_px(double time_s) const {
    const double part = (time_s - panels.begin_s) / (end_s - panels.begin_s);
    return panel_left_px + std::clamp(part, 0.0, 1.0) * (right_px() - panel_left_px);
  }
};

void add_lines(const std::string& text, double x_px, const char* classes, Sheet& sheet) {
  for (const std::string& line : svg_wrapped(text, sheet.panels.width_px - x_px - panel_margin_px)) {
    sheet.y_px += text_px;
    sheet.svg += svg_text(x_px, sheet.y_px - 5.0, line, classes);
  }
}

std::vector<double> time_ticks(const Sheet& sheet) {
  return round_ticks(sheet.panels.begin_s - sheet.base_s, sheet.end_s - sheet.base_s, 5);
}

/// The values that are drawn at the borders; what lies beyond `high` or `low` is cut off.
struct Reach {
  double low = 0.0;
  double high = 1.0;
  bool cut = false;
};

/// All values, and 0; but a handful far beyond all others must not press these into one line.
Reach reach_of(const TimePanel& panel) {
  constexpr double kMostOf = 0.99;
  constexpr double kFarBeyond = 4.0;
  std::vector<double> sizes;
  Reach all{0.0, 0.0, false};
  for (const PanelSeries& series : panel.series) {
    for (const double value : series.value) {
      if (!std::isfinite(value)) continue;
      sizes.push_back(std::abs(value));
      all.low = std::min(all.low, value);
      all.high = std::max(all.high, value);
    }
  }
  const double usual = quantile(std::move(sizes), kMostOf);
  if (usual > 0.0 && std::max(all.high, -all.low) > kFarBeyond * usual) {
    all = {std::max(all.low, -2.0 * usual), std::min(all.high, 2.0 * usual), true};
  }
  for (const double limit : panel.limits) {
    all.low = std::min(all.low, limit);
    all.high = std::max(all.high, limit);
  }
  if (!(all.high > all.low)) all.high = all.low + 1.0;
  const double margin = 0.05 * (all.high - all.low);
  return {all.low < 0.0 ? all.low - margin : all.low, all.high + margin, all.cut};
}

/// One line of a series: the least and the greatest value of each column, in the order of their times.
class Envelope {
 public:
  void add(double x_px, double y_px) {
    const double column = std::floor(2.0 * x_px);
    if (column != column_) flush();
    column_ = column;
    if (count_++ == 0) first_ = last_ = least_ = greatest_ = {x_px, y_px};
    last_ = {x_px, y_px};
    if (y_px < least_.second) least_ = last_;
    if (y_px > greatest_.second) greatest_ = last_;
  }

  /// The elements of all lines so far, and no line any more. A value alone becomes a short line, so that it is seen.
  std::string take(const std::string& classes) {
    flush();
    std::string svg;
    if (points_ == 1) line_.add(last_put_.first + 1.0, last_put_.second);
    if (points_ > 0) svg = line_.element(classes);
    line_ = {};
    points_ = 0;
    return svg;
  }

 private:
  using Point = std::pair<double, double>;

  void put(const Point& point) {
    if (points_ > 0 && point == last_put_) return;
    line_.add(point.first, point.second);
    last_put_ = point;
    ++points_;
  }

  void flush() {
    if (count_ == 0) return;
    put(first_);
    if (least_.first < greatest_.first) {
      put(least_);
      put(greatest_);
    } else {
      put(greatest_);
      put(least_);
    }
    put(last_);
    count_ = 0;
  }

  SvgPolyline line_;
  std::size_t points_ = 0;
  Point last_put_;
  double column_ = std::numeric_limits<double>::quiet_NaN();
  std::size_t count_ = 0;
  Point first_, last_, least_, greatest_;
};

void add_legend(const TimePanel& panel, Sheet& sheet) {
  constexpr double kStrokePx = 28.0;
  double x = panel_left_px;
  sheet.y_px += text_px;
  for (const PanelSeries& series : panel.series) {
    const double needed_px = kStrokePx + 24.0 + svg_text_width_px(series.name);
    if (x > panel_left_px && x + needed_px > sheet.panels.width_px + 12.0) {
      x = panel_left_px;
      sheet.y_px += text_px;
    }
    const double y = sheet.y_px - 5.0;
    sheet.svg += fmt::format("<path class=\"line {}\" d=\"M{} {}h{}\"/>\n", series.meaning, svg_number(x),
                             svg_number(y - 5.0), svg_number(kStrokePx));
    sheet.svg += svg_text(x + kStrokePx + 8.0, y, series.name);
    x += needed_px;
  }
}

/// Numbers in up to three rows above a panel; one for which no room is left has its line only.
void add_marks(const TimePanel& panel, double bottom_px, Sheet& sheet) {
  constexpr double kLetterPx = 10.0;
  std::array<double, 3> rows_end_px{};
  std::vector<std::pair<double, std::size_t>> places;
  for (const PanelMark& mark : panel.marks) places.emplace_back(sheet.x_px(mark.time_s), mark.number);
  std::sort(places.begin(), places.end());
  std::size_t rows = 0;
  std::vector<std::size_t> row_of;
  for (const auto& [x, number] : places) {
    const double half_px = 0.5 * kLetterPx * static_cast<double>(std::to_string(number).size()) + 1.0;
    std::size_t row = 0;
    while (row < rows_end_px.size() && rows_end_px.at(row) > x - half_px) ++row;
    if (row < rows_end_px.size()) rows_end_px.at(row) = x + half_px;
    row_of.push_back(row);
    rows = std::max(rows, std::min(row + 1, rows_end_px.size()));
  }
  const double top_px = sheet.y_px + text_px * static_cast<double>(rows);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const auto& [x, number] = places[i];
    const double y = top_px - text_px * static_cast<double>(row_of[i]);
    sheet.svg += fmt::format("<path class=\"axis\" d=\"M{} {}V{}\"/>\n", svg_number(x), svg_number(std::min(y, top_px)),
                             svg_number(top_px + bottom_px));
    if (row_of[i] < rows_end_px.size()) {
      sheet.svg += svg_text(x, y - 3.0, std::to_string(number), "middle strong halo");
    }
  }
  sheet.y_px = top_px;
}

void add_time_rules(double top_px, double bottom_px, Sheet& sheet) {
  for (const double tick : time_ticks(sheet)) {
    sheet.svg += fmt::format("<path class=\"rule\" d=\"M{} {}V{}\"/>\n", svg_number(sheet.x_px(sheet.base_s + tick)),
                             svg_number(top_px), svg_number(bottom_px));
  }
}

void add_curves(const TimePanel& panel, Sheet& sheet) {
  const Reach reach = reach_of(panel);
  add_lines(panel.title + (reach.cut ? "; what is far beyond is cut off at the border" : ""), 10.0, "strong", sheet);
  add_legend(panel, sheet);
  const double top_px = sheet.y_px + 4.0;
  // Marks lie under the curves; their numbers push the panel down.
  sheet.y_px = top_px;
  add_marks(panel, curves_px, sheet);
  const double curve_top_px = sheet.y_px;
  const double bottom_px = curve_top_px + curves_px;
  const auto y_px = [&](double value) {
    const double part = std::clamp((value - reach.low) / (reach.high - reach.low), 0.0, 1.0);
    return bottom_px - part * curves_px;
  };
  add_time_rules(curve_top_px, bottom_px, sheet);
  for (const double tick : round_ticks(reach.low, reach.high, 4)) {
    sheet.svg += fmt::format("<path class=\"rule\" d=\"M{} {}H{}\"/>\n", svg_number(panel_left_px),
                             svg_number(y_px(tick)), svg_number(sheet.right_px()));
    sheet.svg += svg_text(panel_left_px - 6.0, y_px(tick) + 5.0, short_text(tick, 6), "end");
  }
  for (const double limit : panel.limits) {
    sheet.svg += fmt::format("<path class=\"axis\" stroke-dasharray=\"2 3\" d=\"M{} {}H{}\"/>\n",
                             svg_number(panel_left_px), svg_number(y_px(limit)), svg_number(sheet.right_px()));
  }
  sheet.svg += fmt::format("<path class=\"axis\" d=\"M{} {}V{}H{}\"/>\n", svg_number(panel_left_px),
                           svg_number(curve_top_px), svg_number(bottom_px), svg_number(sheet.right_px()));
  for (const PanelSeries& series : panel.series) {
    Envelope envelope;
    for (std::size_t i = 0; i < series.value.size(); ++i) {
      if (std::isfinite(series.value[i])) {
        envelope.add(sheet.x_px(series.time_s[i]), y_px(series.value[i]));
      } else {
        sheet.svg += envelope.take("line " + series.meaning);
      }
    }
    sheet.svg += envelope.take("line " + series.meaning);
  }
  sheet.y_px = bottom_px + 8.0;
}

/// One element for what falls into one stretch of pixels; each is seen, however short it is.
void add_bar_row(const PanelBars& bars, Sheet& sheet) {
  constexpr double kShortestPx = 2.0;
  add_lines(bars.name, 10.0, "", sheet);
  const double y = sheet.y_px + 0.5 * bar_px;
  sheet.svg += fmt::format("<path class=\"rule\" d=\"M{} {}H{}\"/>\n", svg_number(panel_left_px), svg_number(y),
                           svg_number(sheet.right_px()));
  std::string path;
  double begin_px = 0.0;
  double end_px = -1.0;
  const auto put = [&] {
    if (end_px > begin_px) path += fmt::format("M{} {}H{}", svg_number(begin_px), svg_number(y), svg_number(end_px));
  };
  for (std::size_t i = 0; i < bars.begin_s.size(); ++i) {
    const double from_px = sheet.x_px(bars.begin_s[i]);
    const double to_px = std::max(sheet.x_px(bars.end_s[i]), from_px + kShortestPx);
    if (from_px > end_px + 0.5) {
      put();
      begin_px = from_px;
      end_px = to_px;
    }
    end_px = std::max(end_px, to_px);
  }
  put();
  if (!path.empty()) sheet.svg += fmt::format("<path class=\"bar\" d=\"{}\"/>\n", path);
  sheet.y_px += bar_px + 2.0;
}

void add_bars(const TimePanel& panel, Sheet& sheet) {
  add_lines(panel.title, 10.0, "strong", sheet);
  if (!panel.marks.empty()) {
    sheet.y_px += 4.0;
    add_marks(panel, 6.0, sheet);
    sheet.y_px += 6.0;
  }
  for (const PanelBars& bars : panel.bars) add_bar_row(bars, sheet);
  sheet.y_px += 8.0;
}

void add_time_axis(Sheet& sheet) {
  const double y = sheet.y_px + 4.0;
  sheet.svg += fmt::format("<path class=\"axis\" d=\"M{} {}H{}\"/>\n", svg_number(panel_left_px), svg_number(y),
                           svg_number(sheet.right_px()));
  for (const double tick : time_ticks(sheet)) {
    const double x = sheet.x_px(sheet.base_s + tick);
    sheet.svg += fmt::format("<path class=\"axis\" d=\"M{} {}v6\"/>\n", svg_number(x), svg_number(y));
    const std::string text = short_text(tick, 6);
    const double half_px = 0.5 * svg_text_width_px(text);
    sheet.svg += svg_text(std::min(x, sheet.panels.width_px - half_px), y + 21.0, text, "middle");
  }
  const std::string label = sheet.base_s == 0.0
                                ? "Time of the log, s"
                                : fmt::format("Time after {} s of the log, s", short_text(sheet.base_s, 0));
  sheet.svg += svg_text(0.5 * (panel_left_px + sheet.right_px()), y + 43.0, label, "middle");
  sheet.y_px = y + 52.0;
}

}  // namespace

std::string svg_time_panels(const TimePanels& panels, SvgUse use) {
  constexpr double kLongNumberS = 1e5;
  Sheet sheet{panels, 0.0, std::max(panels.end_s, panels.begin_s + 1e-3), 10.0, {}};
  if (std::max(std::abs(panels.begin_s), std::abs(panels.end_s)) >= kLongNumberS) {
    sheet.base_s = std::floor(panels.begin_s);
  }
  add_lines(panels.title, 10.0, "strong", sheet);
  sheet.y_px += 6.0;
  for (const TimePanel& panel : panels.panels) {
    if (panel.bars.empty()) {
      add_curves(panel, sheet);
    } else {
      add_bars(panel, sheet);
    }
  }
  add_time_axis(sheet);
  for (const std::string& note : panels.notes) {
    add_lines(note, 10.0, "", sheet);
    sheet.y_px += 4.0;
  }
  return svg_begin(panels.width_px, sheet.y_px + 10.0, panels.title, use) + sheet.svg + svg_end();
}

}  // namespace wainscot
