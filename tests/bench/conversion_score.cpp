#include "tests/bench/conversion_score.hpp"

#include <algorithm>
#include <cmath>
#include <ctime>
#include <fstream>
#include <initializer_list>
#include <optional>
#include <stdexcept>

#include <fmt/format.h>

#include "core/angles.hpp"
#include "core/median.hpp"
#include "core/pose2.hpp"
#include "io/convert/drive_conversion.hpp"
#include "io/convert/log_sample.hpp"
#include "io/log/log_readings.hpp"

namespace wainscot::bench {
namespace {

std::string robot_yaml(const ColumnGuess& guess) {
  std::string text = "wainscot_robot: 1\n";
  if (guess.columns.wheels) {
    DriveConstants d = guess.robot.drive.value_or(DriveConstants{});
    if (d.left_m_per_tick <= 0.0) d.left_m_per_tick = d.right_m_per_tick = 1e-4;
    if (d.track_width_m <= 0.0) d.track_width_m = 0.3;
    text += fmt::format("drive: {{left_m_per_tick: {}, right_m_per_tick: {}, track_width_m: {}, counter_bits: {}}}\n",
                        d.left_m_per_tick, d.right_m_per_tick, d.track_width_m, d.counter_bits);
  }
  return text + fmt::format("lidar: {{heading_deg: {}, max_range_m: 60}}\n", guess.robot.lidar.heading_deg);
}

/// How counts that came follow those that were: came = factor * was, from their first ones on.
struct Following {
  double factor = 0.0;
  double worst = 0.0;  ///< counts of what was
};

template <typename Row, typename CameOf, typename WasOf>
Following follow(const std::vector<Row>& came, const std::vector<Row>& was, double origin_s, CameOf came_of,
                 WasOf was_of) {
  double cross = 0.0, square = 0.0;
  std::vector<std::pair<double, double>> pairs;
  std::size_t k = 0;
  for (const Row& row : came) {
    while (k + 1 < was.size() &&
           std::abs(was[k + 1].time_s - (row.time_s - origin_s)) <= std::abs(was[k].time_s - (row.time_s - origin_s))) {
      ++k;
    }
    pairs.emplace_back(came_of(row) - came_of(came.front()), was_of(was[k]) - was_of(was.front()));
    cross += pairs.back().first * pairs.back().second;
    square += pairs.back().second * pairs.back().second;
  }
  Following result{square > 0.0 ? cross / square : 0.0, 0.0};
  for (const auto& [c, w] : pairs)
    result.worst = std::max(result.worst, std::abs(c - result.factor * w) / std::max(1e-12, std::abs(result.factor)));
  return result;
}

class Comparison {
 public:
  Comparison(const InventedLog& log, const LogReadings& came, ConversionScore& score)
      : log_(log), came_(came), drive_(came.drive), score_(score) {}

  void compare() {
    if (!log_.wheels.empty()) compare_wheels();
    if (!log_.odometry.empty()) compare_odometry();
    if (!log_.gyro.empty()) compare_gyro();
    compare_turns();
    judge_mirror();
  }

 private:
  void add(const std::string& what, std::initializer_list<const char*> items) {
    ConversionFault& fault = score_.faults.emplace_back();
    fault.what = what;
    for (const GuessedItem& item : score_.guess.items) {
      const bool of_it = std::any_of(items.begin(), items.end(), [&](const char* name) { return item.what == name; });
      fault.doubted = fault.doubted || (of_it && item.percent < kSurePercent);
    }
  }

  template <typename Row>
  bool compare_times(const std::vector<Row>& came, const std::vector<Row>& was, const char* what) {
    // The last row of a log that was cut may be gone, and rows with one stamp are merged.
    const double share = static_cast<double>(came.size()) / static_cast<double>(was.size());
    if (came.size() < 2 || share > 1.02 || (share < 0.98 && !log_.beside_beams)) {
      add(fmt::format("{}: {} rows of {}", what, came.size(), was.size()), {what, "wheels or odometry"});
      return false;
    }
    origin_s_ = came.front().time_s - was.front().time_s;
    const double span = came.back().time_s - came.front().time_s;
    const double true_span = was.back().time_s - was.front().time_s;
    if (std::abs(span / true_span - 1.0) > 0.002) {
      add(fmt::format("{}: {:.3f} s in place of {:.3f} s", what, span, true_span),
          {"time of the wheels", "time of the odometry"});
      return false;
    }
    return true;
  }

