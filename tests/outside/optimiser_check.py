"""The pose graph's optimiser against scipy.optimize.least_squares (trust region reflective, with the analytic sparse
Jacobian; M. A. Branch, T. F. Coleman, Y. Li, SIAM J. Sci. Comput. 21, 1999), on the same graph. The residuals are
written anew here from their definition in graph/pose_graph.hpp."""

import time

import numpy
from scipy.optimize import least_squares
from scipy.sparse import coo_matrix
from values import expect, values

data = values("optimiser")
start = numpy.array(data["start"])
first = numpy.array([edge["from"] for edge in data["edges"]])
last = numpy.array([edge["to"] for edge in data["edges"]])
relative = numpy.array([edge["relative"] for edge in data["edges"]])
# information = root root^T, so |root^T e|^2 = e^T information e.
roots = numpy.linalg.cholesky(numpy.array([edge["information"] for edge in data["edges"]])).transpose(0, 2, 1)


def between(a, b):
    c, s = numpy.cos(a[:, 2]), numpy.sin(a[:, 2])
    d = b[:, :2] - a[:, :2]
    return numpy.stack([c * d[:, 0] + s * d[:, 1], -s * d[:, 0] + c * d[:, 1], b[:, 2] - a[:, 2]], axis=1)


def half_cotangent(h):
    """h/2 cot(h/2), the one function that the logarithm of SE(2) needs."""
    small = numpy.abs(h) < 1e-4
    safe = numpy.where(small, 1.0, h)
    return numpy.where(small, 1.0 - h**2 / 12.0, 0.5 * safe / numpy.tan(0.5 * safe))


def logarithm(p):
    h = numpy.remainder(p[:, 2] + numpy.pi, 2.0 * numpy.pi) - numpy.pi
    a = half_cotangent(h)
    return numpy.stack([a * p[:, 0] + 0.5 * h * p[:, 1], -0.5 * h * p[:, 0] + a * p[:, 1], h], axis=1)


def poses_of(x):
    return numpy.vstack([start[:1], x.reshape(-1, 3)])  # the first pose is fixed


def error_of(poses):
    return between(relative, between(poses[first], poses[last]))


def residuals(x):
    return numpy.einsum("nij,nj->ni", roots, logarithm(error_of(poses_of(x)))).ravel()


def jacobian(x):
    """By the chain rule through log, between and between."""
    poses = poses_of(x)
    error = error_of(poses)
    h = numpy.remainder(error[:, 2] + numpy.pi, 2.0 * numpy.pi) - numpy.pi
    a = half_cotangent(h)
    small = numpy.abs(h) < 1e-4
    safe = numpy.where(small, 1.0, h)
    slope = numpy.where(small, -h / 6.0, 0.5 / numpy.tan(0.5 * safe) - 0.25 * safe / numpy.sin(0.5 * safe) ** 2)
    zero, one = numpy.zeros_like(h), numpy.ones_like(h)
    log_by_error = numpy.array([[a, 0.5 * h, slope * error[:, 0] + 0.5 * error[:, 1]],
                                [-0.5 * h, a, slope * error[:, 1] - 0.5 * error[:, 0]],
                                [zero, zero, one]]).transpose(2, 0, 1)
    angle = poses[first, 2]
    c, s = numpy.cos(angle), numpy.sin(angle)
    d = poses[last, :2] - poses[first, :2]
    by_last = numpy.array([[c, s, zero], [-s, c, zero], [zero, zero, one]]).transpose(2, 0, 1)
    by_first = numpy.array([[-c, -s, -s * d[:, 0] + c * d[:, 1]],
                            [s, -c, -c * d[:, 0] - s * d[:, 1]],
                            [zero, zero, -one]]).transpose(2, 0, 1)
    c, s = numpy.cos(relative[:, 2]), numpy.sin(relative[:, 2])
    into_relative = numpy.array([[c, s, zero], [-s, c, zero], [zero, zero, one]]).transpose(2, 0, 1)
    outer = roots @ log_by_error @ into_relative
    rows, columns, entries = [], [], []
    for node, block in ((first, outer @ by_first), (last, outer @ by_last)):
        free = node > 0
        edge = numpy.arange(len(node))[free]
        r, c = numpy.meshgrid(numpy.arange(3), numpy.arange(3), indexing="ij")
        rows.append((3 * edge[:, None, None] + r).ravel())
        columns.append((3 * (node[free] - 1)[:, None, None] + c).ravel())
        entries.append(block[free].ravel())
    shape = (3 * len(first), 3 * (len(start) - 1))
    return coo_matrix((numpy.concatenate(entries), (numpy.concatenate(rows), numpy.concatenate(columns))), shape).tocsr()


x = start[1:].ravel()
step = 1e-6 * numpy.cos(numpy.arange(len(x)))
numeric = (residuals(x + step) - residuals(x - step)) / 2.0
expect(numpy.allclose(jacobian(x) @ step, numeric, rtol=1e-5, atol=1e-7), "this check's own Jacobian is wrong")

seconds = numpy.inf
for _ in range(3):
    begin = time.perf_counter()
    solution = least_squares(residuals, x, jacobian, method="trf", tr_solver="lsmr", x_scale="jac", ftol=1e-12,
                             xtol=1e-14, gtol=1e-12, tr_options={"atol": 1e-12, "btol": 1e-12, "maxiter": 20000},
                             max_nfev=200)
    seconds = min(seconds, time.perf_counter() - begin)
ours = 0.5 * numpy.sum(residuals(numpy.array(data["end"])[1:].ravel()) ** 2)
print(f"{len(start)} nodes, {len(first)} edges: cost {data['start_cost']:.6g} -> {data['cost']:.9g} in "
      f"{1e3 * data['seconds']:.1f} ms; scipy {solution.cost:.9g} in {1e3 * seconds:.0f} ms "
      f"({seconds / data['seconds']:.0f} times as long)")
expect(data["start_cost"] > 10 * data["cost"], "the start is too near to the optimum to say anything")
expect(abs(ours / data["cost"] - 1.0) < 1e-9, "the two disagree about the cost of the same poses")
expect(data["cost"] <= solution.cost * (1.0 + 1e-6), "scipy found a lower cost")
expect(abs(data["cost"] / solution.cost - 1.0) < 1e-6, "the costs differ")
