"""Laws and limits of the detent: what it carries over, where it may stand, what it says."""

from __future__ import annotations

import itertools
from math import cos, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.dividing import detent_places as places
from ringwright.dividing.detent import (
    Round,
    Space,
    Wedge,
    best_face,
    best_nose,
    best_round,
    best_wedge,
    looseness,
    middle_radius,
    seat,
    seat_pawl,
)
from ringwright.dividing.detent_errors import Old, carried, run_out_gain
from ringwright.errors import OutOfRange, Refusal
from ringwright.gears.measures import ideal_pin, over_pins
from ringwright.gears.ring import RingGeometry

EXTERNAL = RingGeometry("external", 60, 4.0)
RINGS = st.builds(
    RingGeometry,
    st.just("external"),
    st.integers(18, 250),
    st.sampled_from([1.0, 2.5, 5.0, 12.0]),
    st.sampled_from([radians(14.5), radians(20), radians(25)]),
    x=st.sampled_from([0.0, 0.2, 0.4]),
)
ASKED = {"ring": {"kind": "external", "teeth": 60, "module_mm": 4}, "detent": {"shape": "ball"}}


@settings(derandomize=True, deadline=None, max_examples=40)
@given(ring=RINGS)
def test_over_two_best_balls_is_the_printed_relation(ring):
    space = Space(ring)
    D = best_round(space)
    at = seat(space, Round(D))

    assert at.touches == "flank"
    c = 1.0 if ring.z % 2 == 0 else cos(pi / (2 * ring.z))
    assert c * (2 * at.Y + D) + D == pytest.approx(
        float(over_pins(D, ring.z, ring.m_n, ring.alpha_n, x=ring.x)), abs=1e-6
    )
    assert pytest.approx(ideal_pin("external", 2 * middle_radius(space), ring.z, ring.m_n, ring.alpha_n, x=ring.x)) == D


@settings(derandomize=True, deadline=None, max_examples=40)
@given(ring=RINGS)
def test_the_best_wedge_bears_halfway_up_and_clears_the_root_by_a_quarter_module(ring):
    space = Space(ring)
    half = best_wedge(space)
    nose = best_nose(space, half)
    at = seat(space, Wedge(half, nose))

    assert at.touches == "flank"
    assert at.r == pytest.approx(middle_radius(space), abs=1e-3 * ring.m_n)
    assert at.slope == pytest.approx(half, abs=1e-4)
    if nose > 0:
        assert at.Y - ring.d_f / 2 == pytest.approx(0.25 * ring.m_n, abs=1e-6 * ring.m_n)


@pytest.mark.parametrize("face_deg", [5.0, 15.0, 25.0])
def test_a_pawls_contact_normal_is_tangent_to_the_base_circle(face_deg):
    space, Y = Space(EXTERNAL), EXTERNAL.d_a / 2 - 6.5
    at = seat_pawl(space, Wedge(radians(face_deg)), Y)
    if at.on_nose or at.touches != "flank":
        assert face_deg < 20  # a face that is too steep meets the flank with its nose
        return
    t = (sin(radians(face_deg)), cos(radians(face_deg)))
    assert at.x * t[0] + at.y * t[1] == pytest.approx(EXTERNAL.d_b / 2, abs=1e-5)


def test_the_best_face_touches_halfway_up():
    Y = EXTERNAL.d_a / 2 - 7
    at = seat_pawl(Space(EXTERNAL), Wedge(best_face(Space(EXTERNAL), Y)), Y)
    assert at.r == pytest.approx(middle_radius(Space(EXTERNAL)), abs=1e-3)


def test_a_smaller_ball_goes_deeper_until_the_root_stops_it():
    noses = [seat(Space(EXTERNAL), Round(D)) for D in np.linspace(9, 2, 15)]
    for one, next_ in itertools.pairwise(noses):
        assert next_.Y <= one.Y + 1e-9
    assert noses[-1].touches == "root"
    assert pytest.approx(EXTERNAL.d_f / 2) == noses[-1].Y


def test_a_ball_on_the_root_leaves_the_ring_loose_and_one_on_the_flanks_does_not():
    space = Space(EXTERNAL)
    small, right = Round(3.0), Round(best_round(space))

    assert looseness(space, right, seat(space, right)) == pytest.approx(0, abs=1e-9)
    room = looseness(space, small, seat(space, small))
    assert room > 0


@settings(derandomize=True, deadline=None, max_examples=30)
@given(w=st.floats(0.01, 0.4))
def test_wear_on_both_flanks_alike_moves_nothing_aside(w):
    space = Space(EXTERNAL, w)
    at = seat(space, Round(best_round(space)))
    assert carried(space, at, Old(w_plus=w, w_minus=w)).bias == 0
    assert carried(space, at, Old(w_plus=w)).bias == -carried(space, at, Old(w_minus=w)).bias


def test_run_out_nothing_beside_the_cutter_and_both_swings_opposite_it():
    space = Space(EXTERNAL)
    at = seat(space, Round(best_round(space)))
    r, r_K = EXTERNAL.d / 2, EXTERNAL.d_b / 2 / cos(at.slope)

    assert run_out_gain(space, at, 0.0) == pytest.approx(abs(r / r_K - 1), abs=1e-6)
    assert run_out_gain(space, at, pi) == pytest.approx(r / r_K + 1, abs=1e-6)
    for psi in np.linspace(0.3, 6, 9):
        assert run_out_gain(space, at, psi) == pytest.approx(
            hypot(r / r_K * cos(psi) - 1, r / r_K * sin(psi)), abs=1e-6
        )


