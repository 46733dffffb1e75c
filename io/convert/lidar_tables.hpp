#pragma once

// scans.csv or returns.csv from the records of a log.

#include <cstddef>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "io/convert/log_columns.hpp"
#include "io/convert/quantity_reader.hpp"
#include "io/convert/record_reader.hpp"
#include "io/convert/section_table.hpp"
#include "io/convert/table_writer.hpp"

namespace wainscot {

/// How a log's scans become a table. scans.csv wants the same beams in each row; a lidar that gives a range more or
/// less now and then still has its beams where the angle's step puts them, so that rows with fewer end in empty cells.
/// Where the angles themselves change from scan to scan, each range becomes a row of returns.csv.
struct ScanForm {
  bool as_returns = false;
  std::size_t beams = 0;        ///< of a row of scans.csv; 0: as many as the first scan has
  bool may_have_fewer = false;  ///< else a scan with another number of ranges is damaged
  bool is_settled = false;      ///< by the whole log: what does not fit then is damaged
};

/// A record is a revolution.
class ScanTable : public SectionTable {
 public:
  ScanTable(const ScanColumns& scans, const ScanForm& form, const RecordReader& records, TableWriter& table);
  std::string add(const RecordReader& record) override;
  void finish(std::vector<std::string>& warnings) const override;

  /// After the whole log was read with a form that was not settled: the form that fits; nullopt where this one did.
  std::optional<ScanForm> better_form() const;

  std::size_t most_beams() const { return counts_.empty() ? 0 : counts_.rbegin()->first; }

 private:
  /// What one record holds.
  struct Beams {
    std::span<const std::string_view> cells;      ///< of a table
    const std::vector<double>* list = nullptr;    ///< of JSON
    const std::vector<double>* angles = nullptr;  ///< as logged; nullptr: first and step
    double first_deg = 0.0;
    double step_deg = 0.0;
    std::size_t size() const { return list != nullptr ? list->size() : cells.size(); }
  };

  std::string find_beams(const RecordReader& record, Beams& beams) const;
  std::string read_cells(const RecordReader& record, const Beams& beams);
  std::string add_row(const RecordReader& record, double time_s, const Beams& beams);
  std::string add_returns(const RecordReader& record, double time_s, const Beams& beams);
  void begin_table(const Beams& beams);
  std::string fault_of_form(const Beams& beams) const;
  double angle_deg(const Beams& beams, std::size_t i) const;
  void write_range(const Beams& beams, std::size_t i);
  bool is_no_return(double logged) const;

  ScanColumns scans_;
  ScanForm form_;
  TimeReader time_;
  std::size_t ranges_place_;
  std::optional<std::size_t> last_place_;
  std::optional<std::size_t> angles_place_;
  std::optional<QuantityReader> first_angle_;
  std::optional<QuantityReader> angle_step_;
  double range_factor_;
  double angles_factor_ = 1.0;
  double angles_offset_deg_ = 0.0;
  TableWriter& table_;
  std::vector<double> ranges_;  ///< of a table's record, as logged
  bool began_ = false;
  double first_deg_ = 0.0;  ///< of the first record
  double step_deg_ = 0.0;
  std::map<std::size_t, std::size_t> counts_;  ///< records by their number of ranges
  std::size_t records_ = 0;
  std::size_t other_angles_ = 0;  ///< records whose beams lie elsewhere than the first one's
  std::size_t other_counts_ = 0;
  std::size_t damaged_scans_ = 0;  ///< of which single ranges were no numbers
  std::string first_damaged_;
};

/// A record is one beam.
class ReturnTable : public SectionTable {
 public:
  ReturnTable(const ReturnColumns& returns, const RecordReader& records, TableWriter& table);
  std::string add(const RecordReader& record) override;

 private:
  TimeReader time_;
  QuantityReader angle_;
  QuantityReader range_;
  std::optional<QuantityReader> first_angle_;
  std::optional<QuantityReader> angle_step_;
  std::vector<double> no_return_;
  std::size_t range_place_;
  TableWriter& table_;
};

}  // namespace wainscot
