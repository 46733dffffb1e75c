#include "io/draw/svg_plot.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "io/number_text.hpp"

namespace wainscot {
namespace {

constexpr double frame_left_px = 84.0;
constexpr double inner_height_px = 296.0;
constexpr double line_px = 21.0;

/// Where everything stands, from the picture's upper left corner.
struct Layout {
  double right_px = 0.0;
  double top_px = 0.0;  ///< of the axes' frame; title and legend are above it
  double bottom_px = 0.0;
  double height_px = 0.0;
  std::vector<std::string> title;               ///< its lines
  std::vector<std::pair<double, double>> keys;  ///< where each series has its key in the legend
};

Layout layout_of(const Plot& plot) {
  Layout layout;
  layout.right_px = plot.width_px - 20.0;
  layout.title = svg_wrapped(plot.title, plot.width_px - 30.0);
  double x = frame_left_px;
  double y = 24.0 + line_px * static_cast<double>(layout.title.size());
  for (const PlotSeries& series : plot.series) {
    const double needed_px = 66.0 + svg_text_width_px(series.name);
    if (x > frame_left_px && x + needed_px > plot.width_px + 24.0) {
      x = frame_left_px;
      y += line_px;
    }
    layout.keys.emplace_back(x, y);
    x += needed_px;
  }
  layout.top_px = y + line_px;
  layout.bottom_px = layout.top_px + inner_height_px;
  layout.height_px = layout.bottom_px + 58.0;
  return layout;
}

/// One axis: values to pixels.
struct Axis {
  double low = 0.0;
  double high = 1.0;
  double low_px = 0.0;
  double high_px = 1.0;
  bool logarithmic = false;

