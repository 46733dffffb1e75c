"""libwainscot as people get it: installed, found by CMake, pkg-config and Python, its examples built in a tree of their own and
run on the demonstration's map; what they say is what `wainscot locate --as-driving` says.

  library_check.py CHECKOUT BUILD CMAKE"""

import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

checkout, build, cmake = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).resolve(), sys.argv[3]
temporary = tempfile.TemporaryDirectory()
home = pathlib.Path(temporary.name)
prefix = home / "prefix"
examples = checkout / "apps" / "library" / "examples"
drive = checkout / "data" / "demo" / "drive"


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

# Nothing is seen from outside but what the header declares.
names = [line.split() for line in said("nm", "-D", "--defined-only", library).splitlines()]
functions = {words[2].split("@@")[0] for words in names if words[1] == "T"}
declared = set(re.findall(r"\b(wainscot_\w+)\(", (checkout / "apps/library/wainscot.h").read_text()))
expect(functions == declared, f"seen from outside: {sorted(functions)}")
expect(all("@@WAINSCOT_1" in words[2] for words in names if words[1] == "T"), "a function without a version")

# The header is C and C++.
(home / "header.c").write_text("#include <wainscot.h>\nint main(void) { return wainscot_version() == 0; }\n")
flags = [f"-I{prefix / 'include'}", f"-L{library.parent}", "-lwainscot", f"-Wl,-rpath,{library.parent}"]
warnings = ["-Wall", "-Wextra", "-pedantic", "-Werror"]
said("cc", "-std=c99", *warnings, home / "header.c", *flags, "-o", home / "header")
said("c++", "-x", "c++", *warnings, home / "header.c", "-x", "none", *flags, "-o", home / "header")
said(home / "header")

# By CMake in a tree of its own, by pkg-config where it is there.
shutil.copytree(examples, home / "examples")
said(cmake, "-S", home / "examples", "-B", home / "built", f"-DCMAKE_PREFIX_PATH={prefix}")
said(cmake, "--build", home / "built")
if shutil.which("pkg-config"):
    package = next(prefix.rglob("wainscot.pc")).parent
    words = said("pkg-config", "--cflags", "--libs", "wainscot", env={**os.environ, "PKG_CONFIG_PATH": str(package)})
    said("cc", "-std=c99", *warnings, examples / "where.c", *words.split(), "-o", home / "where")

said(wainscot, "build", drive, "--out", home / "map", "--quiet")
sweep_s = "0.153846"  # the demonstration's robot.yaml
where = home / "built" / "where"
by_c = said(where, home / "map", drive, sweep_s).splitlines()
environment = {**os.environ, "PYTHONPATH": str(prefix / "lib/python3/dist-packages")}
try:
    import numpy  # noqa: F401
except ImportError:
    print("without numpy: the Python module was not tried")
else:
    by_python = said(sys.executable, "-B", examples / "where.py", home / "map", drive, sweep_s, env=environment)
    expect(by_python.splitlines() == by_c, "the examples in C and Python differ")
    by_name = {**environment, "WAINSCOT_LIBRARY": str(library)}
    refused = said(sys.executable, "-B", examples / "where.py", home / "none", drive, status=1, env=by_name)
    expect("none" in refused and "Traceback" not in refused, f"Python says: {refused}")
refused = said(where, home / "none", drive, status=2)
expect("none" in refused and refused.count("\n") == 1, f"C says: {refused}")

# Against the command, scan for scan.
table = said(wainscot, "locate", home / "map", drive, "--as-driving", "--quiet").splitlines()[1:]
expect(len(table) - len(by_c) < 5, f"{len(by_c)} answers for {len(table)} scans")
found = 0
for row, line in zip(table, by_c):
    time_s, x_m, y_m, heading_rad, *_, answer = row.split(",")
    numbers = re.findall(r"-?\d+\.\d+", line)
    expect(abs(float(numbers[0]) - float(time_s)) < 0.01, f"{line} at {time_s} s")
    if answer != "found" or len(numbers) < 5:
        continue
    found += 1
    for mine, other in zip(numbers[1:4], (x_m, y_m, heading_rad)):
        expect(abs(float(mine) - float(other)) < 0.01, f"{line} against {row}")
expect(found > 0.9 * len(table), f"{found} of {len(table)} scans found by both")
print(f"{len(by_c)} answers, {found} found as the command finds them")
