"""Detent contact against an independent method that shares no code with the product.

The space is cut here by rolling a rack polygon round a blank; the detent is a polygon that is pushed in until it
meets metal, by halving. An internal space is the tooth that such a rack leaves standing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union
from shapely.prepared import prep

from ringwright.dividing import detent as product
from ringwright.dividing.detent_errors import Old, carried, run_out_gain
from ringwright.gears.ring import RingGeometry

#: Agreement asked for [mm]: scallops of the rolled rack and chords of the round detent stay below half of it.
NEAR = 0.0015


@dataclass(frozen=True)
class Gear:
    """A ring in this file's own words."""

    kind: str
    z: int
    m: float
    alpha_deg: float = 20.0
    x: float = 0.0
    thinned: float = 0.0

    @property
    def r(self):
        return self.z * self.m / 2

    @property
    def sign(self):
        return 1 if self.kind == "external" else -1

    @property
    def tip(self):
        return self.r + self.sign * self.m * (1 + self.x)

    @property
    def root(self):
        return self.r - self.sign * self.m * (1.25 - self.x)

    @property
    def thickness(self):
        return self.m * (pi / 2 + 2 * self.x * tan(radians(self.alpha_deg))) - self.thinned

    @property
    def made(self):
        return RingGeometry(
            self.kind, self.z, self.m, radians(self.alpha_deg), x=self.x, allowance=self.thinned
        )  # the product's own record


def rack_tooth(half_plus, half_minus, depth, alpha, rho, above):
    """One tooth of the rack, rolling line on y = 0, tip down; ``half_plus`` and ``half_minus`` half widths there."""
    t = tan(alpha)
    body = Polygon(
        [(half_plus + above * t, above), (half_plus - depth * t, -depth), (-half_minus + depth * t, -depth),
         (-half_minus - above * t, above)]
    )  # fmt: skip
    if rho > 0:
        rounded = body.buffer(-rho, join_style="mitre").buffer(rho, quad_segs=90)
        top = Polygon([(-1e3, -0.4 * depth), (1e3, -0.4 * depth), (1e3, above), (-1e3, above)])
        body = rounded.union(body.intersection(top))
    return body


def rolled(gear_r, tooth, reach, steps=700):
    """What the rack tooth sweeps out of a blank that turns while the rack travels, middle of the space on +y."""
    swept = []
    for u in np.linspace(-reach, reach, steps):
        on_line = affinity.translate(tooth, u, gear_r)
        # the rack moves by u while the blank turns by u / r, clockwise for travel to +x; seen from the blank: back
        swept.append(affinity.rotate(on_line, u / gear_r, origin=(0, 0), use_radians=True))
    return unary_union(swept)


def disc(r, n=40_000):
    a = np.linspace(0, 2 * pi, n, endpoint=False)
    return Polygon(np.column_stack([r * np.cos(a), r * np.sin(a)]))


def sector(r0, r1, half, n=4000):
    a = np.linspace(-half, half, n)
    outer = np.column_stack([r1 * np.sin(a), r1 * np.cos(a)])
    inner = np.column_stack([r0 * np.sin(a), r0 * np.cos(a)])
    return Polygon(np.concatenate([outer, inner[::-1]]))


def metal(gear, worn_plus=0.0, worn_minus=0.0):
    """The ring's metal round one space: middle of the space on +y, half a tooth and more to both sides."""
    alpha, m = radians(gear.alpha_deg), gear.m
    pitch = pi * m
    if gear.kind == "external":
        half = (pitch - gear.thickness) / 2
        land = half - m * (1.25 - gear.x) * tan(alpha)
        rho = min(0.38 * m, land / (1 / cos(alpha) - tan(alpha)))
        tooth = rack_tooth(
            half + worn_plus / cos(alpha), half + worn_minus / cos(alpha), m * (1.25 - gear.x), alpha, rho, 3 * m
        )
        space = rolled(gear.r, tooth, 9 * m)
        return sector(gear.root - 3 * m, gear.tip, 0.98 * pi / gear.z).difference(space)
    # internal: the space is the tooth that a rack leaves of a blank as large as the root circle
    wide = (pitch - gear.thickness) + (worn_plus + worn_minus) / cos(alpha)
    half = (pitch - wide) / 2
    cut = rack_tooth(half, half, min(1.7 * m, 0.98 * half / tan(alpha)), alpha, 0.0, 3 * m)
    space = rolled(gear.r, cut, 9 * m)
    shift = (worn_plus - worn_minus) / cos(alpha) / 2 / gear.r
    sides = [affinity.rotate(space, k * pi / gear.z - shift, origin=(0, 0), use_radians=True) for k in (1, -1)]
    standing = sector(gear.tip - 3 * m, gear.root, 0.98 * pi / gear.z).difference(unary_union(sides))
    return sector(gear.tip, gear.root + 3 * m, 0.98 * pi / gear.z).difference(standing)


