#include "io/convert/log_sample.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "core/errors.hpp"
#include "io/convert/json_line.hpp"
#include "io/convert/kind_collector.hpp"
#include "io/convert/line_form_guess.hpp"
#include "io/convert/log_lines.hpp"
#include "io/convert/message_guess.hpp"
#include "io/convert/range_runs.hpp"
#include "io/convert/table_line.hpp"
#include "io/files/shown.hpp"

namespace wainscot {
namespace {

/// The first lines, on which form and messages are settled: a minute or so of wheels, a second of single beams.
std::vector<std::string> first_lines(const std::filesystem::path& path) {
  constexpr std::size_t kLines = 3000;
  constexpr std::size_t kBytes = 6'000'000;
  std::vector<std::string> lines, warnings;
  LogLines file(path, warnings);
  std::string_view line;
  for (std::size_t bytes = 0; lines.size() < kLines && bytes < kBytes && file.next(line);) {
    bytes += line.size();
    lines.emplace_back(line);
  }
  return lines;
}

using TableCells = std::vector<std::string_view>;

std::optional<std::size_t> message_column_of(const std::vector<std::string>& lines, const LogFile& file) {
  std::vector<TableCells> rows;
  bool header = file.header;
  for (const std::string& line : lines) {
    if (is_no_row(line) || std::exchange(header, false)) continue;
    rows.emplace_back();
    cut_line(line, file.separator, rows.back());
  }
  return guess_message_column(rows, file.separator);
}

std::vector<RecordKind> table_kinds(const std::filesystem::path& path, const LineFormGuess& form,
                                    std::optional<std::size_t> message, std::size_t most_bytes) {
  std::vector<std::string> names, warnings;
  KindCollector kinds(form.file);
  LogLines lines(path, warnings);
  std::string_view line;
  TableCells cells;
  bool header = form.file.header;
  for (std::size_t bytes = 0; bytes < most_bytes && lines.next(line); bytes += line.size()) {
    if (is_no_row(line)) continue;
    cut_line(line, form.file.separator, cells);
    if (std::exchange(header, false)) {
      names.assign(cells.begin(), cells.end());
      continue;
    }
    if (message && *message >= cells.size()) continue;
    const std::string word = message ? std::string(cells[*message]) : std::string();
    const std::string name = !message                  ? std::string()
                             : *message < names.size() ? names[*message]
                                                       : fmt::format("{}", *message + 1);
    kinds.begin(word, name, word);
    for (std::size_t c = 0; c < cells.size(); ++c) {
      if (!message || c != *message) kinds.cell(c, cells[c]);
    }
  }
  const std::vector<std::string>& labels = form.file.header ? names : form.labels;
  std::vector<RecordKind> result = kinds.finish(names, labels);
  for (RecordKind& kind : result) gather_range_runs(kind);
  return result;
}

/// The path whose words tell messages apart: in all records, a handful of words; empty: there is none.
std::string json_message_path(const std::vector<std::string>& lines) {
  constexpr std::size_t kMostWords = 16;
  JsonLine json;
  std::map<std::string, std::map<std::string, std::size_t>> words;
  std::size_t records = 0;
  for (const std::string& line : lines) {
    if (is_no_row(line)) continue;
    std::string padded = line;
    padded.append(kBytesBehindLine, ' ');
    if (!json.read(std::string_view(padded).substr(0, line.size()))) continue;
    ++records;
    for (std::size_t i = 0; i < json.paths().size(); ++i) {
      const JsonValue& value = json.values()[i];
      if (value.kind == JsonValue::Kind::text) ++words[json.paths()[i]][std::string(value.text)];
    }
  }
  for (const auto& [path, counts] : words) {
    std::size_t with = 0;
    for (const auto& [word, count] : counts) with += count;
    const bool flags = counts.contains("true") || counts.contains("false");
    if (counts.size() >= 2 && counts.size() <= kMostWords && 20 * with >= 19 * records && !flags) return path;
  }
  return {};
}

std::vector<RecordKind> json_kinds(const std::filesystem::path& path, const LogFile& file,
                                   const std::string& message_path, std::size_t most_bytes) {
  std::vector<std::string> warnings;
  KindCollector kinds(file);
  LogLines lines(path, warnings);
  JsonLine json;
  std::string_view line;
  for (std::size_t bytes = 0; bytes < most_bytes && lines.next(line); bytes += line.size()) {
    if (is_no_row(line) || !json.read(line)) continue;
    std::string key, word;
    for (std::size_t i = 0; i < json.paths().size(); ++i) {
      const JsonValue& value = json.values()[i];
      if (message_path.empty() && value.kind != JsonValue::Kind::absent) key += json.paths()[i] + '\n';
      if (value.kind == JsonValue::Kind::text && json.paths()[i] == message_path) key = word = std::string(value.text);
    }
    kinds.begin(key, message_path, word);
    for (std::size_t i = 0; i < json.paths().size(); ++i) {
      const JsonValue& value = json.values()[i];
      if (value.kind == JsonValue::Kind::number) kinds.number(json.paths()[i], value.number);
      if (value.kind == JsonValue::Kind::text) kinds.text(json.paths()[i], value.text);
      if (value.kind == JsonValue::Kind::list) kinds.list(json.paths()[i], value.list);
    }
  }
  return kinds.finish({}, {});
}

bool holds_numbers(const RecordKind& kind) {
  return !kind.arrays.empty() || std::any_of(kind.columns.begin(), kind.columns.end(), [](const SampleColumn& column) {
    return std::any_of(column.values.begin(), column.values.end(), [](double v) { return std::isfinite(v); });
  });
}

SampledFile sampled_file(const std::filesystem::path& path, const std::string& name, std::size_t most_bytes) {
  const std::vector<std::string> lines = first_lines(path);
  LineFormGuess form = guess_line_form(lines);
  form.file.name = name;
  SampledFile sampled{form.file, {}};
  if (form.file.form == LineForm::json) {
    sampled.kinds = json_kinds(path, form.file, json_message_path(lines), most_bytes);
  } else {
    sampled.kinds = table_kinds(path, form, message_column_of(lines, form.file), most_bytes);
  }
  if (std::none_of(sampled.kinds.begin(), sampled.kinds.end(), holds_numbers)) {
    throw InputError(fmt::format("{} holds no rows of numbers; give the robot's own logs as text", shown(path)));
  }
  return sampled;
}

}  // namespace

LogSample read_log_sample(const std::vector<std::filesystem::path>& paths, const std::vector<std::string>& names,
                          const LogSampleOptions& options) {
  LogSample sample;
  for (std::size_t i = 0; i < paths.size(); ++i) {
    sample.files.push_back(sampled_file(paths[i], names[i], options.most_bytes));
  }
  return sample;
}

}  // namespace wainscot
