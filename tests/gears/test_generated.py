"""Random rings cut on paper: a rack or a pinion cutter rolled through the blank point by point, then measured.

Nothing of the product takes part in cutting and measuring. A tool's profile is a row of points; where each crosses a
circle round the ring's axis follows from the rolling alone, and the farthest crossing is the edge of the space. Span
is the distance of two parallel planes that touch two flanks, pins are balls that just find room, in space.
"""

import sys
from dataclasses import dataclass
from functools import cached_property
from math import atan2, cos, hypot, pi, radians, sin, tan

import numpy as np
import pytest
import shapely
from scipy.optimize import brentq, minimize_scalar

from ringwright.gears import root, shaper, touch
from ringwright.gears.outline import tooth_outline
from ringwright.gears.ring import RingGeometry, is_undercut


@dataclass(frozen=True)
class Drawing:
    """What stands on the drawing; ``s_n`` is the tooth's arc on the reference circle."""

    inside: bool
    z: int
    m: float
    alpha_n: float
    beta: float
    s_n: float
    r_a: float
    r_f: float
    rho: float
    z_0: int = 0
    a_0: float = 0.0

    @cached_property
    def r(self):
        return self.z * self.m / cos(self.beta) / 2

    @cached_property
    def alpha_t(self):
        return atan2(tan(self.alpha_n), cos(self.beta))


class Rack:
    """A rack tooth in the transverse section, its middle on u = 0, rolling on v = 0, v outward."""

    def __init__(self, drawing):
        self.r, self.z = drawing.r, drawing.z
        self.stretch = 1 / cos(drawing.beta)
        self.t, self.rho = tan(drawing.alpha_n), drawing.rho
        self.half = (pi * drawing.m - drawing.s_n) / 2
        self.v_c = drawing.r_f - drawing.r + self.rho
        # the rounding's centre: rho away from the flank's line, measured square to it
        self.u_c = self.half + self.v_c * self.t - self.rho * hypot(1, self.t)
        self.turn = pi / 2 - drawing.alpha_n
        self.join = self.v_c - self.rho * cos(self.turn)
        self.top = (drawing.r_a - drawing.r) * 1.1 + 0.2 * drawing.m
        self.step = 2e-5 * drawing.m

    def flank(self, v):
        return (self.half + v * self.t) * self.stretch, v

    def corner(self, t):
        angle = t * self.turn
        return (self.u_c + self.rho * np.sin(angle)) * self.stretch, self.v_c - self.rho * np.cos(angle)

    def crossing(self, point, R):
        """Farthest angle from the middle of the space at which the point crosses the circle R."""
        u, v = point
        square = R**2 - (self.r + v) ** 2
        w = np.sqrt(np.where(square >= 0, square, np.nan))
        return np.fmax(*((u - s * w) / self.r + np.arctan2(s * w, self.r + v) for s in (1, -1)))


