#include "io/convert/range_runs.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <string>
#include <utility>
#include <vector>

#include "core/median.hpp"

namespace wainscot {
namespace {

constexpr std::size_t kFewestBeams = 16;  // of a run

/// How two neighbouring columns go on.
struct Joint {
  std::size_t rows = 0;   ///< with a number above 0 in both
  double apart = 0.0;     ///< median of their distances
  double changes = 0.0;   ///< median change of the steadier one between rows far apart
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

std::vector<Joint> joints_of(const std::vector<SampleColumn>& columns, const std::vector<std::size_t>& rows) {
  std::vector<Joint> joints(columns.size() - 1);
  std::vector<double> changes;
  for (const SampleColumn& column : columns) changes.push_back(median_change(column.values, rows));
  for (std::size_t c = 0; c + 1 < columns.size(); ++c) {
    std::vector<double> apart;
    for (const std::size_t row : rows) {
      const double a = columns[c].values[row], b = columns[c + 1].values[row];
      if (a > 0.0 && b > 0.0) apart.push_back(std::abs(a - b));
    }
    joints[c] = {apart.size(), median(apart), std::min(changes[c], changes[c + 1])};
  }
  return joints;
}

/// Whether the columns beside a joint are of two sorts. Too few rows tell nothing: a blind beam.
bool is_cut(const Joint& joint, double usual_apart) {
  constexpr std::size_t kFewest = 5;
  constexpr double kOfChanges = 0.6;  // two columns that have nothing to do with each other are at about 1
  constexpr double kOfUsual = 3.0;
  return joint.rows >= kFewest && joint.apart > kOfChanges * joint.changes && joint.apart > kOfUsual * usual_apart;
}

bool is_always_nothing(const SampleColumn& column) {
  return std::none_of(column.values.begin(), column.values.end(), [](double v) { return v > 0.0; });
}

/// The letters before a column's number: "r" of "r12".
std::string stem_of(const SampleColumn& column) {
  const std::string& text = column.label;
  return text.substr(0, text.find_first_of("-+.0123456789"));
}

/// Columns of 0 at a run's ends are blind beams where they are named like the others, and where nothing is named where
/// the number of beams is that of a lidar then: a multiple of 10, perhaps with one more.
void trim(const std::vector<SampleColumn>& columns, std::size_t& begin, std::size_t& end) {
  std::size_t first = begin, last = end;
  while (first < last && is_always_nothing(columns[first])) ++first;
  while (last > first && is_always_nothing(columns[last - 1])) --last;
  if (first == begin && last == end) return;
  const std::string stem = stem_of(columns[(begin + end) / 2]);
  if (!columns[(begin + end) / 2].label.empty()) {
    while (begin < first && stem_of(columns[begin]) != stem) ++begin;
    while (end > last && stem_of(columns[end - 1]) != stem) --end;
    return;
  }
  const auto is_round = [](std::size_t beams) { return beams % 10 <= 1; };
  if (is_round(end - begin)) return;
  for (std::size_t b = begin; b <= first; ++b) {
    for (std::size_t e = end; e >= last; --e) {
      if (!is_round(e - b)) continue;
      begin = b;
      end = e;
      return;
    }
  }
}

SampleArray array_of(const std::vector<SampleColumn>& columns, std::size_t begin, std::size_t end) {
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
  std::vector<SampleColumn>& columns = kind.columns;
  if (columns.size() < kFewestBeams || kind.records < 8) return;
  const std::vector<Joint> joints = joints_of(columns, sampled_rows(kind.records));
  std::vector<double> apart;
  for (const Joint& joint : joints) {
    if (joint.rows > 0 && joint.changes > 0.0) apart.push_back(joint.apart);
  }
  const double usual_apart = median(apart);
  std::vector<SampleColumn> others;
  std::size_t kept = 0;  // columns before this one are done with
  for (std::size_t start = 0; start < columns.size();) {
    std::size_t stop = start + 1;
    while (stop < columns.size() && !is_cut(joints[stop - 1], usual_apart)) ++stop;
    std::size_t begin = start, end = stop;
    trim(columns, begin, end);
    if (end - begin >= kFewestBeams) {
      kind.arrays.push_back(array_of(columns, begin, end));
      for (; kept < begin; ++kept) others.push_back(std::move(columns[kept]));
      kept = end;
    }
    start = stop;
  }
  if (kind.arrays.empty()) return;
  for (; kept < columns.size(); ++kept) others.push_back(std::move(columns[kept]));
  columns = std::move(others);
}

}  // namespace wainscot
