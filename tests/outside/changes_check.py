"""Odd values and changes of a constant over drives, against numpy, scipy.stats.t, and the fits
and uncertainties of scipy.optimize.curve_fit (SciPy reference guide)."""

import numpy as np
import scipy.optimize
import scipy.stats
from values import expect, values


def upper_median(numbers):
    return np.sort(numbers)[len(numbers) // 2]


def odd_ones(found, sd, false_alarm):
    count = len(found)
    off = np.abs(found - upper_median(found))
    shared = upper_median(off) ** 2 / 0.6745 ** 2 * (1 + np.pi / 2 / count)
    variance = shared + sd ** 2
    degrees = 0.3674 * (count - 1) * variance ** 2 / shared ** 2
    limit = np.maximum(3.5, scipy.stats.t.isf(false_alarm / 2, degrees))
    return list(np.flatnonzero(off > limit * np.sqrt(variance)))


def fit(model, x, found, sd):
    best, covariance = scipy.optimize.curve_fit(model, x, found, p0=[0.3, 0.0], sigma=sd, absolute_sigma=True)
    left = np.sum(((found - model(x, *best)) / sd) ** 2)
    return best, np.sqrt(covariance[1, 1] * max(1.0, left / (len(x) - 2)))


worst = 0.0
kinds = [0, 0, 0]
for row in values("changes"):
    found, own = np.array(row["values"]).T
    steps = np.diff(found)
    spread = upper_median(np.abs(steps - upper_median(steps))) / 0.6745 / np.sqrt(2)
    sd = np.hypot(own, spread)
    x = np.arange(len(found), dtype=float)
    expect(abs(row["middle"] - upper_median(found)) < 1e-12, "medians differ")
    expect(row["odd"] == odd_ones(found, own, 0.001), "odd values differ")
    kinds[row["kind"]] += 1
    if row["kind"] == 0:
        continue
    shape = x if row["kind"] == 1 else (x >= row["first"]).astype(float)
    (start, change), change_sd = fit(lambda at, a, b: a + b * at, shape, found, sd)
    reach = shape[-1]
    for ours, theirs in ((row["before"], start), (row["after"], start + change * reach), (row["sd"], change_sd * reach)):
        worst = max(worst, abs(ours / theirs - 1.0))
print(f"{kinds[0]} series that stay, {kinds[1]} that drift, {kinds[2]} that step; largest relative difference {worst:.1e}")
expect(min(kinds) >= 10, "too few series of a kind")
expect(worst < 1e-5, "fits differ from scipy.optimize.curve_fit")
