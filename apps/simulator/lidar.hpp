#pragma once

// What the lidar answers while the robot moves: every beam at its own moment and true place.

#include <cstdint>
#include <vector>

#include "apps/simulator/house_in_time.hpp"
#include "apps/simulator/lidar_revolutions.hpp"
#include "apps/simulator/lidar_tilt.hpp"
#include "apps/simulator/motion.hpp"
#include "apps/simulator/people.hpp"
#include "apps/simulator/plan.hpp"
#include "apps/simulator/true_lidar.hpp"

namespace wainscot::simulator {

/// A row of scans.csv; NaN: no return.
struct ScanRow {
  double time_s = 0.0;
  std::vector<float> range_m;
};

/// A row of returns.csv.
struct ReturnRow {
  double time_s = 0.0;
  double angle_deg = 0.0;
  double range_m = 0.0;
};

/// The beams' angles as reported, degrees, in the order of firing.
std::vector<double> beam_angles_deg(const LidarSpec& lidar);

class Lidar {
 public:
  Lidar(const Plan& plan, const TrueLidar& lidar, const HouseInTime& house, const Motion& motion, const People& people,
        std::uint64_t seed);

  /// Whole revolutions as scans.csv has them.
  std::vector<ScanRow> scans();
  /// Single returns as returns.csv has them.
  std::vector<ReturnRow> returns();

 private:
  double stamp(double true_s, const LidarRevolution& revolution) const;
  /// The measured range of a beam, NaN for none. `angle_rad`: true, in the lidar's frame.
  double measure(double angle_rad, double time_s);
  /// What stands around at a beam's time.
  struct Moment {
    double time_s;
    const RayCaster* house;
    std::vector<Leg> legs;  ///< of people, and the body of one who carries the robot
  };
  Moment moment_at(double time_s, const MotionState& state) const;
  double true_range(Point from, double angle_rad, double elevation_rad, double height_m, const Moment& moment,
                    double& bias_m);
  /// The first face on the beam's way, with the whole way there; mirrors send it on. `mirror_fate`: 0 .. 1.
  Hit first_hit(Point from, Point along, const Moment& moment, double mirror_fate, bool through_glass) const;
  bool blind(double angle_rad) const;

  const Plan& plan_;
  const TrueLidar& lidar_;
  const HouseInTime& house_;
  const Motion& motion_;
  const People& people_;
  std::vector<Tilt> tilt_;
  std::vector<Hold> holds_;
  std::uint64_t seed_;
  Random noise_;
  Random losses_;
  Random edges_;
  double noise_m_ = 0.0;
  double noise_growth_per_m_ = 0.0;
  double noise_per_m_ = 0.0;
  double rounding_m_ = 0.0;
  double incidence_bias_m_ = 0.0;
  double half_width_rad_ = 0.0;
  double mixed_share_ = 0.0;
  double dropout_rate_ = 0.0;
  double grazing_begin_rad_ = 0.0;
  double grazing_full_rad_ = 0.0;
  double glass_return_rate_ = 0.0;
  double glass_loss_rate_ = 0.0;
};

}  // namespace wainscot::simulator