class Pinion:
    """A pinion cutter's tooth; its flank is a string unwound from its base circle, its axis a_0 above the ring's."""

    def __init__(self, drawing):
        self.z, self.z_0, self.r, self.rho = drawing.z, drawing.z_0, drawing.r, drawing.rho
        self.ratio = drawing.z_0 / drawing.z
        r_0 = drawing.r * self.ratio
        self.r_b = r_0 * cos(drawing.alpha_t)
        roll = tan(drawing.alpha_t)
        self.at_base = pi / 2 / drawing.z_0 + roll - np.arctan(roll)
        self.step = 2e-5
        wanted = pi / drawing.z - drawing.s_n / cos(drawing.beta) / (2 * drawing.r)

        def too_wide(a_0):
            self.a_0 = a_0
            return float(farthest(self, self.flank, 0.0, 1.3 * roll + 0.3, 801, [drawing.r])[0]) - wanted

        middle = drawing.r - r_0
        ends = middle - 0.8 * drawing.m, middle + 0.8 * drawing.m
        self.a_0 = drawing.a_0 or brentq(too_wide, *ends, xtol=1e-13)
        r_tip = drawing.r_f - self.a_0
        self.r_c = r_tip - self.rho
        self.gamma = brentq(lambda g: self._gap(g)[0] - self.rho, -0.5 / self.z_0, self.at_base, xtol=1e-15)
        self.join = self._gap(self.gamma)[1]
        x, y = self._flat(self.flank(self.join))
        c = self.r_c * sin(self.gamma), self.r_c * cos(self.gamma)
        self.arc = (self.gamma, atan2(x - c[0], y - c[1])) if self.rho else (self.gamma, self.gamma + 1)
        self.top = 0.0

    def flank(self, t):
        return self.r_b * np.hypot(1, t), self.at_base - (t - np.arctan(t))

    @staticmethod
    def _flat(point):
        return point[0] * np.sin(point[1]), point[0] * np.cos(point[1])

    def _gap(self, gamma):
        """Least distance from the rounding's centre to the flank, and where."""
        c = self.r_c * sin(gamma), self.r_c * cos(gamma)

        def away(t):
            x, y = self._flat(self.flank(t))
            return hypot(x - c[0], y - c[1])

        near = minimize_scalar(away, bounds=(0, 2.5), method="bounded", options={"xatol": 1e-12})
        x, _y = self._flat(self.flank(near.x))
        return (near.fun if x > c[0] else -near.fun), float(near.x)

    def corner(self, t):
        angle = self.arc[0] + t * (self.arc[1] - self.arc[0])
        x = self.r_c * sin(self.gamma) + self.rho * np.sin(angle)
        y = self.r_c * cos(self.gamma) + self.rho * np.cos(angle)
        return np.hypot(x, y), np.arctan2(x, y)

    def crossing(self, point, R):
        radius, angle = point
        c = (R**2 - self.a_0**2 - radius**2) / (2 * self.a_0 * radius)
        tau = np.arccos(np.where(np.abs(c) <= 1, c, np.nan))
        return np.fmax(
            *(
                np.arctan2(radius * np.sin(s * tau), self.a_0 + radius * np.cos(tau)) - (s * tau - angle) * self.ratio
                for s in (1, -1)
            )
        )


def farthest(tool, curve, start, end, n, R):
    """Farthest crossing of a piece of the tool; the step about the best place is made 400 times finer."""
    R = np.asarray(R, dtype=float)[:, None]
    places = np.broadcast_to(np.linspace(start, end, n), (len(R), n))
    for fine in (20, 20, 0):
        seen = tool.crossing(curve(places), R)
        seen = np.where(np.isnan(seen), -np.inf, seen)
        best = seen.argmax(axis=1)[:, None]
        if fine:
            low = np.take_along_axis(places, np.maximum(best - 1, 0), 1)
            high = np.take_along_axis(places, np.minimum(best + 1, places.shape[1] - 1), 1)
            places = low + (high - low) * np.linspace(0, 1, 2 * fine + 1)
    return np.take_along_axis(seen, best, 1)[:, 0]


