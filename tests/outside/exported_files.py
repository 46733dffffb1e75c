"""What `wainscot export` writes of the demonstration's map, read back by programs that know nothing of wainscot: world files and images
by GDAL (gdalinfo, gdal_translate), the DXF by OGR (ogr2ogr), the SVG by xmllint and rsvg-convert, the TIFF by libtiff's tiffinfo, the
16-bit PGM by netpbm; clearances by scipy.ndimage.distance_transform_edt; the walls against the plan that the drive was simulated from.

  exported_files.py CHECKOUT WAINSCOT"""

import csv
import json
import math
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import numpy
import yaml
from scipy.ndimage import distance_transform_edt
from values import expect

readers = {"gdalinfo": "gdal-bin", "gdal_translate": "gdal-bin", "ogr2ogr": "gdal-bin", "xmllint": "libxml2-utils",
           "rsvg-convert": "librsvg2-bin", "pngtopnm": "netpbm", "pamtopnm": "netpbm", "tiffinfo": "libtiff-tools"}
missing = sorted({package for program, package in readers.items() if not shutil.which(program)})
if missing:
    print(f"skipped: {', '.join(missing)} not installed; sh apps/install_packages.sh tests installs it")
    sys.exit(77)

checkout, wainscot = pathlib.Path(sys.argv[1]).resolve(), sys.argv[2]
temporary = tempfile.TemporaryDirectory()
home = pathlib.Path(temporary.name)


def run(*command, **options):
    return subprocess.run([str(word) for word in command], check=True, capture_output=True, **options).stdout


run(wainscot, "build", checkout / "data/demo/drive", "--out", home / "map", "--quiet")
(home / "sidecar.txt.template").write_text("{{image}} {{ cell_size_m }} {{columns}}x{{rows}} {{corner_x_m}};{{corner_y_m}} "
                                           "{{heading_deg}} {{occupied_level}}/{{free_level}}/{{unseen_level}} {x} }}\n")
run(wainscot, "export", home / "map", "--out", home / "png")
run(wainscot, "export", home / "map", "--out", home / "tif", "--image", "tif", "--levels", "10,240,100", "--clearance", "tif",
    "--template", home / "sidecar.txt.template")
run(wainscot, "export", home / "map", "--out", home / "pgm", "--image", "pgm", "--levels", "240,20,255", "--clearance", "pgm")

sidecar = yaml.safe_load((home / "map/grid.yaml").read_text())
cell, columns, rows = sidecar["cell_size_m"], sidecar["columns"], sidecar["rows"]
corner = sidecar["lower_left_corner"]
grid = numpy.frombuffer((home / "map/grid.pgm").read_bytes()[-columns * rows:], numpy.uint8).reshape(rows, columns)


def pixels(file, kind):
    """GDAL's values of an image, the top row first, after a look at where it puts the image."""
    said = json.loads(run("gdalinfo", "-json", file))
    expect(said["size"] == [columns, rows], f"{file}: {said['size']}")
    wanted = [corner["x_m"], cell, 0, corner["y_m"] + rows * cell, 0, -cell]
    expect(numpy.allclose(said["geoTransform"], wanted, atol=1e-9), f"{file}: {said['geoTransform']} instead of {wanted}")
    raw = home / "raw.bin"
    run("gdal_translate", "-q", "-of", "ENVI", file, raw)
    return numpy.fromfile(raw, kind).reshape(rows, columns)


def levels(occupied, free, unseen):
    exact = occupied + (free - occupied) * (grid / 255.0)
    level = numpy.floor(exact + 0.5)
    level[level == unseen] += -1 if occupied < unseen else 1
    level[grid == 128] = unseen
    return level


for file, wanted in (("png/map.png", levels(0, 255, 128)), ("tif/map.tif", levels(10, 240, 100)), ("pgm/map.pgm", levels(240, 20, 255))):
    off = numpy.abs(pixels(home / file, numpy.uint8) - wanted)
    # grid.pgm has p in steps of 1/255 only, and a half may round either way.
    expect(off.max() <= 1 and (off > 0).mean() < 0.001, f"{file}: {off.max()}")
    expect(((pixels(home / file, numpy.uint8) == wanted.flat[numpy.argmax(grid == 128)]) == (grid == 128)).all(), f"{file}: unseen")
