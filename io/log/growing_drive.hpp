#pragma once

// A drive folder (io/FORMATS.md) whose tables are still being written: their new rows, as often as one asks.
//
//   wainscot::GrowingDrive drive("my-drive", robot);
//   for (;;) {
//     const wainscot::NewReadings came = drive.read();
//     for (const wainscot::WheelCounts& counts : came.wheels) ...
//   }

#include <cstddef>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/drive.hpp"
#include "core/robot.hpp"
#include "io/log/growing_table.hpp"

namespace wainscot {

/// As the readers of a whole drive give them, but for what is known only later: a row that a later one shows to be
/// wrong was given out, with a break.
struct NewReadings {
  std::vector<WheelCounts> wheels;  ///< unwrapped; this or `odometry`
  std::vector<TimedPose> odometry;
  std::vector<std::size_t> breaks;  ///< indices into those: the motion up to there is not known
  std::vector<YawRate> gyro;
  std::vector<Scan> scans;
  /// What was odd about them, a sentence each, which later calls do not say again.
  std::vector<std::string> warnings;
  /// The recording began anew: times went back, or a file was replaced. What came before has nothing to do with these.
  bool begun_anew = false;

  bool empty() const { return wheels.empty() && odometry.empty() && gyro.empty() && scans.empty(); }
};

/// Time and memory grow with what comes, not with what came before.
class GrowingDrive {
 public:
  /// `robot`: by which to read, the wheels' constants among it. The tables of `folder` need not be there yet; which of
  /// wheels.csv and odometry.csv, of scans.csv and returns.csv the drive has is seen when one of them is.
  GrowingDrive(std::filesystem::path folder, Robot robot);

  /// The same of tables that come through pipes, by their names: "wheels.csv" ...
  GrowingDrive(std::map<std::string, GrowingText>&& tables, Robot robot);

  /// What came since the last call. A row that cannot be read is told in the warnings, and reading goes on behind it.
  /// Throws `InputError` where a table cannot be read at all.
  NewReadings read();
  /// The same when nothing more will come: the last revolution of returns.csv, too.
  NewReadings finish();

 private:
  /// One table, and how far it was given out.
  struct Followed {
    std::optional<GrowingTable> table;
    bool was_read = false;         ///< once, so that its header is right
    bool is_cut = false;           ///< behind the rows read last there is one that cannot be read,
    bool lost_rows = false;        ///< and was, before those that are read now
    std::optional<double> last_s;  ///< of the rows given out
    double first_s = 0.0;          ///< of those since it has begun, anew or at all,
    bool is_beginning = true;      ///< which the rows read last begin with
    bool was_begun = false;        ///< before this call: rows were given out
    std::size_t begins = 0;        ///< how often it has begun anew
    std::size_t faults = 0;        ///< and breaks; the first few are told
  };

  NewReadings read(bool at_end);
  void open_tables();
  bool has_news(Followed& followed, NewReadings& readings) const;
  template <typename Read>
  auto rows_of(Followed& followed, NewReadings& readings, Read read) const;
  template <typename Row>
  std::size_t first_new(Followed& followed, const std::vector<Row>& rows, NewReadings& readings) const;
  void begin_anew(Followed& followed, NewReadings& readings) const;
  void read_wheels(NewReadings& readings);
  void read_poses(NewReadings& readings);
  void read_scans(NewReadings& readings, bool at_end);
  void read_gyro(NewReadings& readings);
  void tell_breaks(Followed& followed, const std::vector<double>& times_s, const char* what,
                   NewReadings& readings) const;
  void drop_what_is_of_before(NewReadings& readings);

  std::filesystem::path folder_;  ///< empty: the tables come through pipes
  Robot robot_;
  Followed motion_, lidar_, gyro_;
  bool has_wheels_ = false;
  bool has_scans_ = false;
  /// The last counts that were given out, and those before them: a later row may have the last one's time.
  std::optional<WheelCounts> last_counts_, counts_before_;
  std::optional<double> last_heading_rad_;
};

}  // namespace wainscot