def ball(D, Y, s):
    return Point(0, Y + s * D / 2).buffer(D / 2, quad_segs=5000)


def wedge(half_deg, nose, Y, s, tall, body=None):
    run = nose / 2 + tall * tan(radians(half_deg))
    corners = [(nose / 2, Y), (run, Y + s * tall), (-run, Y + s * tall), (-nose / 2, Y)]
    shape = Polygon(corners)
    if body is None:
        return shape
    return shape.intersection(Polygon([(-body / 2, -1e5), (body / 2, -1e5), (body / 2, 1e5), (-body / 2, 1e5)]))


def pushed_in(solid, made, start, end):
    """Nose place at first contact, by halving between a free ``start`` and an ``end`` that is in the metal."""
    hard = prep(solid)
    assert not hard.intersects(made(start)), "starts in the metal"
    assert hard.intersects(made(end)), "never meets metal"
    for _step in range(40):
        middle = (start + end) / 2
        start, end = (start, middle) if hard.intersects(made(middle)) else (middle, end)
    return start


EXTERNAL = [
    Gear("external", 127, 5.0), Gear("external", 40, 3.0, x=0.3), Gear("external", 23, 4.0),
    Gear("external", 90, 2.0, 14.5), Gear("external", 60, 8.0, 25.0, -0.2), Gear("external", 31, 2.5, 20.0, 0.0, 0.12),
]  # fmt: skip
INTERNAL = [
    Gear("internal", 60, 3.0), Gear("internal", 90, 5.0, 20.0, 0.25), Gear("internal", 47, 4.0, 20.0, 0.0, 0.15),
    Gear("internal", 120, 2.0, 25.0),
]  # fmt: skip


def _id(gear):
    return f"{gear.kind}-{gear.z}-{gear.m}-{gear.alpha_deg}-{gear.x}-{gear.thinned}"


@pytest.fixture(scope="module")
def solids():
    made = {}

    def get(gear, plus=0.0, minus=0.0):
        key = (gear, plus, minus)
        if key not in made:
            made[key] = metal(gear, plus, minus)
        return made[key]

    return get


def _far(gear):
    return gear.tip + gear.sign * 2.5 * gear.m, gear.root - gear.sign * 0.5 * gear.m


@pytest.mark.parametrize("gear", EXTERNAL + INTERNAL, ids=_id)
def test_balls_of_many_sizes_stop_where_the_rolled_metal_stops_them(gear, solids):
    rng = np.random.default_rng(gear.z)
    solid, space = solids(gear), product.Space(gear.made)
    best = product.best_round(space)
    met = []
    for D in [best, *(best * rng.uniform(0.9, 1.1, 3)), 2.2 * gear.m]:
        at = product.seat(space, product.Round(D))
        got = pushed_in(solid, lambda Y, D=D: ball(D, Y, gear.sign), *_far(gear))
        met.append(at.touches)
        if gear.kind == "internal" and at.touches not in ("flank", "tips"):
            continue  # the cutter of an internal root is anybody's guess; here it has none
        assert abs(at.Y - got) < NEAR, f"{at.touches}, ball {D:.3f}"
    assert "flank" in met
    assert met[0] == "flank"


@pytest.mark.parametrize("gear", EXTERNAL, ids=_id)
def test_wedges_of_many_angles_stop_where_the_rolled_metal_stops_them(gear, solids):
    rng = np.random.default_rng(1000 + gear.z)
    solid, space = solids(gear), product.Space(gear.made)
    best = product.best_wedge(space)
    met = []
    for half in [best, best - 0.03, best + 0.02, *rng.uniform(0.1, 0.75, 3)]:
        for nose in (0.15 * gear.m, 0.5 * gear.m, product.best_nose(space, half)):
            at = product.seat(space, product.Wedge(half, nose))
            got = pushed_in(solid, lambda Y, h=half, b=nose: wedge(np.degrees(h), b, Y, 1, 6 * gear.m), *_far(gear))
            met.append(at.touches)
            assert abs(at.Y - got) < NEAR, f"{at.touches}, half {np.degrees(half):.2f}, nose {nose}"
    assert {"flank", "tips"} <= set(met)


@pytest.mark.parametrize("gear", INTERNAL, ids=_id)
def test_a_wedge_in_an_internal_space_bears_on_tips_or_on_its_own_nose(gear, solids):
    solid, space = solids(gear), product.Space(gear.made)
    for half_deg, nose in ((12.0, 0.2), (30.0, 0.2), (2.0, 1.2)):
        at = product.seat(space, product.Wedge(radians(half_deg), nose * gear.m))
        got = pushed_in(solid, lambda Y, h=half_deg, b=nose * gear.m: wedge(h, b, Y, -1, 6 * gear.m), *_far(gear))
        assert at.touches in ("tips", "root") or at.on_nose or at.touches == "fillet"
        if at.touches in ("tips", "flank"):
            assert abs(at.Y - got) < NEAR


