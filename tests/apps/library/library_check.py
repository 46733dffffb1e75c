"""libwainscot as people get it: installed, found by CMake, pkg-config and Python, shared and static, its examples built in a
tree of their own and run on the demonstration. The map is that of `wainscot build`, byte for byte; where the robot was is
what `wainscot locate --as-driving` says; walls and floor are those of the map's files; apps/USING.md is followed word for word.

  library_check.py CHECKOUT BUILD CMAKE"""

import math
import os
import pathlib
import random
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile

checkout, build, cmake = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve(), sys.argv[3]
temporary = tempfile.TemporaryDirectory()
home = pathlib.Path(temporary.name)
prefix = home / ".local"
examples = checkout / "apps" / "examples"
drive = checkout / "data" / "demo" / "drive"
sweep_s = "0.153846"  # the demonstration's robot.yaml

try:
    import numpy
except ImportError:
    numpy = None
    print("without numpy: the Python module was not tried")


def said(*command, status=0, **more):
    done = subprocess.run([str(word) for word in command], capture_output=True, text=True, **more)
    if done.returncode != status:
        sys.exit(f"{command}: status {done.returncode}\n{done.stdout[-2000:]}{done.stderr[-2000:]}")
    return done.stdout if status == 0 else done.stderr


def expect(right, what):
    if not right:
        sys.exit(f"library_check.py: {what}")


said(cmake, "--install", build, "--prefix", prefix)
wainscot = prefix / "bin" / "wainscot"
library = next(prefix.rglob("libwainscot.so.1"))
expect((library.parent / "libwainscot.a").is_file(), "no static library")
environment = {**os.environ, "PYTHONPATH": str(prefix / "lib/python3/dist-packages")}

# Nothing is seen from outside but what the header declares.
names = [line.split() for line in said("nm", "-D", "--defined-only", library).splitlines()]
functions = {words[2].split("@@")[0] for words in names if words[1] == "T"}
declared = set(re.findall(r"\b(wainscot_\w+)\(", (checkout / "apps/library/wainscot.h").read_text()))
expect(functions == declared, f"seen from outside: {sorted(functions)}")
expect(all("@@WAINSCOT_1" in words[2] for words in names if words[1] == "T"), "a function without a version")

# The headers are C and C++, of these standards.
flags = [f"-I{prefix / 'include'}", f"-L{library.parent}", "-lwainscot", f"-Wl,-rpath,{library.parent}"]
warnings = ["-Wall", "-Wextra", "-Wshadow", "-Wconversion", "-pedantic", "-Werror"]
(home / "header.c").write_text("#include <wainscot.h>\nint main(void) { return wainscot_version() == 0; }\n")
(home / "header.cpp").write_text("#include <wainscot.hpp>\nint main() { return wainscot_version() == nullptr; }\n")
said("cc", "-std=c99", *warnings, home / "header.c", *flags, "-o", home / "header")
for standard in ("c++17", "c++20"):
    said("c++", f"-std={standard}", *warnings, home / "header.cpp", *flags, "-o", home / "header")
said(home / "header")
said("c++", "-std=c++17", *warnings, checkout / "tests/apps/library/interface_check.cpp", *flags, "-o", home / "interface")

# By CMake in a tree of its own, shared and static.
shutil.copytree(examples, home / "examples")
for kind, static in (("shared", "OFF"), ("static", "ON")):
    said(cmake, "-S", home / "examples", "-B", home / kind, f"-DCMAKE_PREFIX_PATH={prefix}", f"-DWITH_STATIC_LIBRARY={static}",
         f"-DCMAKE_C_FLAGS={' '.join(warnings)}", f"-DCMAKE_CXX_FLAGS={' '.join(warnings)}")
    said(cmake, "--build", home / kind)
needed = said("readelf", "-d", home / "static" / "where", home / "static" / "where_c")
expect("libwainscot" not in needed, "the static examples need the shared library")

# By pkg-config where it is there.
if shutil.which("pkg-config"):
    found_by = {**os.environ, "PKG_CONFIG_PATH": str(next(prefix.rglob("wainscot.pc")).parent)}
    words = said("pkg-config", "--cflags", "--libs", "wainscot", env=found_by).split()
    said("cc", "-std=c99", *warnings, examples / "where.c", *words, "-o", home / "where")
    words = said("pkg-config", "--static", "--cflags", "--libs", "wainscot", env=found_by).split()
    words = [word.replace("-lwainscot", "-l:libwainscot.a") for word in words]
    said("cc", "-std=c99", *warnings, examples / "where.c", *words, "-o", home / "where")
    said(home / "where", home / "none", drive, status=2)


