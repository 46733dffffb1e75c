#pragma once

// A simulated house, the robot in it, its route and its defects: plain values. Lengths in metres, angles in degrees
// counter-clockwise from the x axis, all in the frame of the house.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "apps/simulator/defects.hpp"
#include "apps/simulator/geometry.hpp"

namespace wainscot::simulator {

/// From a time of the drive on, a door leaf stands differently.
struct LeafMove {
  double from_s = 0.0;
  double open_deg = 0.0;  ///< 60 .. 180, or 0: shut, the leaf fills the opening
};

/// A door leaf, 4 cm thick; open, it stands just beside the opening.
struct DoorLeaf {
  bool hinge_at_start = true;        ///< on the opening's side nearer to Wall::from
  bool swings_left = true;           ///< to the left of the direction from -> to
  double open_deg = 90.0;            ///< 60 .. 180, 180 lies flat against the wall; or 0: shut
  std::vector<LeafMove> moves = {};  ///< with rising times
};

/// A gap in a wall, floor to lidar height.
struct Opening {
  double at_m = 0.0;  ///< of its middle, along the wall from Wall::from
  double width_m = 0.8;
  std::optional<DoorLeaf> leaf;
  bool glass = false;      ///< a fixed pane fills the opening: nobody drives through, the laser mostly does
  bool threshold = false;  ///< a ridge that tilts the robot
};

/// A mirror on a wall's face, 5 mm thick: a beam that meets it goes on the way that light does.
struct Mirror {
  double at_m = 0.0;  ///< of its middle, along the wall from Wall::from
  double width_m = 1.0;
  bool on_left = true;  ///< of the direction from -> to
};

/// A straight wall around its centre line.
struct Wall {
  Point from;
  Point to;
  double thickness_m = 0.1;
  std::vector<Opening> openings;
  std::vector<Mirror> mirrors = {};
};

enum class FurnitureShape { box, round, legs };

/// From a time of the drive on, a piece of furniture stands elsewhere.
struct FurnitureMove {
  double from_s = 0.0;
  Point centre;
  double heading_deg = 0.0;
};

/// A box or a round thing that reaches the floor, or four legs under a table or chair.
struct Furniture {
  std::string name;
  FurnitureShape shape = FurnitureShape::box;
  Point centre;
  double length_m = 0.5;  ///< along the heading; the diameter of a round thing
  double width_m = 0.5;   ///< across it; not used for round things
  double heading_deg = 0.0;
  double leg_m = 0.04;                    ///< thickness of each round leg
  std::vector<FurnitureMove> moves = {};  ///< with rising times
};

/// A part of the floor; where parts lie on each other the last one is on top.
struct Floor {
  std::string name;
  Polygon outline;
};

/// Someone who walks to and fro between the first and the last waypoint, or who walks after the robot.
struct Person {
  std::vector<Point> waypoints;  ///< not used by one who follows
  double speed_m_s = 0.8;
  double start_s = 0.0;
  double end_s = 1e9;      ///< stands out of sight afterwards
  double pause_s = 4.0;    ///< at each end
  double follows_m = 0.0;  ///< stays this far behind the robot, on its track; 0: walks the waypoints
  double cart_m = 0.0;     ///< diameter of a round cart that moves so by itself; 0: a person on two legs
};

/// The robot is picked up at a waypoint, carried and put down. Its wheels stand still meanwhile; the lidar goes on,
/// nine tenths of a metre higher up, unsteady, with the carrier behind it.
struct Lift {
  std::vector<Point> way;    ///< the last place is where it is put down
  double heading_deg = 0.0;  ///< how it is put down
};

struct Waypoint {
  Point point;
  double stop_s = 0.0;        ///< stands still here for so long
  bool turn_on_spot = false;  ///< stops here and turns before driving on; sharp corners are always driven so
  std::optional<Lift> lift = std::nullopt;  ///< after the stop; the route goes on from where it is put down
};

/// Wheels and floor part company at a place: what `left_m` and `right_m` say is counted beyond the way over the ground.
/// Where neither is negative the robot stands while its wheels spin; otherwise it slides on with its wheels held back.
struct WheelSlip {
  Point at;
  double radius_m = 0.12;
  int crossing = 1;  ///< happens the n-th time that the robot comes within the radius
  double left_m = 0.5;
  double right_m = 0.5;
};

/// A numbered sign that lies flat on the floor, so that no beam meets it.
struct Marker {
  std::string name;
  Point at;
  double heading_deg = 0.0;
};

/// A line on the floor, flat, that the robot follows by itself wherever its way goes along it.
struct FloorLine {
  std::string name;
  Point from;
  Point to;
};

struct LidarSpec {
  int beams = 360;              ///< in `field_deg`
  double field_deg = 360.0;     ///< 360: all round; less: centred on `first_beam_deg` + half of it
  double first_beam_deg = 0.0;  ///< angle of the first beam, as reported
  bool clockwise = false;       ///< fires with falling angles
  bool mirrored = false;        ///< mounted upside down: the reported angles run the other way round
  double turns_per_s = 7.0;     ///< nominal
  double min_range_m = 0.12;
  double max_range_m = 8.0;
  double x_m = 0.0;  ///< mounting as robot.yaml states it; the true one differs by the mounting errors
  double y_m = 0.0;
  double heading_deg = 0.0;
  double height_m = 0.18;       ///< above the floor; matters where the robot is tilted
  double range_step_m = 0.001;  ///< ranges are whole multiples of it
  double range_unit_m = 1.0;    ///< of the log; 0.001: millimetres
  bool sweep_stated = true;     ///< robot.yaml has the nominal sweep_s
  bool all_at_once = false;     ///< every beam at the moment of the first one; robot.yaml has sweep_s 0
  double scan_every_m = 0.0;    ///< a scan is logged only after this much way
  double scan_every_deg = 0.0;  ///< or this much turning; both 0: every scan
  double blind_from_deg = 0.0;  ///< a part of the robot stands in this sector, lidar's frame
  double blind_to_deg = 0.0;    ///< equal to blind_from_deg: none
};

enum class MotionLog { wheels, odometry };
enum class LidarLog { scans, returns };

struct RobotSpec {
  double radius_m = 0.16;  ///< of the circle around everything that sticks out
  double track_width_m = 0.28;
  double left_m_per_tick = 1e-4;  ///< true; negative: the counter runs backwards
  double right_m_per_tick = 1e-4;
  int counter_bits = 32;
  bool counters_dead = false;  ///< a cable is off: both counters say 0 all the time
  double wheel_rate_hz = 50.0;
  double speed_m_s = 0.35;
  double acceleration_m_s2 = 0.5;
  double turn_rate_rad_s = 1.2;
  bool gyro = false;
  double gyro_rate_hz = 100.0;
  LidarSpec lidar;
  MotionLog motion_log = MotionLog::wheels;
  LidarLog lidar_log = LidarLog::scans;
  double truth_rate_hz = 50.0;
};

struct Plan {
  std::string name;
  std::vector<Wall> walls;
  std::vector<Furniture> furniture;
  std::string floor = "wood";  ///< the name of the floor where no part lies
  std::vector<Floor> floors;
  std::vector<Person> people;
  std::vector<Waypoint> route;  ///< at least two; the robot starts at the first one, facing the second
  std::vector<WheelSlip> slips;
  std::vector<Marker> markers = {};
  bool markers_surveyed = false;  ///< somebody measured where they lie
  std::vector<FloorLine> lines = {};
  bool lines_measured = false;
  RobotSpec robot;
  Defects defects;
  /// Knobs that robot.yaml says nothing of: its noise is that of a robot with their ordinary values, as on a data
  /// sheet.
  std::vector<std::string> not_told = {};
  bool uncertainties_stated = false;  ///< robot.yaml has the wheels' standard uncertainties (calibrated level)
};

/// The ridges of all openings with a threshold, from jamb to jamb.
struct Ridge {
  Point from;
  Point to;
};
std::vector<Ridge> ridges(const Plan& plan);

/// The times at which a door leaf or a piece of furniture changes its place, rising, each once.
std::vector<double> change_times_s(const Plan& plan);

/// The plan as the house stands at a time: leaves and furniture where they are then, without any moves.
Plan house_at(const Plan& plan, double time_s);

/// The name of the floor at a point.
const std::string& floor_at(const Plan& plan, Point point);

/// All floor names, in order of first use, `Plan::floor` first.
std::vector<std::string> floor_names(const Plan& plan);

}  // namespace wainscot::simulator
