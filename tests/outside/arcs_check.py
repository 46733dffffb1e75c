"""Odometry's arcs against numerical integration of the wheels' motion by scipy.integrate.solve_ivp (DOP853: E. Hairer,
S. P. Norsett, G. Wanner, Solving Ordinary Differential Equations I, 1993)."""

import numpy
from scipy.integrate import solve_ivp
from values import expect, values

worst = 0.0
drives = values("arcs")
for drive in drives:
    pose = numpy.zeros(3)
    poses = {row["time_s"]: row["pose"] for row in drive["poses"]}
    for (begin, left_0, right_0), (end, left_1, right_1) in zip(drive["counts"], drive["counts"][1:]):
        left = (left_1 - left_0) * drive["left_m_per_tick"] / (end - begin)
        right = (right_1 - right_0) * drive["right_m_per_tick"] / (end - begin)
        speed, rate = (left + right) / 2, (right - left) / drive["track_width_m"]
        times = sorted({t for t in poses if begin <= t <= end} | {end})
        solution = solve_ivp(lambda _, p: [speed * numpy.cos(p[2]), speed * numpy.sin(p[2]), rate], (begin, end), pose,
                             method="DOP853", rtol=1e-12, atol=1e-13, t_eval=times)
        for time, *found in zip(solution.t, *solution.y):
            if time in poses:
                worst = max(worst, numpy.abs(numpy.array(found) - poses.pop(time)).max())
        pose = solution.y[:, -1]
    expect(not poses, f"poses at {list(poses)} were not compared")
print(f"{len(drives)} drives, largest difference {worst:.1e} m or rad")
expect(worst < 1e-9, "odometry differs from the integrated motion")