def ways(job):
    """The commands of an example, by language."""
    kinds = {"C++": [home / "shared" / job], "C": [home / "shared" / f"{job}_c"], "static": [home / "static" / job]}
    if numpy:
        kinds["Python"] = [sys.executable, "-B", examples / f"{job}.py"]
    return kinds


def all_say(job, *words):
    """What an example says in every language: the same."""
    answers = {kind: said(*command, *words, env=environment) for kind, command in ways(job).items()}
    for kind, answer in answers.items():
        expect(answer == answers["C++"], f"{job} says in {kind}:\n{answer}and in C++:\n{answers['C++']}")
    return answers["C++"]


def all_refuse(job, *words):
    """The one line with which an example refuses, in C++."""
    for kind, command in ways(job).items():
        line = said(*command, *words, status=1 if kind == "Python" else 2, env=environment)
        expect(line.count("\n") == 1 and "Traceback" not in line, f"{job} refuses in {kind} with:\n{line}")
        yield line


def bytes_of(folder):
    return {file.name: file.read_bytes() for file in folder.iterdir()}


# A map from a drive.
house = home / "map"
said(wainscot, "build", drive, "--out", house, "--quiet")
for kind, command in ways("map_a_drive").items():
    made = home / "made"
    lines = said(*command, drive, made, env=environment).splitlines()
    expect(bytes_of(made) == bytes_of(house), f"the map made by {kind} is another than that of wainscot build")
    expect(lines[0] == "  0 % reading" and lines[-1] == f"written to {made}" and len(lines) > 5, f"{kind} says {lines}")
    again = said(*command, drive, made, status=1 if kind == "Python" else 2, env=environment)
    expect(str(made) in again, f"{kind} writes over a map: {again}")
    shutil.rmtree(made)
(home / "empty").mkdir()
said(home / "interface", house, drive, home / "empty")

# Where the robot is, against the command, scan for scan.
answers = all_say("where", house, drive, sweep_s).splitlines()
for refused in all_refuse("where", home / "none", drive):
    expect(str(home / "none") in refused, refused)
table = said(wainscot, "locate", house, drive, "--as-driving", "--quiet").splitlines()[1:]
expect(len(table) - len(answers) < 5, f"{len(answers)} answers for {len(table)} scans")
found = 0
for row, line in zip(table, answers):
    time_s, x_m, y_m, heading_rad, *_, answer = row.split(",")
    numbers = re.findall(r"-?\d+\.\d+", line)
    expect(abs(float(numbers[0]) - float(time_s)) < 0.01, f"{line} at {time_s} s")
    if answer != "found" or len(numbers) < 5:
        continue
    found += 1
    for mine, other in zip(numbers[1:4], (x_m, y_m, heading_rad)):
        expect(abs(float(mine) - float(other)) < 0.01, f"{line} against {row}")
expect(found > 0.9 * len(table), f"{found} of {len(table)} scans found by both")

# Walls and floor, against graph.sqlite and grid.pgm read here.
with sqlite3.connect(house / "graph.sqlite") as database:
    pieces = database.execute("SELECT x_m, y_m, normal_rad, half_length_m FROM wall_pieces").fetchall()
database.close()


def wall_distance_m(x_m, y_m):
    """To the nearest piece of wall in the database; some may have been seen free since, so no library's is less."""
    nearest = math.inf
    for middle_x, middle_y, normal, half in pieces:
        dx, dy = x_m - middle_x, y_m - middle_y
        across = dx * math.cos(normal) + dy * math.sin(normal)
        beyond = max(abs(dy * math.cos(normal) - dx * math.sin(normal)) - half, 0.0)
        nearest = min(nearest, math.hypot(across, beyond))
    return nearest


sidecar = dict(re.findall(r"(\w+): (-?[\d.]+)", (house / "grid.yaml").read_text()))
cell_m, columns, rows = float(sidecar["cell_size_m"]), int(sidecar["columns"]), int(sidecar["rows"])
corner = re.search(r"lower_left_corner: *\{?\s*x_m: (-?[\d.]+),?\s*y_m: (-?[\d.]+)", (house / "grid.yaml").read_text())
left_m, low_m = float(corner[1]), float(corner[2])
levels = (house / "grid.pgm").read_bytes()[-columns * rows:]


