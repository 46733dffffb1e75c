"""A map folder read back by programs that know nothing of wainscot: grid.pgm by netpbm's pamfile and pnmtoplainpnm,
grid.yaml by python3-yaml, graph.sqlite by sqlite3 with PRAGMA integrity_check, summary.json by Python."""

import json
import math
import pathlib
import subprocess
import sys
import tempfile

import yaml
from values import expect


def output(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


folder = pathlib.Path(tempfile.mkdtemp()) / "map"
subprocess.run([sys.argv[1], "map", str(folder)], check=True)

# The picture, as Netpbm reads it: the cells of write_small_map in reference_values.cpp, highest row first.
said = output("pamfile", str(folder / "grid.pgm"))
expect("PGM raw, 13 by 5" in said and "maxval 255" in said, said)
words = output("pnmtoplainpnm", str(folder / "grid.pgm")).split()
expect(words[:4] == ["P2", "13", "5", "255"], f"plain PGM begins with {words[:4]}")
levels = [int(word) for word in words[4:]]
expected = []
for row in reversed(range(5)):
    for cell in range(13 * row, 13 * row + 13):
        level = math.floor(255.0 * (1.0 - cell / 64.0) + 0.5)
        expected.append(128 if cell % 9 == 8 else 127 if level == 128 else level)
expect(levels == expected, f"levels {levels} instead of {expected}")

sidecar = yaml.safe_load((folder / "grid.yaml").read_text())
expect(sidecar["wainscot_map"] == 1, "version")
expect((sidecar["columns"], sidecar["rows"]) == (13, 5), "size")
expect(sidecar["cell_size_m"] == 0.05, "cell size")
corner = sidecar["lower_left_corner"]
expect(abs(corner["x_m"] + 0.15) < 1e-9 and abs(corner["y_m"] - 0.35) < 1e-9, f"corner {corner}")
expect(sidecar["levels"] == {"occupied": 0, "free": 255, "unseen": 128}, "levels")

database = str(folder / "graph.sqlite")
expect(output("sqlite3", database, "PRAGMA integrity_check").strip() == "ok", "integrity")
expect(output("sqlite3", database, "PRAGMA foreign_key_check").strip() == "", "foreign keys")
expect(output("sqlite3", database, "SELECT count(*) FROM nodes").strip() == "3", "nodes")

json.loads((folder / "summary.json").read_text())
print("grid.pgm, grid.yaml, graph.sqlite and summary.json read back")
