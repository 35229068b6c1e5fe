"""Worn rings drawn from the stated prior, read with stated errors: there the probabilities must be true.

Code of its own: the geometry is written out from the handbooks' formulas with plain floats and bisection, the weights
are read from the printed tables; nothing but `Reading` and `identify` is taken from the package.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from itertools import pairwise
from math import acos, cos, exp, hypot, inf, log, pi, radians, sin, sqrt, tan
from pathlib import Path

import numpy as np

from ringwright.identify import Reading, identify, next_reading

TABLES = Path(__file__).parents[2] / "src" / "ringwright" / "tables"
EDGES = (0.001, 0.01, 0.03, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97, 0.99, 1.0 + 1e-9)
SHIFT_PARTS, SHIFT_WIDTH = (-0.6, -0.3, 0.0, 0.3, 0.6, 0.9), 0.16  # the comb that the explanation page states


def table(name):
    """Rows of a printed table."""
    with (TABLES / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


C = {row["name"]: float(row["value"]) for row in table("systems_prior")}
MADE = {row["what"]: float(row["as_made_module"]) for row in table("reading_uncertainty")}


def standard_rings(systems=None, angles=None, least=1.4, most=11.0):
    """(m, alpha in degrees, ha, hf) of every standard ring between two modules, and their chances."""
    angle_rows, forms, found = table("systems_angles"), table("systems_proportions"), []
    for system in ("module", "diametral_pitch", "circular_pitch", "combination"):
        mine = [a for a in angle_rows if a["system"] == system]
        here = []
        if system == "combination":
            for row in table("systems_combination"):
                first, second = float(row["first"]), float(row["second"])
                ratio = first / second
                here += [(25.4 / first, a, float(row["weight"]), (ratio, 1.25 * ratio)) for a in mine]
            here = [(m, float(a["angle_deg"]), *form, w * float(a["weight"])) for m, a, w, form in here]
        for row in table("systems") if system != "combination" else []:
            if row["system"] != system:
                continue
            mm = float(row["millimetres"]) if row["millimetres"] else None
            per = float(row["per_inch"]) if row["per_inch"] else None
            m = {"module": mm, "diametral_pitch": 25.4 / per if per and not mm else mm}.get(system)
            if system == "circular_pitch":
                m = (mm if mm else 25.4 * per) / pi
            for a in mine:
                for form in forms:
                    deg = float(a["angle_deg"])
                    if float(form["angle_from_deg"]) <= deg < float(form["angle_to_deg"]):
                        w = float(row["weight"]) * float(a["weight"]) * float(form["weight"])
                        here.append((m, deg, float(form["addendum"]), float(form["dedendum"]), w))
        if angles:
            here = [(*row[:4], row[4] * angles.get(row[1], 0.0)) for row in here]
        total = sum(row[4] for row in here)
        weight = (systems or {}).get(system, C[f"system_{system}"])
        found += [(*row[:4], weight * row[4] / total) for row in here]
    found = [row for row in found if least < row[0] < most and row[4] > 0]
    p = np.array([row[4] for row in found])
    return [row[:4] for row in found], p / p.sum()


def inv(a):
    """Involute."""
    return tan(a) - a


def bisect(f, low, high):
    """Root of f, rising or falling, between two ends of opposite sign."""
    up = f(high) > 0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (low, middle) if (f(middle) > 0) == up else (middle, high)
    return (low + high) / 2


@dataclass
class Worn:
    """A straight-toothed worn ring: s +1 external, -1 internal."""

    s: int
    z: int
    m: float
    alpha: float
    ha: float
    hf: float
    x: float = 0.0
    w: float = 0.0
    slope: float = 0.0
    t: float = 0.0
    step: float = inf  # height [modules] above which only three tenths of the thinning is there

    @property
    def d(self):
        return self.z * self.m

    @property
    def d_b(self):
        return self.d * cos(self.alpha)

    def thick(self, lost=0.0):
        """Tooth thickness, arc on the reference circle."""
        return self.m * (pi / 2 + 2 * self.x * tan(self.alpha)) - lost

    def tip(self):
        return self.d + 2 * self.s * (self.m * (self.ha + self.x) - self.t)

    def lost(self, height):
        """Thinning that an instrument touching at this height feels."""
        return (self.w if height <= self.step else 0.3 * self.w) + self.slope * height

    def span(self, k):
        def over(lost):
            a = self.alpha
            return self.m * cos(a) * ((k - 0.5) * pi + self.z * inv(a)) + 2 * self.x * self.m * sin(a) - lost * cos(a)

        return over(self.lost((hypot(self.d_b, over(0)) - self.d) / (2 * self.m)))

    def pins(self, D):
        def angle(lost):
            arc = self.thick(lost) / self.d - pi / self.z + D / self.d_b
            want = inv(self.alpha) + self.s * arc
            return bisect(lambda a: inv(a) - want, 1e-6, 1.4)

        touch = tan(angle(0.0)) * self.d_b - self.s * D
        a = angle(self.lost(self.s * (hypot(self.d_b, touch) - self.d) / (2 * self.m)))
        return self.d_b / cos(a) * (1.0 if self.z % 2 == 0 else cos(pi / (2 * self.z))) + self.s * D

    def chord(self, h):
        lost = self.lost(self.ha + self.x - (self.t + h) / self.m)
        level = self.tip() / 2 - h

        def half(y):
            return self.thick(lost) / self.d + inv(self.alpha) - inv(acos(min(1.0, self.d_b / (2 * y))))

        y = bisect(lambda y: y * cos(half(y)) - level, level * 0.999, level * 1.05 + 0.5 * self.m)
        return 2 * y * sin(half(y))

    def read(self, reading):
        return {
            "tip_diameter": self.tip,
            "root_diameter": lambda: self.d - 2 * self.s * self.m * (self.hf - self.x),
            "whole_depth": lambda: self.m * (self.ha + self.hf) - self.t,
            "pitch": lambda: pi * self.m,
            "span": lambda: self.span(reading.k),
            "span_difference": lambda: reading.n * pi * self.m * cos(self.alpha),
            "over_pins": lambda: self.pins(reading.D_M),
            "between_pins": lambda: self.pins(reading.D_M),
            "chordal_thickness": lambda: self.chord(reading.h),
            "chord_over_teeth": lambda: self.tip() * sin(pi * reading.n / self.z),
        }[reading.what]()


@dataclass
class World:
    """How the rings and readings of a run depart from what is assumed."""

    noise: float = 1.0
    always_bad: bool = False
    stepped: bool = False
    systems: dict | None = None
    angles: dict | None = None
    no_shift: float | None = None
    six: bool = False


WORLDS = {
    "as assumed": World(),
    "noise 1.5 times what is said": World(noise=1.5),
    "one bad reading in every ring": World(always_bad=True),
    "stepped flanks": World(stepped=True),
    "six readings": World(six=True),
    "another prior": World(
        systems={"module": 0.2, "diametral_pitch": 0.7, "circular_pitch": 0.05, "combination": 0.05},
        angles={14.5: 3.0, 20.0: 1.0},
        no_shift=0.5,
    ),
}


def kit(rng, ring, u, six):
    """What one man reads: one of four sets of instruments, or everything that a well-found shop reads."""
    m, z = ring.m, ring.z
    k = max(2, round(z * ring.alpha / pi + 0.5))
    if ring.s < 0:
        return [
            Reading("tip_diameter", 0, u, True),
            Reading("root_diameter", 0, u),
            Reading("between_pins", 0, u, True, D_M=round(1.68 * m, 2)),
        ]
    spans = [Reading("span", 0, u, True, k=n) for n in (k, k + 1)]
    tip, root = Reading("tip_diameter", 0, u, True), Reading("root_diameter", 0, u)
    depth = Reading("whole_depth", 0, u, True)
    pins = Reading("over_pins", 0, u, True, D_M=round(1.728 * m, 2))
    tooth = Reading("chordal_thickness", 0, u, True, h=round(ring.ha * m, 1))
    if six:
        return [tip, root, depth, *spans, pins]
    way = rng.integers(4)
    if way == 0:
        return [tip, depth, spans[0], pins]
    if way == 1:
        return [tip, root, Reading("pitch", 0, 5 * u), Reading("span_difference", 0, 1.4 * u, n=1), tooth]
    return [tip, root, *spans]


def draw(rng, rings, p, world, u_read, u_said):
    """(sense, tooth count, readings, the ring drawn or None when it is of no system)."""
    truth = rings[int(rng.choice(len(rings), p=p))]
    z, s = int(rng.integers(24, 180)), -1 if rng.random() < 0.15 and not world.six else 1
    m, deg, ha, hf = truth
    if rng.random() < C["none_of_these"]:
        truth, m, ha, hf = None, exp(rng.uniform(log(1.4), log(11))), 1.0, 1.25
        deg = float(rng.choice([14.5, 20.0, 25.0]))
    x, zero = 0.0, C["shift_zero"] if world.no_shift is None else world.no_shift
    if rng.random() > zero:
        comb = np.exp(-0.5 * ((np.array(SHIFT_PARTS) - C["shift_middle"]) / C["shift_spread"]) ** 2)
        x = float(rng.choice(SHIFT_PARTS, p=comb / comb.sum()) + SHIFT_WIDTH * rng.standard_normal())
    thin = m * (C["thin_worn"] if rng.random() < C["thin_worn_weight"] else C["thin_as_made"])
    top = m * (C["topped_worn"] if rng.random() < C["topped_worn_weight"] else C["topped_little"])
    ring = Worn(s, z, m, radians(deg), ha, hf, x, thin * abs(rng.standard_normal()))
    ring.slope, ring.t = C["thin_slope"] * thin * rng.standard_normal(), top * abs(rng.standard_normal())
    if world.stepped:
        ring.step = rng.uniform(-0.2, 0.5)
    read = []
    for r in kit(rng, ring, u_said, world.six):
        u = r.u / u_said * u_read * world.noise
        value = ring.read(r) + rng.normal(0, hypot(u, MADE[r.what] * m))
        read.append(Reading(r.what, value, r.u, r.worn, r.k, r.D_M, r.h, n=r.n))
    return s, z, tuple(_spoil(rng, read, world)), truth


def _spoil(rng, read, world):
    """At most one bad reading: a slip, or grossly wrong, as often as stated."""
    odds = len(read) * C["bad_reading"] / (1 - C["bad_reading"])
    if world.always_bad or rng.random() < odds / (1 + odds):
        n = int(rng.integers(len(read)))
        slip = max(C["bad_reading_times"] * read[n].u, C["bad_reading_least"])
        size = slip if rng.random() < 0.5 else max(slip, C["bad_reading_gross"] * read[n].value)
        r = read[n]
        read[n] = Reading(r.what, max(0.1, r.value + rng.normal(0, size)), r.u, r.worn, r.k, r.D_M, r.h, n=r.n)
    return read


def same(name, truth):
    """Whether a name is the ring drawn, in metal."""
    numbers = (name.m, name.alpha, name.ha, name.hf)
    want = (truth[0], radians(truth[1]), truth[2], truth[3])
    return all(abs(a - b) < 1e-6 for a, b in zip(numbers, want, strict=True))


def same_pitch(name, truth):
    """Whether a name has the pitch and pressure angle of the ring drawn."""
    return abs(name.m - truth[0]) < 1e-6 and abs(name.alpha - radians(truth[1])) < 1e-6


@dataclass
class Seen:
    """What a run gave: said probabilities of candidates and whether true; of "none"; ranks of the truth; ties."""

    said: np.ndarray
    true: np.ndarray
    other_said: np.ndarray
    other_true: np.ndarray
    first: np.ndarray
    first_or_tied: np.ndarray
    pitch_and_angle: np.ndarray
    pitch_and_angle_or_tied: np.ndarray
    tied_names: np.ndarray

    def shares(self):
        """The very ring first; first or tied; the right pitch and angle first; first or tied."""
        every = (self.first, self.first_or_tied, self.pitch_and_angle, self.pitch_and_angle_or_tied)
        return tuple(round(float(a.mean()), 4) for a in every)


def run(n, u_read, u_said=None, number=20, world=None):
    """Over n rings."""
    rng, world = np.random.default_rng(number), world or World()
    rings, p = standard_rings(world.systems, world.angles)
    said, true, other, none, first, tied, right, near, names = [], [], [], [], [], [], [], [], []
    for _ in range(n):
        s, z, readings, truth = draw(rng, rings, p, world, u_read, u_said or u_read)
        ranked = identify(s, z, readings)
        hits = [truth is not None and any(same(a, truth) for a in c.names) for c in ranked.candidates]
        said += [c.probability for c in ranked.candidates]
        true += hits
        other.append(ranked.other_probability)
        none.append(not any(hits))
        if truth is not None:
            at = hits.index(True) if any(hits) else None
            first.append(at == 0)
            tied.append(at is not None and (at == 0 or 0 in ranked.candidates[at].tied_with))
            leaders = ranked.candidates[:1]
            right.append(any(same_pitch(c.names[0], truth) for c in leaders))
            leaders += tuple(ranked.candidates[i] for c in leaders for i in c.tied_with)
            near.append(any(same_pitch(c.names[0], truth) for c in leaders))
            names.append(len(leaders))
    return Seen(*map(np.array, (said, true, other, none, first, tied, right, near, names)))


def bins(said, true, least=200):
    """Rows of (from, to, count, said on average, seen to be true, difference in binomial standard errors)."""
    found = []
    for low, high in pairwise(EDGES):
        here = (said >= low) & (said < high)
        count = int(here.sum())
        if count >= least:
            p, seen = float(said[here].mean()), float(true[here].mean())
            error = sqrt(float(np.sum(said[here] * (1 - said[here])))) / count
            found.append((low, min(high, 1.0), count, p, seen, (seen - p) / max(error, 1e-9)))
    return found


def worst(found):
    """The largest departure, in binomial standard errors."""
    return max(abs(row[-1]) for row in found)


ORDER = ("tip_diameter", "whole_depth", "span", "span", "root_diameter", "over_pins", "chordal_thickness", "pitch")


def _settled(ranked):
    """Whether one pitch and angle has 95 % between its candidates."""
    chance: dict[tuple[float, float], float] = {}
    for name in (name for c in ranked.candidates for name in c.names):
        at = (round(name.m, 6), round(name.alpha, 6))
        chance[at] = chance.get(at, 0.0) + name.probability
    return max(chance.values(), default=0.0) >= 0.95


def readings_needed(n, number):
    """Readings until one pitch and angle has 95 %, at most eight: (following the next reading, in a fixed order).

    Both start from the tips, read external rings with the table's uncertainties, and make no slips.
    """
    rng, (rings, p) = np.random.default_rng(number), standard_rings()
    usual = {row["what"]: float(row["uncertainty"]) for row in table("reading_uncertainty")}
    found = []
    for _ in range(n):
        m, deg, ha, hf = rings[int(rng.choice(len(rings), p=p))]
        z, thin = int(rng.integers(24, 180)), m * C["thin_worn"]
        ring = Worn(1, z, m, radians(deg), ha, hf, 0.0, thin * abs(rng.standard_normal()))
        ring.slope, ring.t = (
            C["thin_slope"] * thin * rng.standard_normal(),
            m * C["topped_worn"] * abs(rng.standard_normal()),
        )
        noise = {}

        def take(r, ring=ring, noise=noise):
            error = noise.setdefault((r.what, r.k), rng.normal(0, hypot(r.u, MADE[r.what] * ring.m)))
            return Reading(r.what, ring.read(r) + error, r.u, r.worn, r.k, r.D_M, r.h)

        def in_order(taken, ranked):
            name = ranked.candidates[0].names[0]
            what = ORDER[len(taken)]
            k = max(2, int(name.z * name.alpha / pi + 0.5)) + sum(r.what == "span" for r in taken)
            own = {"span": {"k": k}, "over_pins": {"D_M": round(1.728 * name.m, 2)}}.get(what, {})
            if what == "chordal_thickness":
                own = {"h": round(name.m * name.ha, 1)}
            worn = what not in ("root_diameter", "pitch")
            return Reading(what, 0, usual[what], worn, **own)

        def following(taken, ranked):
            coming = next_reading(ranked)
            return in_order(taken, ranked) if coming is None else coming.reading

        counts = []
        for choose in (following, in_order):
            taken = [take(Reading("tip_diameter", 0, usual["tip_diameter"], True))]
            ranked = identify(1, z, tuple(taken))
            while not _settled(ranked) and len(taken) < 8 and ranked.candidates:
                taken.append(take(choose(taken, ranked)))
                ranked = identify(1, z, tuple(taken))
            counts.append(len(taken))
        found.append(counts)
    return np.array(found)
