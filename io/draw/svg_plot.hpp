#pragma once

// A plot of numbers as SVG: lines or dots over two axes with round ticks, for pages and for papers.

#include <string>
#include <vector>

#include "io/draw/svg_frame.hpp"

namespace wainscot {

struct PlotSeries {
  std::string name;
  std::vector<double> x;  ///< finite, as many as y
  std::vector<double> y;
  bool dots = false;             ///< a dot a value and no line
  std::string meaning = "path";  ///< class of the style sheet: path, path-2, path-3, odometry, odometry-2, truth
};

struct Plot {
  std::string title;
  std::string x_label;  ///< with its unit
  std::string y_label;
  bool logarithmic = false;  ///< both axes; values that are not positive are left out
  bool y_from_zero = true;   ///< linear axes: 0 belongs to the picture
  double width_px = 860.0;   ///< at least 300
  std::vector<PlotSeries> series;
};

/// Round values that lie inside [low, high], about `wanted` of them, a step of 1, 2 or 5 times a power of ten; low <
/// high.
std::vector<double> round_ticks(double low, double high, int wanted);

/// 420 pixels high, and more where title and legend need several lines. Of long series so many values are drawn as can
/// be told apart: the least and the greatest of each of 800 parts.
std::string svg_plot(const Plot& plot, SvgUse use);

}  // namespace wainscot