  double pixel(double value) const {
    const double part = logarithmic ? std::log(value / low) / std::log(high / low) : (value - low) / (high - low);
    return low_px + part * (high_px - low_px);
  }
};

bool is_drawn(const Plot& plot, double x, double y) { return !plot.logarithmic || (x > 0.0 && y > 0.0); }

/// The least and the greatest value; of none, 0 and 1 (1 and 10 for a logarithm).
std::pair<double, double> range_of(const Plot& plot, std::vector<double> PlotSeries::*values) {
  double low = std::numeric_limits<double>::infinity();
  double high = -low;
  for (const PlotSeries& series : plot.series) {
    for (std::size_t i = 0; i < series.x.size(); ++i) {
      if (!is_drawn(plot, series.x[i], series.y[i])) continue;
      low = std::min(low, (series.*values)[i]);
      high = std::max(high, (series.*values)[i]);
    }
  }
  if (low > high) return plot.logarithmic ? std::pair{1.0, 10.0} : std::pair{0.0, 1.0};
  return {low, high};
}

Axis x_axis(const Plot& plot, const Layout& layout) {
  auto [low, high] = range_of(plot, &PlotSeries::x);
  if (plot.logarithmic) {
    return {low / 1.2, high * 1.2, frame_left_px, layout.right_px, true};
  }
  if (!(high > low)) high = low + 1.0;
  return {low, high, frame_left_px, layout.right_px, false};
}

Axis y_axis(const Plot& plot, const Layout& layout) {
  auto [low, high] = range_of(plot, &PlotSeries::y);
  if (plot.logarithmic) {
    return {low / 1.5, high * 1.5, layout.bottom_px, layout.top_px, true};
  }
  if (plot.y_from_zero) {
    low = std::min(low, 0.0);
    high = std::max(high, 0.0);
  }
  if (!(high > low)) high = low + 1.0;
  const double margin = 0.04 * (high - low);
  return {low < 0.0 || !plot.y_from_zero ? low - margin : low, high + margin, layout.bottom_px, layout.top_px, false};
}

/// 1, 2 and 5 times powers of ten.
std::vector<double> logarithmic_ticks(double low, double high) {
  std::vector<double> ticks;
  for (int power = static_cast<int>(std::floor(std::log10(low))); power <= std::ceil(std::log10(high)); ++power) {
    for (const double digit : {1.0, 2.0, 5.0}) {
      const double tick = digit * std::pow(10.0, power);
      if (tick >= low && tick <= high) ticks.push_back(tick);
    }
  }
  return ticks;
}

std::vector<double> ticks_of(const Axis& axis, int wanted) {
  return axis.logarithmic ? logarithmic_ticks(axis.low, axis.high) : round_ticks(axis.low, axis.high, wanted);
}

std::string frame_and_ticks(const Plot& plot, const Layout& layout, const Axis& x, const Axis& y) {
  std::string svg;
  for (const double tick : ticks_of(y, 6)) {
    const double at = y.pixel(tick);
    svg += fmt::format("<path class=\"rule\" d=\"M{} {}H{}\"/>\n", svg_number(frame_left_px), svg_number(at),
                       svg_number(layout.right_px));
    svg += svg_text(frame_left_px - 8.0, at + 5.0, short_text(tick, 6), "end");
  }
  const int ticks = layout.right_px > 600.0 ? 8 : 4;
  for (const double tick : ticks_of(x, ticks)) {
    const double at = x.pixel(tick);
    svg += fmt::format("<path class=\"axis\" d=\"M{} {}v6\"/>\n", svg_number(at), svg_number(layout.bottom_px));
    svg += svg_text(at, layout.bottom_px + 23.0, short_text(tick, 6), "middle");
  }
  svg += fmt::format("<path class=\"axis\" d=\"M{} {}V{}H{}\"/>\n", svg_number(frame_left_px),
                     svg_number(layout.top_px), svg_number(layout.bottom_px), svg_number(layout.right_px));
  svg += svg_text(0.5 * (frame_left_px + layout.right_px), layout.height_px - 12.0, plot.x_label, "middle");
  svg += fmt::format("<g transform=\"translate(20 {}) rotate(-90)\">{}</g>\n",
                     svg_number(0.5 * (layout.top_px + layout.bottom_px)), svg_text(0.0, 0.0, plot.y_label, "middle"));
  double title_y = 24.0;
  for (const std::string& line : layout.title) {
    svg += svg_text(10.0, title_y, line, "strong");
    title_y += line_px;
  }
  return svg;
}

std::string legend(const Plot& plot, const Layout& layout) {
  std::string svg;
  for (std::size_t i = 0; i < plot.series.size(); ++i) {
    const PlotSeries& series = plot.series[i];
    const auto [x, y] = layout.keys[i];
    svg += series.dots ? fmt::format("<circle class=\"spot {}\" cx=\"{}\" cy=\"{}\" r=\"4\"/>\n", series.meaning,
                                     svg_number(x + 17.0), svg_number(y - 5.0))
                       : fmt::format("<path class=\"line {}\" d=\"M{} {}h34\"/>\n", series.meaning, svg_number(x),
                                     svg_number(y - 5.0));
    svg += svg_text(x + 42.0, y, series.name);
  }
  return svg;
}

/// Indices of the values that are drawn.
std::vector<std::size_t> thinned(const std::vector<double>& y) {
  constexpr std::size_t parts = 800;
  std::vector<std::size_t> kept;
  if (y.size() <= 2 * parts) {
    for (std::size_t i = 0; i < y.size(); ++i) kept.push_back(i);
    return kept;
  }
  for (std::size_t part = 0; part < parts; ++part) {
    const auto begin = y.begin() + static_cast<std::ptrdiff_t>(part * y.size() / parts);
    const auto end = y.begin() + static_cast<std::ptrdiff_t>((part + 1) * y.size() / parts);
    const auto [least, greatest] = std::minmax_element(begin, end);
    kept.push_back(static_cast<std::size_t>(std::min(least, greatest) - y.begin()));
    if (least != greatest) kept.push_back(static_cast<std::size_t>(std::max(least, greatest) - y.begin()));
  }
  return kept;
}

std::string draw_series(const Plot& plot, const PlotSeries& series, const Axis& x, const Axis& y) {
  std::string svg;
  SvgPolyline line;
  for (const std::size_t i : thinned(series.y)) {
    if (!is_drawn(plot, series.x[i], series.y[i])) continue;
    const double x_px = x.pixel(series.x[i]);
    const double y_px = y.pixel(series.y[i]);
    if (series.dots) {
      svg += fmt::format("<circle class=\"spot {}\" cx=\"{}\" cy=\"{}\" r=\"3\"/>\n", series.meaning, svg_number(x_px),
                         svg_number(y_px));
    } else {
      line.add(x_px, y_px);
    }
  }
  return series.dots ? svg : line.element("line " + series.meaning);
}

}  // namespace

std::vector<double> round_ticks(double low, double high, int wanted) {
  const double rough = (high - low) / std::max(1, wanted);
  const double power = std::pow(10.0, std::floor(std::log10(rough)));
  const double digit = rough / power;
  const double step = (digit < 1.5 ? 1.0 : digit < 3.5 ? 2.0 : digit < 7.5 ? 5.0 : 10.0) * power;
  std::vector<double> ticks;
  for (double count = std::ceil(low / step - 1e-9); count * step <= high + 1e-9 * step; count += 1.0) {
    ticks.push_back(count * step);
  }
  return ticks;
}

std::string svg_plot(const Plot& plot, SvgUse use) {
  const Layout layout = layout_of(plot);
  const Axis x = x_axis(plot, layout);
  const Axis y = y_axis(plot, layout);
  std::string svg = svg_begin(plot.width_px, layout.height_px, plot.title, use);
  svg += frame_and_ticks(plot, layout, x, y);
  svg += legend(plot, layout);
  for (const PlotSeries& series : plot.series) svg += draw_series(plot, series, x, y);
  return svg + svg_end();
}

}  // namespace wainscot
