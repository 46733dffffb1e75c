"""Runs the README's Python lines against a made-up robot that replays the demonstration drive, with the README's robot.yaml,
and maps what they wrote: readme_check.py CHECKOUT WAINSCOT."""

import csv
import os
import pathlib
import re
import subprocess
import sys
import tempfile

checkout, wainscot = pathlib.Path(sys.argv[1]).resolve(), sys.argv[2]
readme = (checkout / "README.md").read_text()
(lines,) = re.findall(r"```python\n(.*?)```", readme, re.S)
(robot_yaml,) = re.findall(r"```yaml\n(wainscot_robot.*?)```", readme, re.S)

drive = checkout / "data/demo/drive"
with open(drive / "wheels.csv", newline="") as table:
    counts = [row for row in csv.reader(line for line in table if not line.startswith("#"))][1:]
with open(drive / "scans.csv", newline="") as table:
    header, *turns = [row for row in csv.reader(line for line in table if not line.startswith("#"))]
assert len(header) == 361, "the demonstration's lidar has one beam a degree"


class Replay:
    """The robot, its lidar and the clock, at the rows of the recorded drive."""

    def __init__(self):
        self.row, self.turn, self.asked = 0, 0, -1

    def is_driving(self):
        assert self.row > self.asked, "the loop does not sleep"
        self.asked = self.row
        return self.row < len(counts)

    def sleep(self, seconds):
        assert 0.01 <= seconds <= 0.1, "the loop does not write about 50 rows a second"
        self.row += 1
        if self.row == 10:
            written = pathlib.Path("my-drive/wheels.csv").read_text().splitlines()
            assert len(written) == 11, "rows wait inside the program"

    def monotonic(self):
        return float(counts[self.row][0])

    def wheel_counts(self):
        return [int(counts[self.row][1]), int(counts[self.row][2])]

    def new_turns(self):
        while self.turn < len(turns) and float(turns[self.turn][0]) + 0.2 < self.monotonic():
            angles = [round(float(angle)) % 360 for angle in header[1:]]
            ranges = dict(zip(angles, (float(cell or 0) for cell in turns[self.turn][1:])))
            yield float(turns[self.turn][0]), [ranges[angle] for angle in range(360)]
            self.turn += 1


folder = tempfile.TemporaryDirectory()
os.chdir(folder.name)
os.mkdir("my-drive")
replay = Replay()
names = {"robot": replay, "lidar": replay}
# `import csv, time` is the README's first line; the time is the replayed one.
exec(lines.replace("import csv, time", "import csv"), names | {"time": replay})
# The demonstration's wheels differ from the README's example: its constants are put into the same keys.
stated = dict(re.findall(r"(\w+): *([-0-9.e]+)", (drive / "robot.yaml").read_text()))
for key in ("left_m_per_tick", "right_m_per_tick", "track_width_m", "x_m", "y_m", "heading_deg"):
    robot_yaml = re.sub(rf"\b{key}: *[-0-9.e]+", f"{key}: {stated[key]}", robot_yaml)
pathlib.Path("my-drive/robot.yaml").write_text(robot_yaml)

subprocess.run([wainscot, "build", "my-drive", "--out", "my-map", "--quiet"], check=True)
said = subprocess.run([wainscot, "compare", "my-map", "--truth", str(drive / "truth.csv")], check=True, capture_output=True,
                      text=True).stdout
print(said)
ate_mm = float(re.search(r"^found +\d+ +([0-9.]+)", said, re.M).group(1))
assert ate_mm < 50, f"the path lies {ate_mm} mm from the true one"
