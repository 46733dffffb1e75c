#!/usr/bin/env python3
"""A drive in, a map out, with a line for each stage of the work.

    python3 map_a_drive.py DRIVE MAP
"""

import sys

import wainscot

last = ""


def tell(stage, fraction):
    """What it raises, a Ctrl-C too, stops the work."""
    global last
    if stage != last:
        print(f"{100 * fraction:3.0f} % {stage}")
    last = stage


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit("usage: map_a_drive.py DRIVE MAP")
    try:
        wainscot.build_map(sys.argv[1], sys.argv[2], tell)
    except wainscot.Error as error:
        sys.exit(f"map_a_drive.py: {error}")
    print(f"written to {sys.argv[2]}")