@pytest.mark.parametrize("gear", [EXTERNAL[0], EXTERNAL[2], INTERNAL[0]], ids=_id)
def test_equal_wear_lets_the_ball_deeper_by_as_much_as_the_rolled_metal(gear, solids):
    worn = 0.06 * gear.m
    space = product.Space(gear.made, worn)
    D = product.best_round(space)
    at = product.seat(space, product.Round(D))
    got = pushed_in(solids(gear, worn, worn), lambda Y: ball(D, Y, gear.sign), *_far(gear))

    assert at.touches == "flank"
    assert abs(at.Y - got) < NEAR


def _outline(solid):
    """The metal's outline as points, both sides of the space."""
    return np.array(solid.exterior.coords)


def _deepest(points, D, s):
    """Deepest nose place of a ball among turned positions of the metal: the turn [rad] and the nose's place."""

    def noses(turn):
        c, n = cos(turn), sin(turn)
        x, y = c * points[:, 0] + n * points[:, 1], -n * points[:, 0] + c * points[:, 1]
        near = np.abs(x) < D / 2
        stops = s * y[near] - (D / 2 - np.sqrt(D**2 / 4 - x[near] ** 2))
        right = x[near] > 0
        return stops[right].max(), stops[~right].max()

    low, high = -0.4 * D / np.abs(points[:, 1]).mean(), 0.4 * D / np.abs(points[:, 1]).mean()
    for _step in range(60):
        middle = (low + high) / 2
        plus, minus = noses(middle)
        # turned clockwise the plus side goes away and the minus side comes
        low, high = (middle, high) if plus > minus else (low, middle)
    return low, s * max(noses(low))


def _fine(solid):
    """The outline with points every few micrometres on its long edges."""
    line = solid.exterior.segmentize(0.004)
    return np.array(line.coords)


@pytest.mark.parametrize("gear", [EXTERNAL[1], INTERNAL[0]], ids=_id)
def test_one_worn_flank_pushes_the_new_tooth_aside_by_half_the_wear(gear, solids):
    worn = 0.05 * gear.m
    space = product.Space(gear.made, worn / 2)  # a ball feels the mean of both flanks
    D = product.best_round(space)
    turn, nose = _deepest(_fine(solids(gear, worn, 0.0)), D, gear.sign)
    at = product.seat(space, product.Round(D))

    assert abs(at.Y - nose) < NEAR
    # the ring was turned back (anticlockwise, minus) so that its widened space stands under the ball
    bias = carried(space, at, Old(w_plus=worn)).bias
    assert bias == pytest.approx(-turn * gear.r, abs=0.002)
    assert abs(bias) > 0.02


def _pawl(face_deg, Y, s, tall):
    return Polygon([(0, Y), (tall * tan(radians(face_deg)), Y + s * tall), (-0.3, Y + s * tall), (-0.3, Y)])


def _turned_against(solid, face, start, end):
    """The turn, from a free start towards the plus flank, at which the metal meets the pawl's face [rad]."""
    face = prep(face)
    for _step in range(50):
        middle = (start + end) / 2
        hit = face.intersects(affinity.rotate(solid, -middle, origin=(0, 0), use_radians=True))
        start, end = (start, middle) if hit else (middle, end)
    return start


@pytest.mark.parametrize("gear", [EXTERNAL[0], EXTERNAL[1], EXTERNAL[2]], ids=_id)
@pytest.mark.parametrize("face_deg", [0.0, 12.0, 24.0])
def test_a_pawl_meets_the_flank_where_the_rolled_metal_does(gear, face_deg, solids):
    Y = gear.tip - gear.sign * 1.7 * gear.m
    at = product.seat_pawl(product.Space(gear.made), product.Wedge(radians(face_deg)), Y)
    face = _pawl(face_deg, Y, gear.sign, 5 * gear.m)
    half = 0.5 * gear.m / gear.r
    got = _turned_against(solids(gear), face, at.turn + 0.25 * half, at.turn - half)

    assert got * gear.r == pytest.approx(at.turn * gear.r, abs=NEAR)


