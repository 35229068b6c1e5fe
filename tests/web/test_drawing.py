"""The drawn ring: as many teeth as it has, true to the involute, damage that is seen and hidden as ISO 128 asks."""

import re
from math import atan2, cos, hypot, pi, radians, tan
from xml.etree import ElementTree

import numpy as np
import pytest

from ringwright.gears.ring import RingGeometry
from ringwright.paper import drawing
from ringwright.paper.drawing import RADIUS, Damage, Form, Ring, Stretch, Tooth

SVG = "{http://www.w3.org/2000/svg}"


def paths(svg, name):
    root = ElementTree.fromstring(svg)
    return [p.get("d") for p in root.iter(f"{SVG}path") if p.get("class") == name]


def points(d):
    return np.array([[float(x), float(y)] for x, y in re.findall(r"(-?[\d.]+),(-?[\d.]+)", d)])


@pytest.mark.parametrize("z", [12, 40, 127, 300])
def test_the_contour_has_that_many_tips_on_the_tip_circle(z):
    (contour,) = paths(drawing.ring_svg(Ring(Form(z), {})), "vis")
    r = np.hypot(*points(contour).T)
    tip = RADIUS * (1 + 2 / z)
    high = r > tip - 0.02
    assert np.sum(high & ~np.roll(high, 1)) == z
    assert r.max() == pytest.approx(tip, abs=0.01)
    assert r.min() == pytest.approx(RADIUS * (1 - 2.5 / z), abs=0.01)


def test_tooth_one_stands_on_top_and_counting_is_clockwise():
    svg = drawing.ring_svg(Ring(Form(40), {}))
    root = ElementTree.fromstring(svg)
    at = {
        p.get("data-tooth"): points(p.get("d")).mean(axis=0) for p in root.iter(f"{SVG}path") if p.get("class") == "hit"
    }
    assert len(at) == 40
    assert at["1"][0] == pytest.approx(0, abs=0.1)
    assert at["1"][1] < 0
    assert at["11"][0] > 0
    assert at["11"][1] == pytest.approx(0, abs=0.1)


def test_flanks_are_those_of_the_geometry_at_every_drawn_height():
    z = 40
    ring = RingGeometry("external", z, 2 * RADIUS / z)
    (contour,) = paths(drawing.ring_svg(Ring(Form(z), {})), "vis")
    on_one = [q for q in points(contour) if abs(np.arctan2(q[0], -q[1])) < pi / z and q[0] > 0]
    checked = 0
    for x, y in on_one:
        r = hypot(x, y)
        if max(ring.d_b / 2, RADIUS - 0.4 * ring.m_n) < r < ring.d_a / 2 - 0.1:
            half = float(ring.s_y(2 * r)) / (2 * r)
            assert np.arctan2(x, -y) == pytest.approx(half, abs=2e-4)
            checked += 1
    assert checked >= 4


def test_an_internal_tooth_points_inwards_and_shift_makes_it_shorter():
    def tip(x):
        (contour,) = paths(drawing.ring_svg(Ring(Form(60, internal=True, x=x), {})), "vis")
        return np.hypot(*points(contour).T).min()

    module = 2 * RADIUS / 60
    assert tip(0.0) == pytest.approx(RADIUS - module, abs=0.01)
    assert tip(0.3) == pytest.approx(RADIUS - 1.3 * module, abs=0.01)  # d_a = d - 2 m (h_a + x)


def test_thickness_on_the_reference_circle_grows_with_the_shift():
    z, alpha = 40, radians(20)
    for x in (0.0, 0.5):
        profile = drawing._Profile(Form(z, x=x))
        want = (pi / 2 + 2 * x * tan(alpha)) / z
        assert profile.at(RADIUS) == pytest.approx(want, rel=1e-12)
    assert drawing._Profile(Form(z)).at(RADIUS * cos(alpha)) > want * 0.5


CONDITIONS = ("worn", "chewed", "chipped", "missing")


@pytest.mark.parametrize("condition", CONDITIONS)
def test_what_is_gone_at_this_end_changes_the_outline_and_leaves_dashes(condition):
    sound = Ring(Form(40), {})
    hurt = Ring(Form(40), {7: Tooth((Damage(condition, end="entry"),))})
    assert paths(drawing.ring_svg(hurt), "vis") != paths(drawing.ring_svg(sound), "vis")
    assert len(paths(drawing.ring_svg(hurt), "hid")) == 1
    assert paths(drawing.ring_svg(sound), "hid") == []


@pytest.mark.parametrize("condition", CONDITIONS)
def test_what_is_gone_at_the_far_end_is_hidden_from_here(condition):
    sound = Ring(Form(40), {})
    hurt = Ring(Form(40), {7: Tooth((Damage(condition, end="far"),))})
    assert paths(drawing.ring_svg(hurt), "vis") == paths(drawing.ring_svg(sound), "vis")
    assert len(paths(drawing.ring_svg(hurt), "hid")) == 1