  void compare_wheels() {
    if (drive_.wheels.empty()) return add("no wheels", {"wheels or odometry", "odometry", "wheel counts"});
    if (!compare_times(drive_.wheels, log_.wheels, "wheel counts")) return;
    const auto left = [](const WheelCounts& row) { return static_cast<double>(row.left_ticks); };
    const auto right = [](const WheelCounts& row) { return static_cast<double>(row.right_ticks); };
    Following l = follow(drive_.wheels, log_.wheels, origin_s_, left, left);
    Following r = follow(drive_.wheels, log_.wheels, origin_s_, right, right);
    const Following l_of_r = follow(drive_.wheels, log_.wheels, origin_s_, left, right);
    const Following r_of_l = follow(drive_.wheels, log_.wheels, origin_s_, right, left);
    if (l_of_r.worst + r_of_l.worst < 0.1 * (l.worst + r.worst)) {
      swapped_ = true;
      l = r_of_l;  // the true left wheel's counts stand under right
      r = l_of_r;
      add("left and right wheel exchanged", {"left wheel"});
    }
    left_backwards_ = l.factor < 0.0;
    right_backwards_ = r.factor < 0.0;
    if (left_backwards_)
      add("the left wheel counts backwards", {"counters that run backwards", "direction of the lidar"});
    if (right_backwards_)
      add("the right wheel counts backwards", {"counters that run backwards", "direction of the lidar"});
    double slack = log_.metres_per_tick > 0.0 ? 3.0 + 0.002 / log_.metres_per_tick : 1.5;
    // Beside beams whose stamps are rounded, a change may be told of with the beam before.
    for (std::size_t i = 1; log_.beside_beams && i < log_.wheels.size(); ++i) {
      const auto step = std::abs(log_.wheels[i].left_ticks - log_.wheels[i - 1].left_ticks);
      slack = std::max(slack, 1.2 * static_cast<double>(step));
    }
    if (l.worst > slack || r.worst > slack) {
      add(fmt::format("counts are off by {:.1f} and {:.1f}", l.worst, r.worst), {"wheel counts"});
    } else if (log_.metres_per_tick == 0.0 && (std::abs(std::abs(l.factor) - 1.0) > 1e-3)) {
      add(fmt::format("counts times {:.3f}", l.factor), {"wheel counts"});
    }
    // Ways become micrometres.
    const double tick = std::abs(l.factor) * 1e-6 / log_.metres_per_tick;
    if (log_.metres_per_tick > 0.0 && std::abs(tick - 1.0) > 0.01) {
      add(fmt::format("ways times {:.4f}", tick), {"wheel counts"});
    }
  }

  void compare_odometry() {
    if (drive_.odometry.empty()) return add("no odometry", {"wheels or odometry", "odometry", "wheel counts"});
    if (!compare_times(drive_.odometry, log_.odometry, "odometry")) return;
    double worst_m = 0.0, worst_rad = 0.0, mirrored_m = 0.0;
    std::size_t k = 0;
    for (const TimedPose& row : drive_.odometry) {
      while (k + 1 < log_.odometry.size() && log_.odometry[k + 1].time_s <= row.time_s - origin_s_ + 1e-3) ++k;
      const Pose2& was = log_.odometry[k].pose;
      worst_m = std::max(worst_m, (row.pose.translation() - was.translation()).norm());
      mirrored_m = std::max(mirrored_m, std::hypot(row.pose.x_m - was.x_m, row.pose.y_m + was.y_m));
      worst_rad = std::max(worst_rad, std::abs(wrap_angle(row.pose.heading_rad - was.heading_rad)));
    }
    if (worst_m > 0.01 && mirrored_m < 0.01) {
      swapped_ = true;
      return add("odometry mirrored", {"signs of the odometry"});
    }
    if (worst_m > 0.01) add(fmt::format("poses are off by {:.3f} m", worst_m), {"odometry", "unit of x and y"});
    if (worst_rad > 0.01)
      add(fmt::format("headings are off by {:.3f} rad", worst_rad), {"odometry", "signs of the odometry"});
  }