def _new_teeth(gear, points, psi, e, seat_at):
    """Places of new teeth round the ring's own axis when it sits ``e`` off the table's [mm at the reference circle].

    The detent stands on +y of the table's axis, the cutter ``psi`` anticlockwise of it; the ring's centre goes round.
    """
    found = []
    for phase in np.linspace(0, 2 * pi, 24, endpoint=False):
        centre = np.array([e * sin(phase), e * cos(phase)])
        turn = seat_at(points, centre)
        ray = np.array([-sin(psi), cos(psi)])
        # where the cutter's ray meets the ring's reference circle
        reach = centre @ ray + np.sqrt(gear.r**2 - centre @ centre + (centre @ ray) ** 2)
        cut = reach * ray - centre
        clockwise = np.arctan2(cut[0], cut[1]) - turn
        found.append((clockwise + psi + pi) % (2 * pi) - pi)
    return np.array(found) * gear.r


def _ball_seat(D, s):
    def at(points, centre):
        def noses(turn):
            c, n = cos(turn), sin(turn)
            x = c * points[:, 0] + n * points[:, 1] + centre[0]
            y = -n * points[:, 0] + c * points[:, 1] + centre[1]
            near = np.abs(x) < D / 2
            stops = s * y[near] - (D / 2 - np.sqrt(D**2 / 4 - x[near] ** 2))
            right = points[near, 0] > 0
            return stops[right].max(), stops[~right].max()

        low, high = -0.012, 0.012
        for _step in range(50):
            middle = (low + high) / 2
            plus, minus = noses(middle)
            low, high = (middle, high) if plus > minus else (low, middle)
        return low

    return at


def _pawl_seat(solid, face_deg, Y, s, gear):
    face = _pawl(face_deg, Y, s, 5 * gear.m)

    def at(_points, centre):
        moved = affinity.translate(face, -centre[0], -centre[1])  # the same in the ring's own frame
        return _turned_against(solid, moved, *_free_and_hit(solid, moved, 0.6 * gear.m / gear.r))

    return at


def _free_and_hit(solid, face, half):
    """Two neighbouring turns, the face free at the first and in the plus flank at the second."""
    hard, turns = prep(face), np.linspace(half, -half, 121)
    free = [not hard.intersects(affinity.rotate(solid, -t, origin=(0, 0), use_radians=True)) for t in turns]
    at = max(i for i in range(120) if free[i] and not free[i + 1])
    return turns[at], turns[at + 1]


@pytest.mark.parametrize("psi_deg", [20.0, 100.0, 180.0])
@pytest.mark.parametrize("gear", [EXTERNAL[1], INTERNAL[0]], ids=_id)
def test_run_out_comes_through_as_the_simulated_ring_shows(gear, psi_deg, solids):
    e, space = 0.05, product.Space(gear.made)
    D = product.best_round(space)
    at = product.seat(space, product.Round(D))
    new = _new_teeth(gear, _fine(solids(gear)), radians(psi_deg), e, _ball_seat(D, gear.sign))

    assert np.ptp(new) / 2 == pytest.approx(e * run_out_gain(space, at, radians(psi_deg)), rel=0.03, abs=0.0003)


@pytest.mark.parametrize("psi_deg", [15.0, 90.0])
def test_run_out_under_a_pawl_as_the_simulated_ring_shows(psi_deg, solids):
    gear, face_deg, e = EXTERNAL[1], 22.0, 0.05
    Y = gear.tip - 1.6 * gear.m
    space, solid = product.Space(gear.made), solids(EXTERNAL[1])
    at = product.seat_pawl(space, product.Wedge(radians(face_deg)), Y)
    new = _new_teeth(gear, None, radians(psi_deg), e, _pawl_seat(solid, face_deg, Y, 1, gear))

    assert np.ptp(new) / 2 == pytest.approx(e * run_out_gain(space, at, radians(psi_deg), 1), rel=0.03, abs=0.0003)


@pytest.mark.parametrize("gear", EXTERNAL[:3], ids=_id)
def test_a_pin_on_the_root_lets_the_ring_turn_as_far_as_the_rolled_metal_lets_it(gear, solids):
    space, D, lift = product.Space(gear.made), 0.7 * gear.m, 0.002  # lifted clear of the scallops of the rolled root
    at = product.seat(space, product.Round(D))
    pin = ball(D, at.Y + lift, 1)
    room = product.looseness(space, product.Round(D), replace(at, Y=at.Y + lift))
    got = _turned_against(solids(gear), pin, 0.0, -2 * room)

    assert at.touches == "root"
    assert abs(-got - room) * gear.r < 2 * NEAR


def test_the_method_itself_sees_a_wrong_contact(solids):
    """A ball 10 um larger stops 10 um and more earlier: the comparison above would see it."""
    gear = EXTERNAL[0]
    D = product.best_round(product.Space(gear.made))
    one = pushed_in(solids(gear), lambda Y: ball(D, Y, 1), *_far(gear))
    two = pushed_in(solids(gear), lambda Y: ball(D + 0.01, Y, 1), *_far(gear))
    assert two - one > 5 * NEAR
    assert hypot(two, 0) > 0
