"""The plain way to name a ring: one least-squares fit per standard ring, in a loop, the least cost wins.

Each fit frees profile shift, thinning and topping within bounds; the cost has the readings' uncertainties and the same
weights before the readings. No integral over the unknowns, no bad readings, no probabilities.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import least_squares

from ringwright.identify.hypotheses import Prior, constants, hypotheses
from ringwright.identify.predict import Rings, predict
from ringwright.identify.readings import Reading
from ringwright.tables import load


def fit_every_ring(s: int, z: int, readings: tuple[Reading, ...]) -> tuple[list[tuple[float, int]], int]:
    """(cost, row) of every fit, best first, and how many fits were made."""
    rows, c = hypotheses(Prior()), constants()
    made = {row["what"]: float(row["as_made_module"]) for row in load("reading_uncertainty")}
    found = []
    for i in range(rows.m.size):
        m = float(rows.m[i])
        numbers = [np.asarray(float(v)) for v in (z, m, rows.alpha[i], rows.ha[i], rows.hf[i])]

        def misfit(p, numbers=numbers, m=m):
            ring = Rings(s, *numbers, x=p[0], w=p[1] * m, t=p[2] * m)
            off = [(r.value - float(predict(r, ring))) / np.hypot(r.u, made[r.what] * m) for r in readings]
            return [*off, p[0] / c["shift_spread"], p[1] / c["thin_worn"], p[2] / c["topped_worn"]]

        fit = least_squares(misfit, [0.0, 0.01, 0.01], bounds=([-1, 0, 0], [1, 1, 1]))
        found.append((float(fit.cost - rows.log_p[i]), i))
    return sorted(found), rows.m.size
