#!/usr/bin/env python3
"""A robot's program in Python: reads a recorded drive as if it came from the robot, asks where the robot is after each
scan, and how far the nearest wall is from there.

    python3 where.py MAP DRIVE [SECONDS A TURN OF THE LIDAR]
"""

import csv
import sys

import numpy

import wainscot


def rows_of(folder, name):
    with open(f"{folder}/{name}", newline="") as table:
        yield from csv.reader(table)


def tell(house, here):
    if here.is_found:
        print(
            f"{here.time_s:.3f} s: at ({here.x_m:.3f}, {here.y_m:.3f}) m, heading {here.heading_rad:.4f} rad, "
            f"the nearest wall {house.wall_distance_m(here.x_m, here.y_m):.2f} m away"
        )
    else:
        print(f"{here.time_s:.3f} s: {'lost' if here.answer == 'lost' else 'not sure yet'}")


def main():
    if len(sys.argv) < 3:
        sys.exit("usage: where.py MAP DRIVE [SECONDS A TURN OF THE LIDAR]")
    sweep_s = float(sys.argv[3]) if len(sys.argv) > 3 else 0.1
    house = wainscot.Map(sys.argv[1])
    robot = wainscot.Locator(house)
    wheels = rows_of(sys.argv[2], "wheels.csv")
    scans = rows_of(sys.argv[2], "scans.csv")
    next(wheels)
    angles = numpy.array([float(angle) for angle in next(scans)[1:]])
    offsets = sweep_s * numpy.arange(len(angles)) / len(angles)
    wheel_s = 0.0
    for row in scans:
        begin_s = float(row[0])
        for time_s, left, right in wheels:
            wheel_s = float(time_s)
            robot.add_wheels(wheel_s, int(left), int(right))
            if wheel_s >= begin_s + 2.0 * sweep_s:
                break
        robot.add_scan(begin_s, angles, [float(cell or 0) for cell in row[1:]], offsets)
        for here in robot.locations():
            tell(house, here)


if __name__ == "__main__":
    try:
        main()
    except wainscot.Error as error:
        sys.exit(f"where.py: {error}")
