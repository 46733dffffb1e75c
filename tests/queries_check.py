"""Runs every SQL query of io/FORMATS.md with Python's sqlite3 on the demonstration's map and compares the answers with the other files of
the map: queries_check.py CHECKOUT WAINSCOT."""

import csv
import json
import pathlib
import re
import sqlite3
import subprocess
import sys
import tempfile

checkout, wainscot = pathlib.Path(sys.argv[1]).resolve(), sys.argv[2]
formats = (checkout / "io/FORMATS.md").read_text()
queries = re.findall(r"```sql\n(.*?)```", formats, re.S)
assert len(queries) == 6, f"{len(queries)} queries"
folder = tempfile.TemporaryDirectory()
home = pathlib.Path(folder.name) / "map"
subprocess.run([wainscot, "build", str(checkout / "data/demo/drive"), "--out", str(home), "--quiet"], check=True)
database = sqlite3.connect(home / "graph.sqlite")
answers = [database.execute(query).fetchall() for query in queries]
summary = json.loads((home / "summary.json").read_text())
print(*zip(queries, answers), sep="\n")

# Every table and column of the schema is in the document, each column within its table's row.
for (table,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
    (row,) = re.findall(rf"^\| `{table}` \|.*$", formats, re.M)
    for column in database.execute(f"PRAGMA table_info({table})").fetchall():
        assert f"`{column[1]}`" in row, f"{table}.{column[1]} is not described"

why, moved, uncertain, constants, width, little = answers
assert sum(row[2] for row in why) == database.execute("SELECT count(*) FROM candidates").fetchone()[0]
accepted = sum(row[2] for row in why if row[0] == "accepted")
assert 0 < accepted == database.execute("SELECT count(*) FROM edges WHERE kind = 'closure'").fetchone()[0]
assert len(moved) == min(5, accepted)
assert all(first != again for first, again, _ in moved)
assert [row[2] for row in moved] == sorted((row[2] for row in moved), reverse=True)
with open(home / "trajectory.csv", newline="") as table:
    path = [{key: float(value) for key, value in row.items()} for row in csv.DictReader(table)]
for node, time_s, x_m, y_m, sd_mm in uncertain:
    pose = min(path, key=lambda row: abs(row["time_s"] - time_s))
    assert abs(pose["x_m"] - x_m) < 0.05 and abs(pose["y_m"] - y_m) < 0.05, f"node {node} does not lie on the path"
    assert 0 < sd_mm < 100
assert {row[0] for row in constants} == {row["name"] for row in summary["constants"] if row["observed"]}
# data/demo/plan.yaml and truth.csv: the start is at (3.6, 1.6) m; the outer wall's face to the south lies at y = 0.14 m, the book shelf's
# to the north at 4.53 - 0.16 m.
assert len(width) == 1 and abs(width[0][0] - (4.37 - 0.14)) < 0.02, f"{width} instead of 4.23 m"
assert [row[4] for row in little] == sorted(row[4] for row in little)
least = min(len(blob) // 12 for (blob,) in database.execute("SELECT points FROM scans").fetchall())
assert little[0][4] == least
