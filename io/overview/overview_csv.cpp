#include "io/overview/overview_csv.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <fmt/format.h>

#include "io/csv_cell.hpp"
#include "io/number_text.hpp"

namespace wainscot {
namespace {

std::string number_cell(double value, int decimals) { return std::isnan(value) ? "" : short_text(value, decimals); }

/// Ten digits are well below every uncertainty, also of a clock's rate.
std::string digits_cell(double value) { return fmt::format("{:.10g}", value); }

/// What a drive differs by, sentence by sentence.
std::vector<std::string> differences_of_rows(const Overview& overview) {
  std::vector<std::string> texts(overview.rows.size());
  for (const OddConstant& odd : overview.fleet.odd) {
    texts[odd.row] += (texts[odd.row].empty() ? "" : "; ") + odd_sentence(odd);
  }
  return texts;
}

std::string header(const Overview& overview) {
  std::string text =
      "name,state,status,verdict,sentence,path_length_m,duration_s,closures,place_sd_m,place_sd_worst_m,scale_sd,"
      "scale_set_by,warnings,warning_texts,differs,tapes,tape_error_rms_m,tape_error_worst_m,truth_path_rmse_m,"
      "truth_path_worst_m,truth_heading_rmse_deg,robot,simulated,drive,checksum,command,faults";
  for (const NamedConstant& constant : overview.constants) {
    text += "," + csv_cell(constant.name) + "," + csv_cell("sd_" + constant.name);
  }
  return text + "\n";
}

std::string constant_cells(const DriveRow& row, const std::vector<NamedConstant>& constants) {
  std::string text;
  for (const NamedConstant& named : constants) {
    const auto found = std::find_if(row.constants.begin(), row.constants.end(),
                                    [&named](const RowConstant& constant) { return constant.name == named.name; });
    text += found == row.constants.end()
                ? std::string(",,")
                : fmt::format(",{},{}", digits_cell(found->found.value), digits_cell(found->found.sd));
  }
  return text;
}

std::string row_text(const DriveRow& row, const std::string& differs, std::size_t robot) {
  const bool mapped = row.state == RowState::mapped;
  const std::vector<std::string> cells = {
      csv_cell(row.name),
      std::string(state_name(row.state)),
      row.status ? fmt::format("{}", *row.status) : "",
      csv_cell(row.verdict),
      csv_cell(mapped && row.sentence.empty() ? row.reason : row.sentence),
      number_cell(row.path_length_m, 3),
      number_cell(row.duration_s, 3),
      number_cell(row.closures, 0),
      number_cell(row.place_sd_m, 5),
      number_cell(row.place_sd_worst_m, 5),
      number_cell(row.scale_sd, 7),
      csv_cell(row.scale_set_by),
      mapped ? fmt::format("{}", row.warning_count) : "",
      csv_cell(fmt::format("{}", fmt::join(row.warnings, "; "))),
      csv_cell(differs),
      row.tapes.tapes > 0 ? fmt::format("{}", row.tapes.tapes) : "",
      number_cell(row.tapes.rms_m, 5),
      number_cell(row.tapes.worst_m, 5),
      number_cell(row.truth.path_rmse_m, 6),
      number_cell(row.truth.path_worst_m, 6),
      number_cell(row.truth.heading_rmse_deg, 6),
      robot == kNoRobot ? "" : fmt::format("{}", robot + 1),
      mapped ? (row.simulated ? "yes" : "no") : "",
      csv_cell(row.drive),
      csv_cell(row.checksum),
      csv_cell(row.command),
      csv_cell(fmt::format("{}", fmt::join(row.faults, "; "))),
  };
  return fmt::format("{}", fmt::join(cells, ","));
}

}  // namespace

std::string overview_csv(const Overview& overview) {
  const std::vector<std::string> differences = differences_of_rows(overview);
  std::string text = header(overview);
  for (std::size_t i = 0; i < overview.rows.size(); ++i) {
    const DriveRow& row = overview.rows[i];
    text += row_text(row, differences[i], overview.fleet.robot_of[i]) + constant_cells(row, overview.constants) + "\n";
  }
  return text;
}

}  // namespace wainscot