  void compare_gyro() {
    if (drive_.gyro.empty()) return add("no gyro", {"yaw rate"});
    if (std::abs(static_cast<double>(drive_.gyro.size()) / static_cast<double>(log_.gyro.size()) - 1.0) > 0.02) {
      return add(fmt::format("gyro: {} rows of {}", drive_.gyro.size(), log_.gyro.size()), {"yaw rate"});
    }
    double cross = 0.0, square = 0.0;
    std::size_t k = 0;
    const double origin = drive_.gyro.front().time_s - log_.gyro.front().time_s;
    for (const YawRate& row : drive_.gyro) {
      while (k + 1 < log_.gyro.size() && log_.gyro[k + 1].time_s <= row.time_s - origin + 1e-3) ++k;
      cross += row.yaw_rate_rad_s * log_.gyro[k].yaw_rate_rad_s;
      square += log_.gyro[k].yaw_rate_rad_s * log_.gyro[k].yaw_rate_rad_s;
    }
    const double factor = cross / square;
    if (std::abs(std::abs(factor) - 1.0) > 0.02)
      return add(fmt::format("yaw rates times {:.4f}", factor), {"yaw rate"});
    gyro_backwards_ = factor < 0.0;
    if (gyro_backwards_) add("the gyro has the other sign", {"yaw rate", "direction of the lidar"});
  }

  struct FlatReturn {
    double time_s, angle_rad, range_m;
  };

  void compare_turns() {
    std::vector<FlatReturn> came, was;
    for (const Scan& scan : came_.logged) {
      for (const Return& r : scan.returns)
        came.push_back({scan.time_s, static_cast<double>(r.angle_rad), static_cast<double>(r.range_m)});
    }
    for (const TrueTurn& turn : log_.turns) {
      for (std::size_t b = 0; b < turn.angles_rad.size(); ++b)
        was.push_back({turn.time_s, turn.angles_rad[b], turn.ranges_m[b]});
    }
    if (came.size() < 100) return add("no scans", {"ranges"});
    const double many = static_cast<double>(came.size()) / static_cast<double>(was.size());
    if (std::abs(many - 1.0) > 0.03) {
      return add(fmt::format("{} returns of {}", came.size(), was.size()),
                 {"ranges", "no return", "angles of the ranges"});
    }
    compare_returns(came, was, best_shift(came, was));
  }

  /// At the drive's begin and end a scan may be left out: where the others lie on one another.
  std::ptrdiff_t best_shift(const std::vector<FlatReturn>& came, const std::vector<FlatReturn>& was) const {
    const std::ptrdiff_t most = 2500;
    std::ptrdiff_t best = 0;
    double best_off = 1e300;
    const auto middle = static_cast<std::ptrdiff_t>(came.size() / 2);
    for (std::ptrdiff_t shift = -most; shift <= most; ++shift) {
      std::vector<double> ratios;
      for (std::ptrdiff_t i = middle; i < std::min(middle + 150, std::ssize(came)); ++i) {
        const std::ptrdiff_t k = i + shift;
        if (k < 0 || k >= std::ssize(was)) continue;
        ratios.push_back(
            std::log(came[static_cast<std::size_t>(i)].range_m / was[static_cast<std::size_t>(k)].range_m));
      }
      if (ratios.size() < 100) continue;
      const double centre = median(ratios);
      double off = 0.0;
      for (const double r : ratios) off += std::min(0.3, std::abs(r - centre));
      if (off >= best_off) continue;
      best_off = off;
      best = shift;
    }
    return best;
  }

  void compare_returns(const std::vector<FlatReturn>& came, const std::vector<FlatReturn>& was, std::ptrdiff_t shift) {
    std::vector<double> factors, same, mirrored, times;
    // Rows without a return that are left out move the rest by one: a stretch around the middle is compared.
    const auto middle = static_cast<std::ptrdiff_t>(came.size() / 2);
    for (std::ptrdiff_t i = middle; i < std::min(middle + 2000, std::ssize(came)); ++i) {
      const std::ptrdiff_t k = i + shift;
      if (k < 0 || k >= std::ssize(was)) continue;
      const FlatReturn& c = came[static_cast<std::size_t>(i)];
      const FlatReturn& w = was[static_cast<std::size_t>(k)];
      factors.push_back(c.range_m / w.range_m);
      same.push_back(wrap_angle(c.angle_rad - w.angle_rad));
      mirrored.push_back(wrap_angle(c.angle_rad + w.angle_rad));
      times.push_back(c.time_s - origin_s_ - w.time_s);
    }
    const double factor = median(factors);
    if (std::abs(factor - 1.0) > 0.02) add(fmt::format("ranges times {:.4f}", factor), {"unit of the ranges"});
    compare_angles(same, mirrored);
    // A turn of beams that are stamped one by one may begin elsewhere; a clock is found to a few hundredths.
    const double slack = log_.own_clocks ? 0.15 : 0.21;
    const bool has_motion = !drive_.wheels.empty() || !drive_.odometry.empty();
    if (has_motion && std::abs(median(times)) > slack) {
      add(fmt::format("scans are off by {:.3f} s", median(times)), {"time of the scans", "clock of the scans"});
    }
  }

