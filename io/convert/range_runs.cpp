#include "io/convert/range_runs.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "core/median.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kFewestBeams = 16;  // of a run

/// What a column may be of a turn of ranges.
enum class ColumnSort { ranges, nothing, other };

/// `nothing`: hardly a number above 0, as of a blind beam, and as of a flag. Below 0 nothing is a range.
ColumnSort sort_of(const std::vector<double>& values, const std::vector<std::size_t>& rows) {
  constexpr double kHardly = 0.05;
  constexpr double kNoReturn = -1.0;  // as some lidars write it
  std::size_t above = 0, below = 0;
  for (const std::size_t row : rows) {
    above += values[row] > 0.0 ? 1 : 0;
    below += values[row] < 0.0 && values[row] != kNoReturn ? 1 : 0;
  }
  const auto share = [&](std::size_t count) { return static_cast<double>(count) / static_cast<double>(rows.size()); };
  if (share(below) > kHardly) return ColumnSort::other;
  return share(above) < kHardly ? ColumnSort::nothing : ColumnSort::ranges;
}

/// How two columns go on, between which at most columns of nothing lie.
struct Joint {
  std::size_t rows = 0;  ///< with a number above 0 in both
  double apart = 0.0;    ///< median of their distances
  double changes = 0.0;  ///< median change of the steadier one between rows far apart
};

std::vector<std::size_t> sampled_rows(std::size_t records) {
  constexpr std::size_t kMost = 300;
  std::vector<std::size_t> rows;
  const std::size_t stride = std::max<std::size_t>(1, records / kMost);
  for (std::size_t i = 0; i < records; i += stride) rows.push_back(i);
  return rows;
}

double median_change(const std::vector<double>& values, const std::vector<std::size_t>& rows) {
  std::vector<double> changes;
  const std::size_t half = rows.size() / 2;
  for (std::size_t i = 0; i + half < rows.size(); ++i) {
    const double a = values[rows[i]], b = values[rows[i + half]];
    if (a > 0.0 && b > 0.0) changes.push_back(std::abs(a - b));
  }
  return median(std::move(changes));
}

Joint joint_of(const std::vector<double>& a, const std::vector<double>& b, const std::vector<std::size_t>& rows) {
  std::vector<double> apart;
  for (const std::size_t row : rows) {
    if (a[row] > 0.0 && b[row] > 0.0) apart.push_back(std::abs(a[row] - b[row]));
  }
  return {apart.size(), median(apart), std::min(median_change(a, rows), median_change(b, rows))};
}

/// Whether the columns beside a joint are of two sorts. Too few rows tell nothing: beams that seldom see a wall.
bool is_cut(const Joint& joint, double usual_apart) {
  constexpr std::size_t kFewest = 5;
  constexpr double kOfChanges = 0.6;  // two columns that have nothing to do with each other are at about 1
  constexpr double kOfUsual = 3.0;
  return joint.rows >= kFewest && joint.apart > kOfChanges * joint.changes && joint.apart > kOfUsual * usual_apart;
}

/// The letters before a column's number: "r" of "r12".
std::string stem_of(const SampleColumn& column) {
  return column.label.substr(0, column.label.find_first_of("-+.0123456789"));
}

/// Whether two columns are named as neighbours of one row are: "r11" and "r12".
bool are_named_alike(const SampleColumn& a, const SampleColumn& b) {
  const std::string stem = stem_of(a);
  return !a.label.empty() && stem == stem_of(b) && a.label.size() > stem.size() && b.label.size() > stem.size();
}

/// Columns from begin to before end.
struct Run {
  std::size_t begin = 0, end = 0;
};

/// Columns of nothing beside a run are its blind beams where they are named like the others, or, where nothing is
/// named, where the number of beams becomes that of a lidar: a multiple of 10, or one more.
Run with_blind_ends(const std::vector<SampleColumn>& columns, const std::vector<ColumnSort>& sorts, const Run& run) {
  Run widest = run;
  while (widest.begin > 0 && sorts[widest.begin - 1] == ColumnSort::nothing) --widest.begin;
  while (widest.end < columns.size() && sorts[widest.end] == ColumnSort::nothing) ++widest.end;
  const SampleColumn& inner = columns[(run.begin + run.end) / 2];
  if (!inner.label.empty()) {
    while (widest.begin < run.begin && stem_of(columns[widest.begin]) != stem_of(inner)) ++widest.begin;
    while (widest.end > run.end && stem_of(columns[widest.end - 1]) != stem_of(inner)) --widest.end;
    return widest;
  }
  const auto oddness = [](const Run& r) {
    const std::size_t over = (r.end - r.begin) % 10;
    return over == 0 ? 0 : over == 1 ? 1 : 2;
  };
  Run best = run;
  for (std::size_t begin = widest.begin; begin <= run.begin; ++begin) {
    for (std::size_t end = run.end; end <= widest.end; ++end) {
      if (oddness({begin, end}) < oddness(best)) best = {begin, end};
    }
  }
  return best;
}

bool is_whole_or_none(double value) { return !std::isfinite(value) || value == std::floor(value); }

/// Columns that go on alike, and the median of what they change by while the robot drives.
struct Segment {
  Run run;
  double changes = 0.0;
  bool whole = true;  ///< numbers without decimals
  std::size_t beams() const { return run.end - run.begin; }
};

/// Whether a segment beside a run of ranges is a part of the robot in the lidar's view: some beams that hardly change.
bool is_body(const Segment& segment, const Segment& run) {
  constexpr std::size_t kFewestOfBody = 5;
  return segment.whole == run.whole && run.beams() >= kFewestBeams && segment.beams() >= kFewestOfBody &&
         3 * segment.beams() <= run.beams() && segment.changes < 0.5 * run.changes;
}

