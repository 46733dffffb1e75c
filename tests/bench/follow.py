#!/usr/bin/env python3
"""How fast, how true and how large `wainscot follow` is on a drive that is replayed:

  python3 tests/bench/follow.py PROGRAM SPEED DRIVE [DRIVE ...]

SPEED: so many times as fast as it was recorded. Prints a row a drive: from a scan's last beam, written into the table, to
its pose with a watcher of the page (milliseconds: median, 95 %, worst; of the second half of the drive as well), maps
made meanwhile, memory (MB, at most), the distance of the shown way from the finished map's (cm: of the 95th percentile of
each map that was shown the median, and the worst), of the live place from where the finished map has it (cm: median,
95 %), and whether the map's folder has the bytes of build's.
Give the program one processor with taskset to see what a small computer would do.
"""
import bisect
import filecmp
import json
import math
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request

import numpy


def rows_of(drive):
    """(due time, file, line) of all tables, in time's order; a scan is written when its last beam has been fired."""
    rows, headers = [], {}
    for name in ("wheels.csv", "odometry.csv", "gyro.csv", "scans.csv", "returns.csv"):
        path = os.path.join(drive, name)
        if not os.path.exists(path):
            continue
        lines = [line for line in open(path).read().splitlines() if line.strip() and not line.startswith("#")]
        headers[name] = lines[0]
        times = [float(line.split(",")[0]) for line in lines[1:]]
        usual = statistics.median([b - a for a, b in zip(times, times[1:])]) if name == "scans.csv" else 0.0
        rows += [(t + usual, name, line) for t, line in zip(times, lines[1:])]
    rows.sort(key=lambda row: row[0])
    return headers, rows


def replay(drive, out, speed, written):
    headers, rows = rows_of(drive)
    files = {name: open(os.path.join(out, name), "w") for name in headers}
    for name, header in headers.items():
        files[name].write(header + "\n")
        files[name].flush()
    begun = time.monotonic()
    unflushed = set()
    for due, name, line in rows:
        wait = begun + (due - rows[0][0]) / speed - time.monotonic()
        if wait > 0.0005:
            for file in unflushed:
                files[file].flush()
            unflushed.clear()
            time.sleep(wait)
        files[name].write(line + "\n")
        unflushed.add(name)
        if name == "scans.csv":
            files[name].flush()
            written.append((float(line.split(",")[0]), time.monotonic()))
    for file in files.values():
        file.close()
    return rows[-1][0] - rows[0][0]


def watch(url, events):
    page = urllib.request.urlopen(url).read().decode()
    key = re.search(r'"key":"(\w+)"', page).group(1)
    kind = ""
    for line in urllib.request.urlopen(url + "events?key=" + key):
        line = line.decode().rstrip("\n")
        if line.startswith("event: "):
            kind = line[7:]
        elif line.startswith("data: "):
            now = time.monotonic()
            if kind == "here":
                here = json.loads(line[6:])
                events.append((now, kind, here["time_s"], here["pose"]))
            elif kind == "map":
                shown = json.loads(line[6:])
                events.append((now, kind, 0.0, shown["path"] + shown["tail"]))
            else:
                events.append((now, kind, 0.0, None))


def percentile(values, share):
    return sorted(values)[min(len(values) - 1, int(share * len(values)))] if values else float("nan")


def trajectory(folder):
    lines = open(os.path.join(folder, "trajectory.csv")).read().splitlines()
    head = next(line for line in lines if not line.startswith("#")).split(",")
    place = [head.index(name) for name in ("time_s", "x_m", "y_m")]
    return [[float(line.split(",")[i]) for i in place] for line in lines[lines.index(",".join(head)) + 1:]]


