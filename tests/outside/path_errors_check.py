"""Errors of a path against numpy and scipy: interpolation by scipy.linalg's matrix exponential and logarithm, alignment by the
singular value decomposition (S. Umeyama, IEEE PAMI 13(4), 1991), absolute and relative trajectory errors as J. Sturm et al., "A
benchmark for the evaluation of RGB-D SLAM systems", IROS 2012, the relation metric of R. Kuemmerle et al., "On measuring the
accuracy of SLAM algorithms", Autonomous Robots 27(4), 2009, and drift rates by numpy.linalg.lstsq."""

import math

import numpy
from scipy.linalg import expm, logm
from values import expect, values

data = values("path_errors")
found, options = dict(data["figures"]), data["options"]


def matrix(pose):
    x, y, h = pose
    return numpy.array([[math.cos(h), -math.sin(h), x], [math.sin(h), math.cos(h), y], [0, 0, 1]])


def heading(m):
    return math.atan2(m[1, 0], m[0, 0])


times = numpy.array([row[0] for row in data["truth"]])
truth_rows = [matrix(row[1]) for row in data["truth"]]
estimate, truth = [], []
for time, pose in data["estimate"]:
    after = int(numpy.searchsorted(times, time))
    if after == 0 or after == len(times):
        continue
    before = truth_rows[after - 1]
    u = (time - times[after - 1]) / (times[after] - times[after - 1])
    estimate.append(matrix(pose))
    truth.append(before @ expm(u * numpy.real(logm(numpy.linalg.inv(before) @ truth_rows[after]))))
count = len(estimate)
checked = 0


def agree(name, value, tolerance=1e-8):
    global checked
    checked += 1
    expect(abs(found.pop(name) - value) < tolerance, f"{name}: {data['figures'][name]} instead of {value}")


e = numpy.array([m[:2, 2] for m in estimate])
t = numpy.array([m[:2, 2] for m in truth])
e0, t0 = e - e.mean(0), t - t.mean(0)
u, s, vt = numpy.linalg.svd(t0.T @ e0)
sign = numpy.diag([1, numpy.linalg.det(u @ vt)])
rotation = u @ sign @ vt
errors = numpy.linalg.norm(e0 @ rotation.T - t0, axis=1)
turn = math.atan2(rotation[1, 0], rotation[0, 0])
headings = numpy.array([math.remainder(turn + heading(a) - heading(b), 2 * math.pi) for a, b in zip(estimate, truth)])
agree("poses", count)
agree("poses_outside", len(data["estimate"]) - count)
agree("position_rmse_m", math.sqrt((errors**2).mean()))
agree("position_median_m", numpy.median(errors))
agree("position_max_m", errors.max())
agree("heading_rmse_rad", math.sqrt((headings**2).mean()))
agree("heading_max_rad", abs(headings).max())
scale = (s * numpy.diag(sign)).sum() / (e0**2).sum()
agree("scale", scale)
agree("with_scale_position_rmse_m", math.sqrt((numpy.linalg.norm(scale * e0 @ rotation.T - t0, axis=1) ** 2).mean()))


def relation_errors(pairs):
    """Lengths and turns of inverse(true relation) times estimated relation."""
    result = []
    for i, j in pairs:
        relation = numpy.linalg.inv(numpy.linalg.inv(truth[i]) @ truth[j]) @ numpy.linalg.inv(estimate[i]) @ estimate[j]
        result.append((numpy.linalg.norm(relation[:2, 2]), abs(heading(relation))))
    return numpy.array(result)


step_turns = [math.remainder(heading(b) - heading(a), 2 * math.pi) for a, b in zip(truth, truth[1:])]
way = numpy.concatenate([[0], numpy.cumsum(numpy.linalg.norm(numpy.diff(t, axis=0), axis=1))])
turned = numpy.concatenate([[0], numpy.cumsum(numpy.abs(step_turns))])


def check_stretches(prefix, progress, length):
    ends = numpy.searchsorted(progress, progress + length - 1e-12)
    pairs = [(i, int(j)) for i, j in enumerate(ends) if j < count]
    off = relation_errors(pairs)
    agree(prefix + "_stretches", len(pairs))
    agree(prefix + "_position_rmse_m", math.sqrt((off[:, 0] ** 2).mean()))
    agree(prefix + "_position_median_m", numpy.median(off[:, 0]))
    agree(prefix + "_position_max_m", off[:, 0].max())
    agree(prefix + "_heading_rmse_rad", math.sqrt((off[:, 1] ** 2).mean()))
    agree(prefix + "_heading_max_rad", off[:, 1].max())


for length in (0.5, 1, 2, 5, 10, 20, 50):
    check_stretches(f"over_{length:g}_m", way, length)
check_stretches("over_turn", turned, 2 * math.pi)

places = [0]
for i in range(1, count):
    if way[i] - way[places[-1]] >= options["spacing_m"] or turned[i] - turned[places[-1]] >= options["spacing_rad"]:
        places.append(i)
again = []
for later in places:
    candidates = [p for p in places if p < later and way[later] - way[p] >= options["way_between_m"]]
    distances = [numpy.linalg.norm(t[p] - t[later]) for p in candidates]
    if distances and min(distances) < options["near_m"]:
        again.append((candidates[int(numpy.argmin(distances))], later))
expect(len(again) > 20, f"only {len(again)} places are seen again")
for name, pairs in (("along_way", list(zip(places, places[1:]))), ("seen_again", again)):
    off = relation_errors(pairs)
    agree(name + "_relations", len(pairs))
    for quantity, unit, column in (("position", "m", 0), ("heading", "rad", 1)):
        agree(f"{name}_{quantity}_mean_{unit}", off[:, column].mean())
        agree(f"{name}_{quantity}_sd_{unit}", off[:, column].std())
        agree(f"{name}_{quantity}_square_mean_{unit}2", (off[:, column] ** 2).mean())

rows, begin, moved, bent = [], numpy.zeros(4), 0.0, 0.0
for i in range(1, count):
    a = numpy.real(logm(numpy.linalg.inv(truth[i - 1]) @ truth[i]))
    b = numpy.real(logm(numpy.linalg.inv(estimate[i - 1]) @ estimate[i]))
    begin += [a[0, 2], a[1, 0], b[0, 2] - a[0, 2], b[1, 0] - a[1, 0]]
    moved += math.hypot(a[0, 2], a[1, 2])
    bent += abs(a[1, 0])
    if moved >= options["stretch_m"] or bent >= options["stretch_rad"]:
        rows.append(begin)
        begin, moved, bent = numpy.zeros(4), 0.0, 0.0
rows = numpy.array(rows)
agree("drift_way_m_per_m", numpy.linalg.lstsq(rows[:, :1], rows[:, 2], rcond=None)[0][0])
left, wide = numpy.linalg.lstsq(rows[:, :2], rows[:, 3], rcond=None)[0]
agree("drift_heading_rad_per_m", left)
agree("drift_heading_rad_per_turn", 2 * math.pi * wide)
expect(abs(wide - 0.01) < 0.001 and abs(left + 0.003) < 0.001, f"the drift put in is not found: {left}, {wide}")
expect(not found, f"figures without a check: {sorted(found)}")
print(f"{checked} figures of {count} poses as by numpy and scipy")
