#pragma once

// What the lidar answers while the robot moves: every beam at its own moment and true place.

#include <cstdint>
#include <vector>

#include "apps/simulator/house_in_time.hpp"
#include "apps/simulator/motion.hpp"
#include "apps/simulator/people.hpp"
#include "apps/simulator/plan.hpp"

namespace wainscot::simulator {

/// The lidar as it really is in this drive.
struct TrueLidar {
  double x_m = 0.0;
  double y_m = 0.0;
  double heading_rad = 0.0;
  double range_scale = 1.0;      ///< measured / true
  double turn_s = 0.0;           ///< mean time of a revolution
  double stamp_delay_s = 0.0;    ///< mean over the drive
  double clock_drift_rel = 0.0;  ///< the lidar's clock gains so many seconds a second
  std::vector<double> face_bias_m;
};

TrueLidar draw_lidar(const Plan& plan, int faces, std::uint64_t seed);

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

/// Greatest and least tilt are drawn for each crossing of a ridge; positive pitch lifts the nose, positive roll the
/// left side. Sampled every `kTiltStep_s`.
struct Tilt {
  double pitch_rad = 0.0;
  double roll_rad = 0.0;
};
constexpr double kTiltStep_s = 0.01;
std::vector<Tilt> tilt_on_ridges(const Plan& plan, const Motion& motion, std::uint64_t seed);

/// How a carried lidar is held at a moment; all 0 where it is not carried.
struct Hold {
  double raised_m = 0.0;
  Tilt tilt;
};
/// Sampled every `kTiltStep_s`; empty where nothing is carried.
std::vector<Hold> holds_while_carried(const Motion& motion, std::uint64_t seed);

class Lidar {
 public:
  Lidar(const Plan& plan, const TrueLidar& lidar, const HouseInTime& house, const Motion& motion, const People& people,
        std::uint64_t seed);

  /// Whole revolutions as scans.csv has them.
  std::vector<ScanRow> scans();
  /// Single returns as returns.csv has them.
  std::vector<ReturnRow> returns();

 private:
  struct Revolution {
    double start_s;
    double turn_s;
    double late_s;  ///< its stamp's delay and jitter
    bool lost;
  };
  std::vector<Revolution> revolutions();
  std::vector<Revolution> thinned(const std::vector<Revolution>& all) const;
  double stamp(double true_s, const Revolution& revolution) const;
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
  double half_width_rad_ = 0.0;
  double mixed_share_ = 0.0;
  double dropout_rate_ = 0.0;
  double grazing_begin_rad_ = 0.0;
  double grazing_full_rad_ = 0.0;
  double glass_return_rate_ = 0.0;
  double glass_loss_rate_ = 0.0;
};

}  // namespace wainscot::simulator
