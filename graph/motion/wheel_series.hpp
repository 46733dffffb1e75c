#pragma once

// What the robot says of its own motion, as two counts that can be asked for at any time: the wheels' ticks, or two
// wheels that would have driven the poses of odometry.csv.

#include <cstddef>
#include <vector>

#include "core/drive.hpp"

namespace wainscot {

/// Two counts, signed.
struct CountPair {
  double left = 0.0;
  double right = 0.0;
};

class WheelSeries {
 public:
  /// Of wheels.csv as it is, or of odometry.csv as wheels of 1 m a tick on a track of `track_width_m`.
  explicit WheelSeries(const Drive& drive);

  bool empty() const { return times_s_.size() < 2; }
  double begin_s() const { return times_s_.front(); }
  double end_s() const { return times_s_.back(); }

  /// The counts at a time, between samples in proportion; the nearest sample's outside.
  CountPair at(double time_s) const;

  /// Asks at times of which none is before the last one: then each row is passed once.
  class Onward;

  /// The counts' changes from one time to a later one.
  CountPair change(double from_s, double to_s) const;

  /// The same cut at the samples in between: the steps along which a path is integrated.
  std::vector<CountPair> changes(double from_s, double to_s) const;

  /// Whether a counter restarted in between, so that nothing is known, or one of the times lies outside.
  bool is_unknown(double from_s, double to_s) const;

 private:
  /// A step of which nothing is known.
  struct Break {
    double begin_s = 0.0;
    double end_s = 0.0;
  };

  /// Before the sample `next`, the first after the time.
  CountPair before(std::size_t next, double time_s) const;

  std::vector<double> times_s_;
  std::vector<CountPair> counts_;
  std::vector<Break> breaks_;  ///< by their begins and so by their ends
};

class WheelSeries::Onward {
 public:
  /// `wheels` must outlive this.
  Onward(const WheelSeries& wheels, double from_s);

  /// What WheelSeries::at says.
  CountPair at(double time_s);

  /// How many rows were looked at.
  std::size_t looked_at() const { return looked_at_; }

 private:
  const WheelSeries* wheels_;
  std::size_t next_;
  std::size_t looked_at_ = 0;
};

}  // namespace wainscot
