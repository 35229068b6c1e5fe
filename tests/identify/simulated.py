"""Worn rings drawn from the stated prior, read with stated errors: there the probabilities must be true."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ringwright.identify import Prior, Reading, identify
from ringwright.identify.evidence import SHIFT_WIDTH, SHIFTS
from ringwright.identify.hypotheses import constants, hypotheses
from ringwright.identify.predict import Rings, contact_height, predict
from ringwright.tables import load

MADE = {row["what"]: float(row["as_made_module"]) for row in load("reading_uncertainty")}


def draw(rng, u_read, u_said):
    """(readings, tooth count, row of the truth or -1): tip, span over two counts, root, all worn."""
    c, rows = constants(), hypotheses(Prior())
    p = np.exp(rows.log_p) * ((rows.m > 1.4) & (rows.m < 11))
    row = int(rng.choice(rows.m.size, p=p / p.sum()))
    m, alpha, ha, hf = (float(a[row]) for a in (rows.m, rows.alpha, rows.ha, rows.hf))
    z = int(rng.integers(24, 180))
    if rng.random() < c["none_of_these"]:
        row, m, ha, hf = -1, float(np.exp(rng.uniform(np.log(1.4), np.log(11)))), 1.0, 1.25
        alpha = float(np.radians(rng.choice([14.5, 20.0, 25.0])))
    x = 0.0
    if rng.random() > c["shift_zero"]:
        comb = np.exp(-0.5 * ((SHIFTS[1:] - c["shift_middle"]) / c["shift_spread"]) ** 2)
        x = rng.choice(SHIFTS[1:], p=comb / comb.sum()) + SHIFT_WIDTH * rng.standard_normal()
    thin = m * (c["thin_worn"] if rng.random() < c["thin_worn_weight"] else c["thin_as_made"])
    top = m * (c["topped_worn"] if rng.random() < c["topped_worn_weight"] else c["topped_little"])
    w, t = thin * abs(rng.standard_normal()), top * abs(rng.standard_normal())
    slope = c["thin_slope"] * thin * rng.standard_normal()
    ring = Rings(1, *(np.asarray(float(v)) for v in (z, m, alpha, ha, hf)), x=x)
    k = max(2, round(z * alpha / np.pi + 0.5))
    asked = [Reading("tip_diameter", 0, u_said, True), Reading("root_diameter", 0, u_said)]
    asked += [Reading("span", 0, u_said, True, k=n) for n in (k, k + 1)]
    read = []
    for reading in asked:
        height = float(contact_height(reading, ring))
        worn = replace(ring, w=w + slope * height, t=t)
        value = float(predict(reading, worn)) + rng.normal(0, np.hypot(u_read, MADE[reading.what] * m))
        read.append(replace(reading, value=value))
    e = c["bad_reading"]
    bad = len(read) * e / (1 - e)
    if rng.random() < bad / (1 + bad):
        n = int(rng.integers(len(read)))
        slip = max(c["bad_reading_times"] * u_read, c["bad_reading_least"])
        size = slip if rng.random() < 0.5 else max(slip, c["bad_reading_gross"] * read[n].value)
        read[n] = replace(read[n], value=max(0.1, read[n].value + rng.normal(0, size)))
    return tuple(read), z, row


def run(n, u_read, u_said=None, number=20):
    """Over n rings: probabilities said, whether each was true, and whether the first had the right pitch and angle."""
    rng = np.random.default_rng(number)
    rows = hypotheses(Prior())
    said, true, first = [], [], []
    for _ in range(n):
        readings, z, row = draw(rng, u_read, u_said or u_read)
        ranked = identify(1, z, readings)
        hits = []
        for c in ranked.candidates:
            mine = [
                (n.m, n.alpha, n.ha, n.hf) == (rows.m[row], rows.alpha[row], rows.ha[row], rows.hf[row]) and row >= 0
                for n in c.names
            ]
            hits.append(any(mine))
            said.append(c.probability)
            true.append(hits[-1])
        said.append(ranked.other_probability)
        true.append(not any(hits))
        if row >= 0 and ranked.candidates:
            best = ranked.candidates[0].names[0]
            first.append((best.m, best.alpha) == (rows.m[row], rows.alpha[row]))
    return np.array(said), np.array(true), np.array(first)


def bins(said, true):
    """Rows of (count, said on average, seen to be true, difference in binomial standard deviations)."""
    found = []
    for low in np.arange(0, 1, 0.1):
        here = (said >= low) & (said < low + 0.1 + 1e-9 * (low > 0.85))
        if here.sum() >= 50:
            p, seen = said[here].mean(), true[here].mean()
            sd = np.sqrt(np.sum(said[here] * (1 - said[here]))) / here.sum()
            found.append((int(here.sum()), float(p), float(seen), float((seen - p) / max(sd, 1e-9))))
    return found