class Cut:
    """A space as the tool leaves it, and what instruments find on the teeth beside it."""

    def __init__(self, drawing):
        self.drawing = d = drawing
        self.tool = Pinion(d) if d.inside else Rack(d)
        self.low, self.high = sorted((d.r_f, d.r_a))
        self.q = tan(d.beta) / d.r  # turn per mm of length

    def _by_flank(self, R):
        return farthest(self.tool, self.tool.flank, self.tool.join, self.tool.top, 801, R)

    def _by_corner(self, R):
        return farthest(self.tool, self.tool.corner, 0.0, 1.0, 401, R)

    def space(self, R):
        """Half the angle of the space at the radii R."""
        return np.maximum(self._by_flank(R), self._by_corner(R))

    def thickness(self, R):
        return 2 * R * (pi / self.drawing.z - self.space(R))

    def _excess(self, R):
        return float((self._by_corner([R]) - self._by_flank([R]))[0])

    def form_radius(self):
        """Where corner and flank of the tool take turns; and whether the corner cut into the flank."""
        tool, h = self.tool, self.tool.step

        def slope(R):
            return float(tool.crossing(tool.flank(tool.join + h), R) - tool.crossing(tool.flank(tool.join - h), R))

        R = np.linspace(self.low, self.high, 500)[1:-1]
        over = R[self._by_corner(R) - self._by_flank(R) > 1e-8]
        most = over.min() if self.drawing.inside else over.max()
        near = [r for r in R if abs(r - most) < 0.05 * self.drawing.m]
        f = [slope(r) for r in near]
        smooth = [brentq(slope, *near[i : i + 2], xtol=1e-13) for i in range(len(f) - 1) if f[i] * f[i + 1] < 0]
        # where the tool is undercutting, another place of the flank reaches farther than its end does
        last = [s for s in smooth if self._by_flank([s])[0] - tool.crossing(tool.flank(tool.join), s) < 1e-10]
        if last:
            return min(last, key=lambda s: abs(most - s)), False
        i = int(np.flatnonzero(most == R)[0])
        beyond = next(r for r in R[i + 1 :] if self._excess(r) < 0)
        return brentq(self._excess, R[i], beyond, xtol=1e-13), True

    def _windows(self, low, high):
        """A wide look over the flank, then a close one where the first one led."""
        found = yield np.linspace(low, high, 240)
        near = 0.03 * (high - low)
        yield np.linspace(max(low, found - near), min(high, found + near), 120)

    def span(self, k, low, high):
        """Distance of parallel planes on two flanks, and the radius where they touch."""
        looks = self._windows(low, high)
        R = next(looks)
        A, at, tilt = self._level(k, R, np.gradient(k * pi / self.drawing.z - self.space(R), R, edge_order=2))
        R = looks.send(at)
        fit = np.polynomial.Polynomial.fit(R, k * pi / self.drawing.z - self.space(R), 5)
        A, at, tilt = self._level(k, R, fit.deriv()(R))
        if self.q:  # for that slope of the planes, where along the helix the point at R lies farthest out
            turned = np.arccos(np.clip(-tan(tilt) / (R * self.q), -1, 1))
            out = R * np.sin(turned) * cos(tilt) + (turned - A) / self.q * sin(tilt)
        else:
            out = R * np.sin(A)
        return 2 * float(np.polynomial.Polynomial.fit(R, out, 6)(at)), at

    def _level(self, k, R, lean):
        """Where the flank's normal, turned along the helix until it lies level, meets the same flank opposite."""
        A = k * pi / self.drawing.z - self.space(R)
        bend = -R * lean
        off = (R * self.q) ** 2 * np.sin(np.arctan(bend)) + (np.arctan(bend) - A) * np.hypot(1, bend)
        i = int(np.flatnonzero(off[:-1] * off[1:] <= 0)[-1])
        at = R[i] + off[i] / (off[i] - off[i + 1]) * (R[i + 1] - R[i])
        return A, float(at), float(np.interp(at, R, np.arctan(-R * self.q / np.hypot(1, bend))))

    def ball(self, D, low, high):
        """Radius of the centre of a ball that just finds room in the space, and the radius where it touches."""
        looks = self._windows(low, high)
        R, centre = next(looks), None
        for look in range(2):
            H = self.space(R)

            def room(R_c, R=R, H=H):
                along = np.zeros_like(R)
                for _step in range(8):
                    angle = H + along * self.q
                    pull = R * R_c * self.q * np.sin(angle) + along
                    along = along - pull / (1 + R * R_c * self.q**2 * np.cos(angle))
                away = np.sqrt(R**2 + R_c**2 - 2 * R * R_c * np.cos(H + along * self.q) + along**2)
                i = int(np.argmin(away))
                if not 0 < i < len(R) - 1:
                    return away[i], R[i]
                a, b, c = away[i - 1 : i + 2]
                lean = (a - c) / (2 * (a - 2 * b + c))
                return b - (a - c) * lean / 4, R[i] + lean * (R[i + 1] - R[i])

            ways = np.linspace(self.low - self.drawing.m, self.high + self.drawing.m, 80)
            ways = ways if self.drawing.inside else ways[::-1]  # the ball comes in from the open end
            stuck = next(i for i, c in enumerate(ways) if room(c)[0] < D / 2)
            centre = brentq(lambda c: room(c)[0] - D / 2, *sorted(ways[stuck - 1 : stuck + 1]), xtol=1e-12)
            if look == 0:
                R = looks.send(room(centre)[1])
        return centre, room(centre)[1]


