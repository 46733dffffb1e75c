#!/usr/bin/env python3
"""What is at a place of a map, and how far the nearest wall is from there.

    python3 nearest_wall.py MAP X_M Y_M
"""

import sys

import wainscot

if __name__ == "__main__":
    if len(sys.argv) != 4:
        sys.exit("usage: nearest_wall.py MAP X_M Y_M")
    x_m, y_m = float(sys.argv[2]), float(sys.argv[3])
    try:
        house = wainscot.Map(sys.argv[1])
        print(f"{house.floor_at(x_m, y_m)}, the nearest wall {house.wall_distance_m(x_m, y_m):.3f} m away")
    except wainscot.Error as error:
        sys.exit(f"nearest_wall.py: {error}")