  static double spread_about(const std::vector<double>& angles, double centre) {
    std::vector<double> off;
    for (const double a : angles) off.push_back(std::abs(wrap_angle(a - centre)));
    return quantile(off, 0.95);
  }

  void compare_angles(const std::vector<double>& same, const std::vector<double>& mirrored) {
    constexpr double kSlack = 0.15 * kDegree;
    const auto centre_of = [](const std::vector<double>& angles) {
      std::vector<double> from_first;
      for (const double a : angles) from_first.push_back(wrap_angle(a - angles.front()));
      return wrap_angle(angles.front() + median(from_first));
    };
    const double centre = centre_of(same), mirror_centre = centre_of(mirrored);
    const double spread = spread_about(same, centre), mirror_spread = spread_about(mirrored, mirror_centre);
    lidar_mirrored_ = mirror_spread < spread;
    if (lidar_mirrored_) add("the lidar is mirrored", {"direction of the lidar"});
    if (std::min(spread, mirror_spread) > kSlack) {
      add(fmt::format("angles are off by {:.2f} deg", std::min(spread, mirror_spread) * kDegreesPerRadian),
          {"angles of the ranges"});
    }
    const double turned = lidar_mirrored_ ? mirror_centre : centre;
    if (log_.angles_told) {
      if (std::abs(turned) > kSlack)
        add(fmt::format("angles are turned by {:.2f} deg", turned * kDegreesPerRadian), {"angles of the ranges"});
    } else if (!lidar_mirrored_ && score_.guess.robot_is_known) {
      // What the log does not tell, robot.yaml has to make up for.
      const double off =
          wrap_angle(turned + score_.guess.robot.lidar.heading_deg * kDegree - log_.heading_deg * kDegree);
      if (std::abs(off) > 5.0 * kDegree) {
        add(fmt::format("the mounting is off by {:.1f} deg", off * kDegreesPerRadian),
            {"counters that run backwards", "direction of the lidar", "left wheel"});
      }
    }
  }

  /// All wrong in one of the ways that no log tells: seen in a mirror, or with front and back exchanged.
  void judge_mirror() {
    const bool both = left_backwards_ == right_backwards_;
    const bool mirror = lidar_mirrored_ && swapped_ != (left_backwards_ && both);
    const bool turned_round = !lidar_mirrored_ && swapped_ && left_backwards_ && both;
    const bool gyro_alike = log_.gyro.empty() || gyro_backwards_ == lidar_mirrored_;
    if (!both || !(mirror || turned_round) || !gyro_alike || (log_.wheels_named && swapped_)) return;
    for (ConversionFault& fault : score_.faults) fault.in_mirror = true;
  }

  const InventedLog& log_;
  const LogReadings& came_;
  const Drive& drive_;
  ConversionScore& score_;
  double origin_s_ = 0.0;
  bool swapped_ = false, left_backwards_ = false, right_backwards_ = false;
  bool lidar_mirrored_ = false, gyro_backwards_ = false;
};

}  // namespace

bool ConversionScore::is_doubted() const {
  return failure.empty() && !faults.empty() &&
         std::all_of(faults.begin(), faults.end(), [](const ConversionFault& fault) { return fault.doubted; });
}

ConversionScore score_guess(const InventedLog& log, const std::filesystem::path& folder) {
  ConversionScore score;
  const std::clock_t begin = std::clock();
  try {
    std::vector<std::string> names;
    for (const auto& file : log.files) names.push_back(file.filename().string());
    score.guess = guess_columns(read_log_sample(log.files, names));
    score.guess_s = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
    convert_logs(score.guess.columns, log.files, folder);
    std::ofstream(folder / "robot.yaml") << robot_yaml(score.guess);
    Comparison(log, read_log(folder), score).compare();
  } catch (const std::runtime_error& error) {
    score.failure = error.what();
  }
  return score;
}

}  // namespace wainscot::bench