def way_apart(shown, path):
    """The 95th percentile of the distances of a way's places from a path, cm."""
    final = numpy.array(path)[:, 1:3]
    some = numpy.array(shown)[:: max(1, len(shown) // 300)]
    nearest = [numpy.min(numpy.hypot(*(final - place).T)) for place in some]
    return 100 * float(numpy.percentile(nearest, 95))


def same_bytes(one, other):
    found = filecmp.dircmp(one, other)
    return not (found.left_only or found.right_only) and not filecmp.cmpfiles(one, other, found.common_files, False)[1]


def follow(program, speed, drive):
    work = tempfile.mkdtemp()
    recorded, made, built = (os.path.join(work, name) for name in ("recorded", "map", "built"))
    os.mkdir(recorded)
    for name in os.listdir(drive):
        if not name.endswith(".csv"):
            shutil.copy(os.path.join(drive, name), recorded)
    due = [row[0] for row in rows_of(drive)[1]]
    idle = 3 + max(b - a for a, b in zip(due, due[1:])) / speed  # robots stand, too
    child = subprocess.Popen([program, "follow", recorded, "--out", made, "--until-idle", str(idle)],
                             stderr=subprocess.PIPE, text=True)
    said = child.stderr.readline()
    url = re.search(r"http://\S+/", said).group(0)
    rest = []
    threading.Thread(target=lambda: rest.extend(child.stderr), daemon=True).start()
    events, written = [], []
    watcher = threading.Thread(target=watch, args=(url, events), daemon=True)
    watcher.start()
    time.sleep(0.5)
    length = replay(drive, recorded, speed, written)
    memory = 0.0
    while child.poll() is None:
        try:
            status = open(f"/proc/{child.pid}/status").read()
            memory = max(memory, float(re.search(r"VmHWM:\s+(\d+)", status).group(1)) / 1024)
        except (OSError, AttributeError):
            pass
        time.sleep(0.05)
    watcher.join(5)
    subprocess.run([program, "build", recorded, "--out", built, "--quiet"], check=False)
    written.sort()
    stamps = [stamp for stamp, _ in written]
    delays, apart = [], []
    path = trajectory(made) if os.path.exists(os.path.join(made, "trajectory.csv")) else []
    times = [row[0] for row in path]
    ways = [way_apart(shown, path) for _, kind, _, shown in events if kind == "map" and path]
    for now, kind, stamp, pose in events:
        if kind != "here":
            continue
        at = bisect.bisect(stamps, stamp)
        near = min(range(max(0, at - 1), min(len(stamps), at + 1)), key=lambda i: abs(stamps[i] - stamp), default=None)
        if near is not None and abs(stamps[near] - stamp) < 0.05:
            delays.append((stamp, 1000 * (now - written[near][1])))
        at = bisect.bisect(times, stamp)
        if 0 < at < len(times):
            before, after = path[at - 1], path[at]
            share = (stamp - before[0]) / max(after[0] - before[0], 1e-9)
            distance = 100 * math.hypot(before[1] + share * (after[1] - before[1]) - pose[0],
                                        before[2] + share * (after[2] - before[2]) - pose[1])
            apart.append(distance)
    half = [delay for stamp, delay in delays if stamp > stamps[0] + 0.5 * length] if stamps else []
    all_delays = [delay for _, delay in delays]
    maps = sum(1 for event in events if event[1] == "map")
    print(f"{os.path.basename(drive.rstrip('/')):20} {length:6.0f} s  delay {percentile(all_delays, .5):4.0f} {percentile(all_delays, .95):4.0f} "
          f"{max(all_delays, default=float('nan')):5.0f} ms  second half {percentile(half, .5):4.0f} {percentile(half, .95):4.0f} ms  "
          f"{maps:4} maps  {memory:4.0f} MB  way {percentile(ways, .5):5.1f} {max(ways, default=float('nan')):5.1f} cm  "
          f"place {percentile(apart, .5):5.1f} {percentile(apart, .95):5.1f} cm  status {child.returncode}  "
          f"{'same bytes' if os.path.isdir(made) and same_bytes(made, built) else 'OTHER BYTES' if os.path.isdir(made) else 'no map'}",
          flush=True)
    shutil.rmtree(work)


if __name__ == "__main__":
    if len(sys.argv) < 4:
        sys.exit(__doc__)
    for name in sys.argv[3:]:
        follow(sys.argv[1], float(sys.argv[2]), name)
