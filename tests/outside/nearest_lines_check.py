"""The line that a return is paired with, against all candidates that scipy.spatial.cKDTree finds around it (S. Maneewongvatana,
D. M. Mount, "Analysis of approximate nearest neighbor searching with clustered point sets", 1999)."""

import math

import numpy
from scipy.spatial import cKDTree
from values import expect, values

data = values("nearest_lines")
lines = data["lines"]
tree = cKDTree([line["anchor"] for line in lines])
half, gate = data["half_length_m"], data["gate_m"]


def cost(line, point, normal):
    """What pairing costs, as scanmatch/line_map.hpp describes it; None where the line is no candidate."""
    n = numpy.array(line["normal"])
    away = point - numpy.array(line["anchor"])
    along = n[1] * away[0] - n[0] * away[1]
    if n @ normal < data["normal_cosine"] or not line["first_along_m"] - half <= along <= line["last_along_m"] + half:
        return None
    # Perpendicular to the fitted line, across = offset + slope * along.
    distance = abs(n @ away - line["offset_m"] - line["slope"] * along) / math.hypot(1.0, line["slope"])
    return distance + 0.25 * max(0.0, abs(along) - half)


paired = 0
for query in data["queries"]:
    point, normal = numpy.array(query["point"]), numpy.array(query["normal"])
    # A line is as long as its returns: half_length to both sides of its anchor, and found as far beyond them.
    costs = {i: cost(lines[i], point, normal) for i in tree.query_ball_point(point, 2 * half + 2 * gate)}
    costs = {i: c for i, c in costs.items() if c is not None and c < gate}
    expected = min(costs, key=costs.get) if costs else -1
    found = query["found"]
    same = found == expected or (found in costs and abs(costs[found] - costs[expected]) < 1e-12)
    expect(same, f"at {point}: line {found} was found, {expected} is nearer ({costs})")
    paired += found >= 0
print(f"{len(data['queries'])} queries among {len(lines)} lines, {paired} paired, all as by cKDTree")
expect(paired > 200, "too few queries have a partner to say anything")