def floor_at(x_m, y_m):
    column, row = math.floor((x_m - left_m) / cell_m), math.floor((y_m - low_m) / cell_m)
    level = levels[(rows - 1 - row) * columns + column]
    occupied = 1.0 - level / 255.0
    return "occupied" if occupied > 0.5999 else "free" if occupied < 0.4001 and level != 128 else "unknown"


random.seed(1)
points = [(left_m + random.random() * columns * cell_m, low_m + random.random() * rows * cell_m) for _ in range(400)]
kinds = {"free": 0, "occupied": 0, "unknown": 0}
for x_m, y_m in points[:8]:
    floor, wall_m = re.match(r"(\w+), the nearest wall (\d+\.\d+) m away", all_say("nearest_wall", house, x_m, y_m)).groups()
    expect(floor == floor_at(x_m, y_m), f"({x_m}, {y_m}) is {floor}, and in grid.pgm {floor_at(x_m, y_m)}")
    expect(float(wall_m) > wall_distance_m(x_m, y_m) - 0.001, f"({x_m}, {y_m}) is {wall_m} m from a wall")
if numpy:
    sys.dont_write_bytecode = True
    sys.path.insert(0, environment["PYTHONPATH"])
    import wainscot as module

    xs, ys = numpy.array(points).T
    opened = module.Map(house)
    floors, walls = opened.floor_at(xs, ys), opened.wall_distance_m(xs, ys)
    expected = numpy.array([wall_distance_m(x_m, y_m) for x_m, y_m in points])
    expect((walls > expected - 1e-6).all() and (walls < expected + 1e-6).mean() > 0.9, "walls are elsewhere than in graph.sqlite")
    for (x_m, y_m), floor in zip(points, floors):
        expect(floor == floor_at(x_m, y_m), f"({x_m}, {y_m}) is {floor}, and in grid.pgm {floor_at(x_m, y_m)}")
        kinds[floor] += 1
    expect(min(kinds.values()) > 5, f"of {len(points)} points {kinds}")

    # What a progress function raises comes out, and nothing was written.
    def interrupt(stage, fraction):
        raise KeyboardInterrupt

    try:
        module.build_map(drive, home / "made", interrupt)
        sys.exit("library_check.py: Ctrl-C was swallowed")
    except KeyboardInterrupt:
        expect(not (home / "made").exists(), "something was left")

    # By the library's own name.
    by_name = {**environment, "WAINSCOT_LIBRARY": str(library)}
    said(sys.executable, "-B", examples / "nearest_wall.py", house, 0, 0, env=by_name)

# A map of an older form names the command that renews it, and that does.
old = home / "an old map"
shutil.copytree(house, old)
with sqlite3.connect(old / "graph.sqlite") as database:
    database.execute("PRAGMA user_version = 1")
database.close()
refusals = [*all_refuse("nearest_wall", old, 0, 0), said(wainscot, "locate", old, drive, "--quiet", status=2)]
for refused in refusals:
    expect("is of an older form (1)" in refused, refused)
renewal = re.search(r"wainscot (build DRIVE --out .* --replace)$", refusals[0].strip())[1]
said("sh", "-c", f"{wainscot} {renewal.replace('DRIVE', str(drive))} --quiet")
expect(bytes_of(old) == bytes_of(house), "the renewed map is another")
# What apps/USING.md says to do, word for word, after the installing; what needs a package that is not here aside.
guide = (checkout / "apps" / "USING.md").read_text()
section = guide[guide.index("**In your robot's own program.**"):guide.index("### Extending")]
lines = [line.strip() for line in section.splitlines() if line.startswith("    ")]
expect(lines[0] == "cmake --build build --target wainscot library library_static && cmake --install build --prefix ~/.local",
       f"the guide begins with {lines[0]}")
lines = [re.sub(r"\bpython3 ", f"{sys.executable} ", line) for line in lines[1:]
         if (numpy or "python3" not in line) and (shutil.which("pkg-config") or "pkg-config" not in line)]
expect(len(lines) > 3, "the guide's lines were not found")
work = home / "work"
work.mkdir()
(work / "apps").symlink_to(checkout / "apps")
shutil.copytree(drive, work / "my-drive")
said("sh", "-e", "-c", "\n".join(lines), cwd=work, env={**os.environ, "HOME": str(home), "PYTHONDONTWRITEBYTECODE": "1"})
print(f"{len(answers)} answers, {found} found as the command finds them")