def test_the_clockwise_flank_is_the_one_that_is_hurt():
    plus = drawing._outline(drawing._Profile(Form(40)), (Damage("worn", "plus"),))
    sound = drawing._outline(drawing._Profile(Form(40)), ())
    left = [q for q in sound if q[0] < 0]
    assert [q for q in plus if q[0] < 0] == left
    assert [q for q in plus if q[0] > 0] != [q for q in sound if q[0] > 0]


def test_every_condition_reads_without_colour():
    each = {
        name: drawing.glass_svg(Ring(Form(60), {5: Tooth((Damage(name),))}), 5)
        for name in (*CONDITIONS, "cracked", "weld")
    }
    assert len(set(each.values())) == len(each)
    assert paths(each["cracked"], "crk")
    assert paths(each["weld"], "dots")


def test_harder_teeth_carry_denser_hatch():
    def lines(hardness):
        (hatch,) = paths(drawing.ring_svg(Ring(Form(60), {5: Tooth(hardness=hardness)})), "hatch")
        return hatch.count("M")

    assert lines(0.0) < lines(0.5) < lines(1.0)


def test_all_views_are_well_formed_and_say_what_they_show():
    ring = Ring(
        Form(127),
        {n: Tooth((Damage("weld"),), 0.9, done=n % 2 == 0) for n in range(100, 109)},
        (Stretch(120, 3, "hard"), Stretch(40, 50, "weld"), Stretch(60, 61, "soft")),
        (18, 82),
        127,
        'a ring "drawn" <true>',
    )
    for svg in (
        drawing.ring_svg(ring, style=drawing.PAPER_STYLE),
        drawing.glass_svg(ring, 127),
        drawing.strip_svg(ring),
    ):
        root = ElementTree.fromstring(svg)
        assert root.get("aria-label") == 'a ring "drawn" <true>'
        assert "nan" not in svg
    strip = ElementTree.fromstring(drawing.strip_svg(ring))
    assert len(list(strip.iter(f"{SVG}rect"))) == 127


def test_a_stretch_over_the_end_of_the_count_is_drawn_whole():
    (ticks,) = paths(drawing.ring_svg(Ring(Form(127), {}, (Stretch(125, 3, "hard"),))), "thin")
    assert ticks.count("M") == 6 * 4


def test_the_smallest_and_the_largest_ring_can_be_drawn():
    for z in (5, 1000):
        assert drawing.ring_svg(Ring(Form(z), {}))
        assert drawing.glass_svg(Ring(Form(z), {}), 1)


def _middle(d):
    """Where the corners of a closed path lie on average, as an angle clockwise from the top [rad]."""
    x, y = points(d).mean(axis=0)
    return atan2(x, -y)


def test_the_scriber_of_a_round_stands_at_the_space_behind_its_tooth():
    z, n = 40, 7
    (at_tooth,) = paths(drawing.ring_svg(Ring(Form(z), {}, scriber=n)), "scr")
    (at_space,) = paths(drawing.ring_svg(Ring(Form(z), {}, scriber=n, scriber_between=True)), "scr")
    (cursor,) = paths(drawing.ring_svg(Ring(Form(z), {}, scriber=n, scriber_between=True)), "cur")

    assert _middle(at_tooth) == pytest.approx(2 * pi * (n - 1) / z, abs=1e-4)
    assert _middle(at_space) == pytest.approx(2 * pi * (n - 0.5) / z, abs=1e-4)
    assert _middle(cursor) == pytest.approx(2 * pi * (n - 0.5) / z, abs=1e-4)


def test_the_glass_of_a_round_has_the_space_in_its_middle():
    svg = drawing.glass_svg(Ring(Form(40), {}, scriber=7, scriber_between=True), 7)
    (cursor,) = paths(svg, "cur")
    here = {n: float(x) for x, n in re.findall(r'class="gn[^"]*" x="(-?[\d.]+)"[^>]*>(\d+)<', svg)}

    assert points(cursor)[:, 0].mean() == pytest.approx(0, abs=0.1)
    assert here["7"] == pytest.approx(-here["8"], abs=0.11)
    assert here["7"] < 0, "the numbers run clockwise"


def test_a_space_that_was_cut_has_its_dot_between_the_teeth():
    ring = Ring(Form(40), {7: Tooth(done=True)}, done_between=True)
    (dot,) = paths(drawing.ring_svg(ring), "done")

    assert _middle(dot) == pytest.approx(2 * pi * 6.5 / 40, abs=1e-3)