filled = (home / "tif/sidecar.txt").read_text()
expect(filled == f"map.tif {cell} {columns}x{rows} {corner['x_m']:g};{corner['y_m']:g} 0 10/240/100 {{x}} }}}}\n", filled)

# Clearances. Level 127 is the first at least half probable (grid.yaml).
distance = cell * distance_transform_edt(grid > 127)
found = pixels(home / "tif/clearance.tif", numpy.float32)
expect((numpy.isnan(found) == (grid == 128)).all(), "unseen cells have no distance")
seen = grid != 128
expect(numpy.abs(found - distance)[seen].max() < 1e-4, f"clearance off by {numpy.abs(found - distance)[seen].max()} m")
expect(distance[seen].max() > 1, "somewhere the robot is more than a metre from a wall")
said = run("tiffinfo", home / "tif/clearance.tif", text=True)
expect("Bits/Sample: 32" in said and "IEEE floating point" in said, said)
plain = run("pamtopnm", "-plain", home / "pgm/clearance.pgm", text=True).split()
expect(plain[:4] == ["P2", str(columns), str(rows), "65535"], str(plain[:4]))
whole = numpy.array([int(word) for word in plain[4:]]).reshape(rows, columns)
expect((whole[~seen] == 65535).all() and numpy.abs(whole - 1000 * distance)[seen].max() <= 0.51, "clearance in millimetres")
pixels(home / "pgm/clearance.pgm", numpy.uint16)
for kind, unit in (("tif", 1), ("pgm", 0.001)):
    beside = yaml.safe_load((home / kind / "clearance.yaml").read_text())
    expect(beside["wainscot_clearance"] == 1 and beside["level_m"] == unit and beside["raster"] == f"clearance.{kind}", str(beside))
    expect(beside["lower_left_corner"] == corner and "lidar" in beside["caution"], str(beside))

# Walls: the table, the DXF and the SVG say the same.
table = list(csv.DictReader(line for line in (home / "png/walls.csv").read_text().splitlines() if not line.startswith("#")))
walls = numpy.array([[float(row[key]) for key in ("x1_m", "y1_m", "x2_m", "y2_m")] for row in table])
expect(len(walls) > 60, f"{len(walls)} walls")
features = json.loads(run("ogr2ogr", "-f", "GeoJSON", "/vsistdout/", home / "png/plan.dxf"))["features"]
by_layer = {}
for feature in features:
    by_layer.setdefault(feature["properties"]["Layer"], []).append(feature)
expect(set(by_layer) == {"walls", "path", "axes", "notes"}, str(set(by_layer)))
drawn = numpy.array([numpy.array(feature["geometry"]["coordinates"])[:, :2].flatten() for feature in by_layer["walls"]])
expect(drawn.shape == walls.shape and numpy.abs(drawn - walls).max() < 1e-4, "walls of the DXF")
trajectory = numpy.array([[float(row["x_m"]), float(row["y_m"])] for row in csv.DictReader((home / "map/trajectory.csv").open())])
(path,) = by_layer["path"]
ends = numpy.array(path["geometry"]["coordinates"])[[0, -1], :2]
expect(numpy.abs(ends - trajectory[[0, -1]]).max() < 1e-3, f"ends of the path {ends}")
axes = sorted([point[:2] for point in feature["geometry"]["coordinates"]] for feature in by_layer["axes"])
expect(axes == [[[0, 0], [0, 0.6]], [[0, 0], [0.6, 0]]], f"axes {axes}")
heights = [feature["geometry"]["coordinates"][1] for feature in by_layer["notes"]]
expect(max(heights) < walls[:, [1, 3]].min(), f"notes at {heights} are below the plan")
texts = " ".join(feature["properties"]["Text"] for feature in by_layer["notes"])
expect("metres" in texts and "A 2D lidar sees one plane only" in texts and "Simulated" in texts, texts)
expect("\n$INSUNITS\n 70\n6\n" in (home / "png/plan.dxf").read_text(), "the unit of the DXF is the metre")

