"""Every example of README.md, of the guides in apps/ and of each command's --help is run on the demonstration, and ends well: whoever copies a line sees what it
promises. Needs python3 only.

  examples.py CHECKOUT WAINSCOT"""

import gzip
import json
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

checkout, wainscot = pathlib.Path(sys.argv[1]).resolve(), str(pathlib.Path(sys.argv[2]).resolve())
temporary = tempfile.TemporaryDirectory()
home = pathlib.Path(temporary.name)
stock = home / "stock"  # what the examples name as there already
stock.mkdir()


def make(*words):
    subprocess.run([wainscot, *map(str, words)], cwd=stock, check=True, capture_output=True)


def messages(drive):
    """The demonstration as messages of a time: its wheels with one counter backwards, in milliseconds, and its scans clockwise."""
    header, *rows = (drive / "scans.csv").read_text().splitlines()
    angles = [float(angle) for angle in header.split(",")[1:]]
    clockwise = sorted(range(len(angles)), key=lambda i: -angles[i] % 360)
    for row in (drive / "wheels.csv").read_text().splitlines()[1:]:
        time_s, left, right = row.split(",")[:3]
        yield round(1000 * float(time_s)), "W", [int(left), -int(right)]
    for row in rows:
        time_s, *ranges = row.split(",")
        yield round(1000 * float(time_s)), "S", [round(1000 * float(ranges[i] or 0)) for i in clockwise]


(stock / "data").symlink_to(checkout / "data")
demo = checkout / "data/demo/drive"
for name in ("my-drive", "drive-1"):
    shutil.copytree(demo, stock / name)
    (stock / name / "truth.csv").unlink()
for name, day in (("another-drive", 2), ("tuesday", 2), ("drive-2", 2), ("friday", 3)):
    make("simulate", "data/demo/plan.yaml", "--calibrated", "--seed", 1, "--day", day, "--out", name)
for name in ("my-runs", "runs"):
    make("simulate", "data/demo/plan.yaml", "--seed", 1, "--calibration-runs", "--out", name)
make("build", "my-drive", "--out", "my-map", "--quiet")
make("build", "my-drive", "--out", "without", "--no-loop-closure", "--quiet")
shutil.copytree(stock / "my-map", stock / "flat")
shutil.copytree(stock / "my-map", stock / "build/demo-map")
for drive, name in (("tuesday", "monday-map"), ("friday", "friday-map")):
    make("build", drive, "--out", name, "--quiet")
make("extend", "my-map", "tuesday", "--out", "my-map-2", "--quiet")
shutil.copytree(stock / "my-map-2", stock / "flat-2")
for drive, name in (("my-drive", "kitchen"), ("tuesday", "office")):
    shutil.copytree(stock / drive, stock / "drives" / name)
(stock / "drives.csv").write_text("name,drive,upright\nkitchen,drives/kitchen,yes\n")
make("batch", "drives", "--out", "houses", "--quiet", "--", "build")
(stock / "robot.txt.template").write_text("cells of {{cell_size_m}} m\n")
(stock / "tapes.csv").write_text("name,x1_m,y1_m,x2_m,y2_m,tape_m\nroom,0.7,-1.4,0.2,2.8,4.22\n")
shutil.copy(demo / "robot.yaml", stock / "robot.yaml")
shutil.copy(checkout / "data/demo/rooms.csv", stock / "rooms.csv")
log = sorted(messages(demo))
line_of = lambda time_ms, word, values: " ".join(map(str, [word, time_ms, *values])) + "\n"
for name, words in (("robot.log", "WS"), ("tuesday.log", "WS"), ("wheels.log", "W")):
    (stock / name).write_text("".join(line_of(*message) for message in log if message[1] in words))
with gzip.open(stock / "lidar.jsonl.gz", "wt") as lidar:
    lidar.writelines(json.dumps({"time_ms": time_ms, "mm": values}) + "\n" for time_ms, word, values in log if word == "S")


START = r"(my-logger \| )?(build/apps/)?wainscot "


def as_here(line):
    """The robot's programs are others here, and a recording has its end."""
    line = re.sub(r"^(my-logger \| )?(build/apps/)?wainscot", lambda found: (found[1] or "") + shlex.quote(wainscot), line)
    line = re.sub(r" --slurm( --partition short)?( --time 30)?", "", line)  # tests/bench/batch.py has a cluster
    line = line.replace("my-logger |", "cat robot.log |").replace("| my-program", "| cat")
    return line + " --until-idle 1" if re.search(r"wainscot\S* follow \w|--follow$", line) else line.replace("--follow |", "--follow --until-idle 1 |")


def examples():
    using = (checkout / "apps/USING.md").read_text()
    (stock / "columns.yaml").write_text(re.search(r"```yaml\n(wainscot_columns: 1\n.*?)```", using, re.DOTALL).group(1))
    found = []
    for document in [checkout / "README.md", *sorted((checkout / "apps").glob("*.md"))]:
        blocks = re.sub(r"```.*?```", "", document.read_text(), flags=re.DOTALL)
        mine = [line.strip() for line in blocks.splitlines() if re.match(rf"    ({START})", line)]
        if not mine:
            sys.exit(f"{document.name} has no example")
        found += [(document.name, line) for line in mine]
    help_text = subprocess.run([wainscot, "--help"], check=True, capture_output=True, text=True).stdout
    commands = re.search(r"Commands:\n(.*?)\n\n", help_text, re.DOTALL).group(1)
    for command in re.findall(r"^  ([a-z]+) ", commands, re.MULTILINE):
        text = subprocess.run([wainscot, command, "--help"], check=True, capture_output=True, text=True).stdout
        text = re.sub(r" \\\n +", " ", text)  # a long one goes on in the next line
        mine = [line.strip() for line in text.splitlines() if re.match(rf"  ({START})", line)]
        if not mine:
            sys.exit(f"wainscot {command} --help has no example")
        found += [(f"{command} --help", line) for line in mine]
    return found


failures = 0
found = examples()
for number, (where, line) in enumerate(found):
    if re.search(r"\b(PLAN|DRIVE|MAP|RUNS)\b", line):
        continue  # says itself that names are to be filled in
    words = shlex.split(line, comments=True)
    line = shlex.join(words).replace("'>'", ">").replace("'|'", "|")
    work = home / f"work-{number}"
    shutil.copytree(stock, work, symlinks=True)
    for option in ("--out", "--write", "--record"):
        if option in words and "--replace" not in words:
            name = work / words[words.index(option) + 1]
            shutil.rmtree(name, ignore_errors=True)
            name.unlink(missing_ok=True)
    ended = subprocess.run(["bash", "-o", "pipefail", "-c", as_here(line)], cwd=work, capture_output=True, text=True)
    if ended.returncode != 0:
        failures += 1
        print(f"{where}: {line}\n  ended with status {ended.returncode}: {ended.stderr.strip().splitlines()[-1:]}")
    shutil.rmtree(work)
print(f"{len(found)} examples, {failures} failed")
sys.exit(1 if failures else 0)