def test_a_pawl_beside_the_cutter_still_feels_the_radial_run_out():
    space, Y = Space(EXTERNAL), EXTERNAL.d_a / 2 - 7
    at = seat_pawl(space, Wedge(best_face(space, Y)), Y)
    # one mm out and in at the pawl is tan(face) mm along the circle, about
    assert run_out_gain(space, at, 0.0, 1) == pytest.approx(tan(at.slope), rel=0.05)


def test_totals_are_the_sums_of_their_parts():
    over = carried(Space(EXTERNAL), seat(Space(EXTERNAL), Round(6.9)), Old(0.1, 0.0, 0.01, 0.02, pi, 0.02, 0.005))
    assert over.place == pytest.approx(abs(over.bias) + over.pitch + over.run_out + over.play)
    assert over.neighbour(60) == pytest.approx(2 * over.pitch + 2 * over.run_out * sin(pi / 60) + 2 * over.play)
    assert over.seam == pytest.approx(over.place + over.pitch)


@settings(derandomize=True, deadline=None, max_examples=120)
@given(data=st.data(), z=st.integers(8, 60), side=st.sampled_from([-1, 0, 1]))
def test_no_bad_and_no_new_space_is_ever_used_and_none_is_left_out_that_could_be_served(data, z, side):
    cut = data.draw(st.lists(st.integers(1, z), unique=True, max_size=z))
    damaged = data.draw(st.lists(st.integers(1, z), unique=True, max_size=6))
    least = data.draw(st.integers(1, 4))
    good = places.usable(z, damaged, cut, side=side)
    found, left = places.settings(z, good, cut, least)

    assert sorted([n for one in found for n in one.cut] + list(left)) == sorted(cut)
    for one in found:
        assert least <= abs(one.k) <= z - least
        for n in one.cut:
            m = (n - 1 + one.k) % z + 1
            teeth = {0: {m, m % z + 1}, -1: {m}, 1: {m % z + 1}}[side]
            assert not teeth & set(damaged)
            assert m not in cut
    for n in left:
        for k in range(least, z - least + 1):
            m = (n - 1 + k) % z + 1
            assert m in cut or {0: {m, m % z + 1}, -1: {m}, 1: {m % z + 1}}[side] & set(damaged)


@settings(derandomize=True, deadline=None, max_examples=80)
@given(z=st.integers(5, 40), data=st.data())
def test_runs_hold_every_cut_space_once_and_their_neighbours_are_old(z, data):
    cut = data.draw(st.lists(st.integers(1, z), unique=True, min_size=1, max_size=z - 1))
    met = []
    for first, last in places.runs(z, cut):
        assert (first - 2) % z + 1 not in cut
        assert last % z + 1 not in cut
        n = first
        while n != last:
            met.append(n)
            n = n % z + 1
        met.append(last)
    assert sorted(met) == sorted(cut)


def test_moved_by_its_share_a_run_meets_both_neighbours_alike():
    joint = places.joint(12, (3, 5), {3: 7.0, 4: 8.0, 5: 9.0}, {2: 1.0, 6: -4.0})
    assert joint.at_first + joint.share == pytest.approx(joint.at_last - joint.share)


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (lambda: Space(RingGeometry("external", 60, 4.0, beta=0.2)), "spur_only_here"),
        (lambda: Wedge(0.3, 2.0, 1.0), "body_within_nose"),
        (lambda: seat_pawl(Space(EXTERNAL), Wedge(0.3), EXTERNAL.d_a / 2 + 30), "pawl_meets_no_flank"),
    ],
)
def test_what_has_no_answer_is_refused(make, code):
    with pytest.raises(Refusal) as caught:
        make()
    assert caught.value.code == code


@pytest.mark.parametrize(
    "make", [lambda: Round(0), lambda: Wedge(1.5), lambda: Space(EXTERNAL, -0.1), lambda: Space(EXTERNAL, 5)]
)
def test_limits(make):
    with pytest.raises(OutOfRange):
        make()


def test_a_straight_flank_has_no_best_angle_inside():
    inside = Space(RingGeometry("internal", 60, 4.0))
    assert best_wedge(inside) is None
    assert best_face(inside, 117.0) is None


def test_every_default_is_a_note():
    codes = {n.code for n in reckon.detent(ASKED).notes}
    assert {
        "default_size",
        "no_worn",
        "no_pitch",
        "no_eccentricity",
        "no_slide",
        "default_least_away",
        "no_cut",
    } <= codes
    told = reckon.detent({**ASKED, "detent": {"shape": "ball", "diameter_mm": 6.9}, "worn": {}, "pitch_error_um": 1,
                          "eccentricity_mm": 0, "slide_play_mm": 0, "teeth_away": 5})  # fmt: skip
    assert not {n.code for n in told.notes} & {"default_size", "no_worn", "no_pitch", "no_slide", "no_cut"}


@pytest.mark.parametrize(
    ("sizes", "touches"),
    [({"diameter_mm": 3}, "root"), ({"diameter_mm": 13}, "tips"), ({"diameter_mm": 6.9}, "both_flanks")],
)
def test_a_detent_that_does_not_hold_is_said_to(sizes, touches):
    answer = reckon.detent({**ASKED, "detent": {"shape": "pin", **sizes}})
    assert answer.seat.touches == touches
    assert answer.seat.holds == (touches == "both_flanks")
    assert (f"touches_{touches}" in {n.code for n in answer.notes}) == (not answer.seat.holds)
    assert ("does not hold" in answer.says) == (not answer.seat.holds)


def test_a_fixed_place_names_the_spaces_it_cannot_serve():
    answer = reckon.detent({**ASKED, "cut": [5, 6, 7], "damaged": [11], "teeth_away": 4})
    # cutting 6 the detent sits in space 10, cutting 7 in space 11: both touch tooth 11
    assert answer.cannot == (6, 7)
    assert [r.space for r in answer.rows] == [5]
    assert "cannot" in {n.code for n in answer.notes}
