#pragma once

// Constants of which several say something: runs with a tape, drives, and what robot.yaml knew before. Each counts by
// how well it knows them (weighted least squares). What drives say of lengths is in the lidar's metre, which is one
// more unknown: with a tape's word beside it, a drive tells the wheels' ratio and the tape their size.

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/robot.hpp"
#include "graph/calibrate/drive_calibration.hpp"
#include "graph/calibrate/run_calibration.hpp"

namespace wainscot {

/// Two and a half standard uncertainties of a hobby lidar's metre (DriveCalibrationOptions::range_scale_sd): beyond it,
/// a slip with the tape is as likely.
inline constexpr double kMostMetreOff = 0.0125;

/// Of freedom, of a standard uncertainty that is not itself in doubt.
inline constexpr double kManyDegrees = 1e6;

struct Witness {
  std::string name;                              ///< for people: "the runs", "the drive kitchen"
  DriveVector value = DriveVector::Zero();       ///< the clock's offset against that of one robot.yaml for all
  DriveMatrix covariance = DriveMatrix::Zero();  ///< of what it knows, the metre's share apart
  std::array<bool, kDriveConstants> knows{};
  DriveVector degrees = DriveVector::Constant(kManyDegrees);  ///< of freedom, of each standard uncertainty
  bool by_blocks = false;  ///< the covariance is a sample's, of one more block of a drive than there are degrees
  double metre_sd = 0.0;   ///< relative, of the metre that its lengths are in; 0: a tape's. One lidar for all
};

bool knows_anything(const Witness& witness);

/// Of the runs' floors in any mix: a drive's track width is that of its floors.
Witness witness_of(const std::string& name, const RunCalibration& runs);

/// `robot`: of that drive, `first`: the one whose clock offset counts.
Witness witness_of(const std::string& name, const DriveCalibration& drive, const Robot& robot, const Robot& first,
                   const DriveCalibrationOptions& options = {});

/// What robot.yaml states together with its standard uncertainty: somebody measured it.
Witness witness_of(const Robot& robot);

/// A witness whom the others do not believe.
struct Contradiction {
  std::string witness;
  std::string others;  ///< the other one's name, where there is one only; else empty
  DriveConstant constant = kLeftPerTick;
  double says = 0.0;
  double others_say = 0.0;
  double sds = 0.0;  ///< the difference in its standard uncertainties
};

struct CombinedCalibration {
  DriveCalibration all;      ///< observed: somebody knows it. Where witnesses contradict, wider by as much
  double lidar_metre = 1.0;  ///< the lidar's metre in those of a tape; 1 where nobody can tell
  double lidar_metre_sd = 0.0;
  DriveVector degrees = DriveVector::Constant(kManyDegrees);  ///< of freedom, of each standard uncertainty of `all`
  /// Beyond what three standard uncertainties are, each constant of two witnesses told once.
  std::vector<Contradiction> contradictions;

  double half_width(DriveConstant c) const;  ///< of the interval that holds the truth with 95 %
  /// Whether the lidar's metre is known to be another than a tape's: not within two standard uncertainties, within
  /// kMostMetreOff, and no contradiction about lengths, which would look the same.
  bool tells_metre() const;
};

/// Two witnesses that cannot be of one robot: the wheels' metres a tick a tenth apart or of opposite signs; nullopt
/// where there are none.
std::optional<std::pair<std::string, std::string>> different_robots(const std::vector<Witness>& witnesses);

/// At least one witness.
CombinedCalibration combine(const std::vector<Witness>& witnesses);

}  // namespace wainscot
