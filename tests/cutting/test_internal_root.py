"""The root of an internal ring in the cut: what a pinion-shaped cutter leaves, against a ring rolled on paper."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from ringwright.cutting.surface import ToothedRing
from ringwright.gears.ring import RingGeometry


def rolled_space(z, z_0, m, half_turns=2000):
    """Space of an internal ring without shift: a sharp-cornered cutter of z_0 teeth rolled through it, as a polygon.

    The cutter's tooth is a string unwound from its base circle; its axis stands (z - z_0) m / 2 from the ring's.
    """
    alpha, r_0, a_0 = np.radians(20), z_0 * m / 2, (z - z_0) * m / 2
    r_b, r_tip = r_0 * np.cos(alpha), (z * m + 2 * 1.25 * m) / 2 - a_0
    t = np.linspace(0, np.sqrt((r_tip / r_b) ** 2 - 1), 400)
    half = np.pi / 2 / z_0 + np.tan(alpha) - alpha - (t - np.arctan(t))
    r = r_b * np.hypot(1, t)
    tip = np.linspace(half[-1], -half[-1], 30)[1:-1]
    radius = np.concatenate([r, np.full(tip.size, r_tip), r[::-1]])
    angle = np.concatenate([half, tip, -half[::-1]])
    cut = []
    for turn in np.linspace(-0.9, 0.9, half_turns) * 4 * np.pi / z_0:
        x, y = radius * np.sin(angle + turn), a_0 + radius * np.cos(angle + turn)
        back = turn * z_0 / z  # the ring turns the same way, slower
        rho, phi = np.hypot(x, y), np.arctan2(x, y) - back
        cut.append(shapely.Polygon(np.column_stack([rho * np.sin(phi), rho * np.cos(phi)])).buffer(0))
    return shapely.union_all(cut)


def test_the_root_of_an_internal_ring_is_what_its_cutter_leaves():
    z, m = 60, 5.0
    body = ToothedRing(RingGeometry("internal", z, m, rho_f=0.0), 30.0)
    # 20 teeth make 100 mm, but cut true flanks down to 290.1 mm only and the tips lie on 290: the usual one has 21
    space = rolled_space(z, 21, m)

    assert body.has_fillet
    for r in np.linspace(146.0, body.r_f - 0.25, 12):
        ring = shapely.LineString([(r * np.sin(a), r * np.cos(a)) for a in np.linspace(-0.06, 0.06, 4001)])
        wide = ring.intersection(space).length / r / 2
        assert np.pi / z - float(body.half_angle(np.array(r))) == pytest.approx(wide, abs=0.003 / r)


@pytest.mark.parametrize("beta", [0.0, 0.3])
def test_the_fillet_goes_on_from_the_involute_without_a_step(beta):
    body = ToothedRing(RingGeometry("internal", 127, 5.0, beta=beta), 60.0)
    near = body.half_angle(body.r_form + np.array([-1e-6, 1e-6]))

    assert body.r_a < body.r_form < body.r_f
    assert near[1] == pytest.approx(near[0], abs=1e-8)
    # metal is left in the corner, where the involute alone would leave none
    straight = float(body.ring.s_y(2 * (body.r_f - 0.05))) / 2 / (body.r_f - 0.05)
    assert float(body.half_angle(np.array(body.r_f - 0.05))) > straight + 1e-4


def test_where_no_usual_cutter_makes_the_ring_the_involute_goes_to_the_root_circle():
    body = ToothedRing(RingGeometry("internal", 12, 3.0, h_a=0.6), 30.0)

    assert not body.has_fillet
    assert body.r_form == body.r_f