std::vector<Run> runs_in(const std::vector<Segment>& segments) {
  std::vector<Run> runs;
  for (const Segment& segment : segments) runs.push_back(segment.run);
  return runs;
}

/// Runs that only the robot's own body cuts, joined over it.
std::vector<Run> joined_over_body(const std::vector<Segment>& segments) {
  constexpr double kAlike = 3.0;
  std::vector<Segment> joined;
  bool behind_body = false;
  for (const Segment& segment : segments) {
    const bool beside = !joined.empty() && joined.back().run.end == segment.run.begin;
    const bool goes_on = beside && behind_body && segment.changes < kAlike * joined.back().changes &&
                         joined.back().changes < kAlike * segment.changes;
    const bool body = beside && is_body(segment, joined.back());
    const bool of_body = beside && is_body(joined.back(), segment);
    behind_body = body;
    if (!body && !goes_on && !of_body) {
      joined.push_back(segment);
      continue;
    }
    joined.back().run.end = segment.run.end;
    if (of_body) joined.back().changes = segment.changes;
  }
  return runs_in(joined);
}

/// Whether headings tell ranges from the rest: they do not where all columns are called c1, c2, c3 ...
bool are_stems_several(const std::vector<SampleColumn>& columns) {
  return std::any_of(columns.begin(), columns.end(),
                     [&](const SampleColumn& column) { return stem_of(column) != stem_of(columns.front()); });
}

std::vector<Run> runs_of(const std::vector<SampleColumn>& columns, const std::vector<std::size_t>& rows) {
  std::vector<ColumnSort> sorts;
  for (const SampleColumn& column : columns) sorts.push_back(sort_of(column.values, rows));
  // Joints of each column of ranges with the next one, over columns of nothing.
  std::vector<std::size_t> seen;
  for (std::size_t c = 0; c < columns.size(); ++c) {
    if (sorts[c] != ColumnSort::nothing) seen.push_back(c);
  }
  std::vector<Joint> joints;
  std::vector<double> apart;
  for (std::size_t i = 0; i + 1 < seen.size(); ++i) {
    joints.push_back(joint_of(columns[seen[i]].values, columns[seen[i + 1]].values, rows));
    if (joints.back().rows > 0 && joints.back().changes > 0.0) apart.push_back(joints.back().apart);
  }
  constexpr double kLowerQuarter = 0.25;  // the other half may be strengths
  const double usual_apart = quantile(apart, kLowerQuarter);
  const bool named = are_stems_several(columns);
  const auto goes_on = [&](std::size_t k) {
    if (k + 1 >= seen.size() || sorts[seen[k]] != ColumnSort::ranges || sorts[seen[k + 1]] != ColumnSort::ranges) {
      return false;
    }
    return !is_cut(joints[k], usual_apart) || (named && are_named_alike(columns[seen[k]], columns[seen[k + 1]]));
  };
  std::vector<Segment> segments;
  for (std::size_t i = 0; i < seen.size();) {
    std::size_t last = i;
    while (goes_on(last)) ++last;
    // Columns of nothing between two segments belong to neither here.
    std::vector<double> changes;
    bool whole = true;
    for (std::size_t k = i; k <= last; ++k) {
      changes.push_back(median_change(columns[seen[k]].values, rows));
      for (const std::size_t row : rows) whole = whole && is_whole_or_none(columns[seen[k]].values[row]);
    }
    segments.push_back({{seen[i], seen[last] + 1}, median(std::move(changes)), whole});
    i = last + 1;
  }
  std::vector<Run> runs;
  // Where headings tell ranges from the rest, they have joined them already.
  for (const Run& segment : named && !columns.front().label.empty() ? runs_in(segments) : joined_over_body(segments)) {
    if (segment.end - segment.begin < kFewestBeams) continue;
    runs.push_back(with_blind_ends(columns, sorts, segment));
    if (runs.size() > 1) runs.back().begin = std::max(runs.back().begin, runs[runs.size() - 2].end);
  }
  return runs;
}

SampleArray array_of(const std::vector<SampleColumn>& columns, const Run& run) {
  const auto [begin, end] = run;
  SampleArray array;
  array.name = columns[begin].name;
  array.last_name = columns[end - 1].name;
  array.to_the_end = end == columns.size();
  for (std::size_t c = begin; c < end; ++c) array.labels.push_back(columns[c].label);
  array.rows.resize(columns[begin].values.size());
  for (std::size_t row = 0; row < array.rows.size(); ++row) {
    array.rows[row].reserve(end - begin);
    for (std::size_t c = begin; c < end; ++c) array.rows[row].push_back(columns[c].values[row]);
  }
  return array;
}

}  // namespace

void gather_range_runs(RecordKind& kind) {
  constexpr std::size_t kFewestTurns = 8;
  std::vector<SampleColumn>& columns = kind.columns;
  if (columns.size() < kFewestBeams || kind.records < kFewestTurns) return;
  const std::vector<Run> runs = runs_of(columns, sampled_rows(kind.records));
  std::vector<SampleColumn> others;
  std::size_t next = 0;
  for (const Run& run : runs) {
    kind.arrays.push_back(array_of(columns, run));
    for (; next < run.begin; ++next) others.push_back(std::move(columns[next]));
    next = run.end;
  }
  for (; next < columns.size(); ++next) others.push_back(std::move(columns[next]));
  columns = std::move(others);
}

}  // namespace wainscot