svg = home / "png/plan.svg"
run("xmllint", "--noout", svg)
data = run("xmllint", "--xpath", "//*[local-name()='g'][@id='walls']/*[@class='wall']/@d", svg, text=True)
lines = numpy.array([[float(word) for word in re.findall(r"-?[0-9.]+", line)] for line in re.findall(r'd="([^"]*)"', data)])
expect(lines.shape == walls.shape and numpy.abs(lines - walls).max() < 1e-4, "walls of the SVG")
box = [float(word) for word in re.search(r'viewBox="([^"]*)"', svg.read_text())[1].split()]
width_mm = float(re.search(r'width="([0-9.]+)mm"', svg.read_text())[1])
expect(abs(width_mm - 20 * box[2]) < 0.01, "a metre is 20 mm at 1:50")
picture = run("pngtopnm", input=run("rsvg-convert", "--width", "2000", svg))
_, size, _, raster = picture.split(b"\n", 3)
wide, high = (int(word) for word in size.split())
image = numpy.frombuffer(raster, numpy.uint8).reshape(high, wide, -1).mean(2)
long_walls = [wall for wall in walls if math.hypot(wall[2] - wall[0], wall[3] - wall[1]) > 0.5]
for x1, y1, x2, y2 in long_walls:
    column = int(((x1 + x2) / 2 - box[0]) / box[2] * wide)
    row = int((-(y1 + y2) / 2 - box[1]) / box[3] * high)
    expect(image[row - 1:row + 2, column - 1:column + 2].min() < 100, f"no wall drawn at pixel {column}, {row}")
expect((image > 230).mean() > 0.9, "most of the plan is light")

# Every long line is a face of the plan (plan.yaml: middles of walls and thicknesses, boxes), seen from where the robot began (truth.csv).
plan = yaml.safe_load((checkout / "data/demo/plan.yaml").read_text())
with open(checkout / "data/demo/drive/truth.csv") as truth:
    start = next(csv.DictReader(line for line in truth if not line.startswith("#")))
turn = float(start["heading_rad"])
rotation = numpy.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
start = numpy.array([float(start["x_m"]), float(start["y_m"])])
faces = []
for wall in plan["walls"]:
    a, b = numpy.array(wall["from"], float), numpy.array(wall["to"], float)
    normal = numpy.array([a[1] - b[1], b[0] - a[0]]) / numpy.linalg.norm(b - a)
    faces += [(a + side * wall["thickness_m"] / 2 * normal, b + side * wall["thickness_m"] / 2 * normal) for side in (-1, 1)]
    for opening in wall.get("openings", []):
        if "leaf" not in opening:
            continue
        # An open door: a board from its hinge.
        at_start = opening["leaf"]["hinge"] == "start"
        along = (b - a) / numpy.linalg.norm(b - a)
        hinge = a + (opening["at_m"] + (-0.5 if at_start else 0.5) * opening["width_m"]) * along
        away = math.radians(opening["leaf"]["open_deg"])
        to_side = normal if opening["leaf"]["swings"] == "left" else -normal
        closed = along if at_start else -along
        faces.append((hinge, hinge + opening["width_m"] * (math.cos(away) * closed + math.sin(away) * to_side)))
for thing in plan["furniture"]:
    if thing["shape"] == "box":
        angle = math.radians(thing["heading_deg"])
        along = thing["length_m"] / 2 * numpy.array([math.cos(angle), math.sin(angle)])
        across = thing["width_m"] / 2 * numpy.array([-math.sin(angle), math.cos(angle)])
        ring = [numpy.array(thing["centre"]) + u * along + v * across for u, v in ((1, 1), (-1, 1), (-1, -1), (1, -1))]
        faces += list(zip(ring, ring[1:] + ring[:1]))


def off_face(ends, face):
    """The greater distance of the two ends from the face, and from its two ends where they lie beyond."""
    a, b = face
    along = (b - a) / numpy.linalg.norm(b - a)
    s = numpy.clip((ends - a) @ along, -0.2, numpy.linalg.norm(b - a) + 0.2)
    return numpy.linalg.norm(ends - a - numpy.outer(s, along), axis=1).max()


# The frames agree at the start only, so the map's own error far from it is in this too.
worst, count = 0.0, 0
for wall in walls:
    ends = wall.reshape(2, 2) @ rotation.T + start
    if numpy.linalg.norm(ends[1] - ends[0]) < 1.0:
        continue
    count += 1
    off = min(off_face(ends, face) for face in faces)
    expect(off < 0.03, f"the wall from {ends[0]} to {ends[1]} is {off:.3f} m from any face of the plan")
    worst = max(worst, off)
expect(count > 20, f"{count} long walls")
print(f"{len(walls)} walls; {count} longer than 1 m lie within {1000 * worst:.0f} mm of the plan's faces (simulated)")