def ring_of(rng, kind, helical):
    """A ring to cut and the same for the product; a draw that no cutter could make is drawn again."""
    while True:
        inside = kind == "internal"
        z = int(rng.integers(*((24, 180) if inside else (9, 180))))
        alpha = radians(rng.choice([14.5, 17.5, 20, 22.5, 25]))
        m = float(rng.choice([0.8, 1.5, 25.4 / 8, 4, 5, 6.5, 10]))
        beta = radians(rng.uniform(3, 35)) * rng.choice([-1, 1]) if helical else 0.0
        given = {
            "x": round(float(rng.uniform(-0.4, 0.5)), 2),
            "h_a": float(rng.choice([0.8, 1.0])),
            "h_f": float(rng.choice([1.0, 1.157, 1.25])),
            "rho_f": round(float(rng.uniform(0.05, 0.3)), 3),
            "allowance": round(float(rng.uniform(0, 0.06)) * m, 3),
        }
        if z < 40:
            given["x"] = abs(given["x"]) if not inside else given["x"]
        try:
            ring = RingGeometry(kind, z, m, alpha, beta, **given)
            z_0 = int(rng.integers(min(12, z // 2), z // 2 + 1)) if inside else 0
            cutter = shaper.ShaperCutter(z_0) if inside else None
            made = root.generated_root(ring, cutter)
        except Exception as refused:
            if type(refused).__name__ not in ("Refusal", "OutOfRange"):
                raise
            continue
        low, high = touch.flank_range(ring, cutter)
        land = float(ring.s_y(ring.d_a))
        room_for_radius = abs(made.rho - ring.rho_f * m) < 1e-12
        if high - low > 0.5 * m and land > 0.1 * m and room_for_radius and ring.d_a > ring.d_b:
            drawing = Drawing(
                inside, z, m, alpha, abs(beta), ring.s_n, ring.d_a / 2, ring.d_f / 2, given["rho_f"] * m, z_0
            )
            return drawing, ring, cutter


def compare(drawing, ring, cutter, rng):
    """Differences between product and paper by measure [mm]; what does not exist on the ring is left out."""
    cut, off = Cut(drawing), {}
    made = root.generated_root(ring, cutter)
    form, undercut = cut.form_radius()
    off["form diameter"] = made.d_Ff - 2 * form
    if ring.kind == "external" and abs(cut.tool.join + drawing.r * sin(drawing.alpha_t) ** 2) > 0.005 * drawing.m:
        assert is_undercut(ring) == undercut
    low, high = (d / 2 for d in touch.flank_range(ring, cutter))
    r_y = rng.uniform(low, high, 8)
    off["tooth thickness"] = np.abs(ring.s_y(2 * r_y) - cut.thickness(r_y)).max()
    if made.d_reach <= ring.d_a:
        off["tip thickness"] = float(ring.s_y(ring.d_a)) - cut.thickness(np.array([drawing.r_a]))[0]
    off["fillet"] = fillet_off(ring, cutter, cut, made)
    k = touch.span(ring)
    if isinstance(k, touch.Span):
        W, at = cut.span(k.k, low, high)
        off["span"], off["span contact"] = k.W_k - W, k.d_M - 2 * at
    pins = touch.pins(ring, cutter=cutter)
    if isinstance(pins, touch.Pins):
        centre, at = cut.ball(pins.D_M, low, high)
        turn = pi if ring.z % 2 == 0 else pi - pi / ring.z
        M = centre * hypot(sin(turn), 1 - cos(turn)) + ring.s * pins.D_M
        name = "over balls" if ring.s > 0 else "between balls"
        off[name], off["ball contact"] = pins.M_dK - M, pins.d_M - 2 * at
    return {name: abs(float(value)) for name, value in off.items()}


def fillet_off(ring, cutter, cut, made):
    """Farthest that the product's fillet lies from the one that the tool left."""
    share = np.linspace(0.005, 1, 300) ** 2
    start, end = ring.d_f / 2, made.d_Ff / 2
    R = start + (end - start) * share
    angle = pi / ring.z - cut.space(R)
    left = shapely.LineString(np.column_stack([R * np.sin(angle), R * np.cos(angle)]))
    drawn = tooth_outline(ring, 60, cutter=cutter)
    radius = np.hypot(*drawn.T)
    between = (np.sort([R[0], R[-1]]) + np.array([1, -1]) * 1e-3 * ring.m_n)[:, None]
    on = (drawn[:, 0] > 0) & (radius > between[0]) & (radius < between[1])
    return shapely.distance(left, shapely.points(drawn[on])).max()


KINDS = [("external", False), ("external", True), ("internal", False), ("internal", True)]
#: Everything agrees within 1 um but the places of contact. There the reading is at its extreme: a place off by e
#: changes it by about e^2 / (2 rho) only, rho being some mm, so that 1e-6 mm of the reading leave some um open.
#: That is noise of the search here: on nine rings the places were off by up to 1 um, which went up and down with the
#: window looked at, and by 0.06 um with the tool's points four times as dense; the readings by 0.002 um at most.
ALLOWED = {"span contact": 0.02, "ball contact": 0.02}


def worst_of(seed, kind, helical, count):
    rng = np.random.default_rng(seed)
    worst, seen = {}, {}
    for _ring in range(count):
        for name, off in compare(*ring_of(rng, kind, helical), rng).items():
            worst[name] = max(worst.get(name, 0.0), off)
            seen[name] = seen.get(name, 0) + 1
    return worst, seen


def agrees(worst, seen, count, kind):
    wanted = {"external": "over balls", "internal": "between balls"}[kind]
    assert seen[wanted] >= 0.9 * count
    if kind == "external":
        assert seen["span"] >= 0.9 * count
    assert {name: off for name, off in worst.items() if off > ALLOWED.get(name, 0.001)} == {}


@pytest.mark.parametrize(("kind", "helical"), KINDS)
def test_measures_are_those_of_the_cut_ring(kind, helical):
    worst, seen = worst_of(1, kind, helical, 10)

    agrees(worst, seen, 10, kind)


@pytest.mark.parametrize(
    ("ring", "z_0"),
    [
        (RingGeometry("external", 30, 5.0, rho_f=0.6), 0),
        (RingGeometry("external", 10, 4.0, beta=radians(12), rho_f=0.6, h_a=0.8), 0),
        (RingGeometry("external", 40, 3.0, d_a_given=124.0, d_f_given=110.5, rho_f=0.3), 0),
        (RingGeometry("internal", 72, 4.0, rho_f=0.6), 20),
        (RingGeometry("internal", 60, 3.0, beta=radians(20), d_a_given=187.0, d_f_given=199.0), 18),
    ],
    ids=["full round", "full round, undercut, helical", "topped, deeper", "internal full round", "internal topped"],
)
def test_full_round_and_topped_rings(ring, z_0):
    cutter = shaper.ShaperCutter(z_0) if z_0 else None
    made = root.generated_root(ring, cutter)
    drawing = Drawing(
        bool(z_0), ring.z, ring.m_n, ring.alpha_n, ring.beta, ring.s_n, ring.d_a / 2, ring.d_f / 2, made.rho, z_0
    )
    worst = compare(drawing, ring, cutter, np.random.default_rng(5))

    assert {name: off for name, off in worst.items() if off > ALLOWED.get(name, 0.001)} == {}
    assert "fillet" in worst


def test_a_cutter_with_too_many_teeth_takes_off_the_tips():
    ring, said, seen = RingGeometry("internal", 60, 3.0, rho_f=0.1), [], []
    for z_0 in range(46, 56):
        a_0 = (60 - z_0) * 1.5  # no shift anywhere: the axes stand half the teeth between them apart
        cut = Cut(Drawing(True, 60, 3.0, ring.alpha_n, 0.0, ring.s_n, ring.d_a / 2, ring.d_f / 2, 0.3, z_0, a_0))
        gone = float(ring.s_y(ring.d_a)) - cut.thickness(np.array([ring.d_a / 2]))[0]
        seen.append(bool(gone > 1e-4))
        said.append(shaper.trims_tip(ring, shaper.setting(ring, shaper.ShaperCutter(z_0))))

    assert said == seen
    assert set(seen) == {False, True}


@pytest.mark.long
@pytest.mark.parametrize(("kind", "helical"), KINDS)
def test_measures_are_those_of_the_cut_ring_hundreds(kind, helical, capsys):
    worst, seen = worst_of(2, kind, helical, 150)

    with capsys.disabled():
        sys.stdout.write(f"\n{kind}{' helical' if helical else ''}: rings measured and worst difference in um\n  ")
        sys.stdout.write("; ".join(f"{name} {seen[name]}: {worst[name] * 1000:.4f}" for name in sorted(worst)) + "\n")
    agrees(worst, seen, 150, kind)
