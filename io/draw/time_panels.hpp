#pragma once

// Plots over one time, one below the other, as SVG: for what happened when. Moments that a text below speaks of carry
// its numbers.

#include <cstddef>
#include <string>
#include <vector>

#include "io/draw/svg_frame.hpp"

namespace wainscot {

struct PanelSeries {
  std::string name;
  std::vector<double> time_s;  ///< ascending, as many as `value`
  std::vector<double> value;   ///< one that is no number (NaN) parts the line
  std::string meaning;         ///< class of the style sheet, as PlotSeries::meaning
};

/// Stretches of time, drawn as bars.
struct PanelBars {
  std::string name;
  std::vector<double> begin_s;  ///< ascending, as many as `end_s`
  std::vector<double> end_s;
};

/// A moment with the number by which the text speaks of it.
struct PanelMark {
  double time_s = 0.0;
  std::size_t number = 0;
};

/// Either series or bars.
struct TimePanel {
  std::string title;  ///< with the unit
  std::vector<PanelSeries> series;
  std::vector<double> limits;  ///< values that a dashed line is drawn at
  std::vector<PanelBars> bars;
  std::vector<PanelMark> marks;
};

struct TimePanels {
  std::string title;
  double begin_s = 0.0;  ///< of all panels
  double end_s = 0.0;
  std::vector<TimePanel> panels;
  std::vector<std::string> notes;  ///< below, each in lines of its own
  double width_px = 480.0;         ///< at least 300
};

/// As many values are drawn as can be told apart: the least and the greatest of each half pixel, so that the picture's
/// size has a bound. Single values far beyond all others are cut off at the border, which the panel then says.
std::string svg_time_panels(const TimePanels& panels, SvgUse use);

}  // namespace wainscot
