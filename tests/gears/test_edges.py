"""Answers and refusals at the edges: pointed teeth, centres that cannot be, words with their limits."""

from __future__ import annotations

from math import acos, cos, hypot, pi, radians, sin, tan

import pytest

from ringwright import reckon, tables
from ringwright.gears import touch
from ringwright.gears.ring import RingGeometry
from ringwright.reckon.base import Problems

RING = {"kind": "external", "teeth": 60, "module_mm": 5}
MATE = {"kind": "external", "teeth": 20, "module_mm": 5}
INSIDE = {**RING, "kind": "internal"}


def refused(name, request):
    with pytest.raises(Problems) as problems:
        reckon.operation(name).ask(request)
    (one,) = problems.value.problems
    return one


def pointed_by_halving(ring):
    """Where the two flanks meet, found by drawing thicknesses only."""
    thick, gone = (ring.d, 3 * ring.d) if ring.s > 0 else (ring.d, ring.d_b)
    for _step in range(100):
        middle = (thick + gone) / 2
        thick, gone = (middle, gone) if float(ring.s_y(middle)) > 0 else (thick, middle)
    return thick


@pytest.mark.parametrize("beta", [0.0, radians(25)])
def test_no_measure_touches_beyond_the_point_of_a_pointed_tooth(beta):
    ring = RingGeometry("external", 9, 3.0, beta=beta, x=1.4)
    point = pointed_by_halving(ring)

    assert point < ring.d_a - 0.2
    assert ring.d_pointed == pytest.approx(point, abs=1e-9)
    assert touch.flank_range(ring)[1] == pytest.approx(point, abs=1e-9)
    contacts = [one.d_M for one in touch.spans(ring)] + [one.reads.d_M for one in touch.usual_pins(ring)]
    assert contacts
    assert max(contacts) < point


def test_an_internal_tooth_runs_to_a_point_only_where_its_flanks_meet():
    ring = RingGeometry("internal", 60, 5.0, x=-1.9, h_a=2.0, h_f=1.0, d_a_given=286.0)
    assert float(ring.s_y(286.0)) < 0
    assert touch.flank_range(ring)[0] == pytest.approx(pointed_by_halving(ring), abs=1e-9)

    broad = RingGeometry("internal", 60, 5.0)
    assert not broad.d_pointed > 0
    assert touch.flank_range(broad)[0] == broad.d_a


@pytest.mark.parametrize("kind", ["circumferential", "normal", "radial"])
@pytest.mark.parametrize(
    ("ring", "mate", "mm"),
    [
        (RING, MATE, 60.0),  # the tips would leave each other
        ({**RING, "profile_shift": -1.9}, {**MATE, "profile_shift": -1.4}, 0.2),  # no centres are tight
        (INSIDE, MATE, 60.0),
    ],
)
def test_a_backlash_that_cannot_be_is_refused_by_its_own_name(ring, mate, mm, kind):
    one = refused("mesh", {"ring": ring, "mate": mate, "backlash": {"kind": kind, "mm": mm}})

    assert (one.code, one.where) == ("no_such_backlash", "backlash.mm")
    assert f"{mm:g} mm" in one.what


def test_centres_too_near_inside_are_told_their_least():
    one = refused("mesh", {"ring": INSIDE, "mate": MATE, "centre_distance_mm": 10})
    least = max((300 - 100) / 2 * cos(radians(20)), (290 - 110) / 2)

    assert (one.code, one.where) == ("too_near_inside", "centre_distance_mm")
    assert f"{least:.6g} mm" in one.allowed
    assert "inf" not in one.allowed


@pytest.mark.parametrize(("edition", "most"), [("1995", "63"), ("2013", "31")])
def test_sector_pitches_are_counted_whole(edition, most):
    ring = {"kind": "external", "teeth": 127, "module_mm": 5}
    one = refused("tolerance", {"ring": ring, "grade": 7, "edition": edition, "sector_pitches": 100})

    assert (one.code, one.where) == ("out_of_range", "sector_pitches")
    assert one.allowed.rstrip(".").endswith(f" {most}")


def test_pins_between_teeth_are_chosen_inside_the_reference_circle():
    answer = reckon.gear({"ring": {**INSIDE, "profile_shift": 0.3}})
    chosen = next(note.text for note in answer.notes if note.code == "pin_chosen")

    assert "d - 2 x m" in chosen
    assert answer.pins.contact_diameter_mm == pytest.approx(300 - 2 * 0.3 * 5, abs=0.5)


def test_the_caliper_goes_by_the_shaper_that_was_given():
    # dedendum just below the reference circle: a sharp cutter leaves flank there, a round one does not
    ring = {**INSIDE, "teeth": 72, "dedendum_coef": 0.25, "root_radius_coef": 0.3}
    by_tip = {
        coef: reckon.gear({"ring": ring, "shaper": {"teeth": 20, "tip_radius_coef": coef}}) for coef in (0.0, 0.6)
    }

    assert by_tip[0.0].root.form_diameter_mm > 360 > by_tip[0.6].root.form_diameter_mm
    assert by_tip[0.0].chordal is not None
    assert by_tip[0.6].chordal is None


@pytest.mark.parametrize("edition", ["1995", "2013"])
def test_pitch_and_slopes_go_both_ways_and_nothing_else(edition):
    answer = reckon.tolerance(
        {"ring": {**RING, "face_width_mm": 40}, "grade": 7, "edition": edition},
    )

    both_ways = {line.name for line in answer.lines if line.plus_minus}
    assert both_ways == {"single_pitch", "sector_pitch", "profile_slope", "helix_slope"}


@pytest.mark.parametrize("apart", [-0.001, 0.001])
def test_a_contact_ratio_is_short_below_one_and_a_fifth(apart):
    # both tips turned down so far that the two tip circles leave just that length of the line of action
    wanted = (1.2 + apart) * pi * 5 * cos(radians(20))
    pitch_point = [radius * sin(radians(20)) for radius in (150, 50)]
    tips = [
        2 * hypot(radius * cos(radians(20)), along + wanted / 2)
        for radius, along in zip((150, 50), pitch_point, strict=True)
    ]
    answer = reckon.mesh(
        {"ring": {**RING, "tip_diameter_mm": tips[0]}, "mate": {**MATE, "tip_diameter_mm": tips[1]},
         "centre_distance_mm": 200.0}
    )  # fmt: skip

    assert answer.contact_ratio.total == pytest.approx(1.2 + apart, abs=1e-6)
    assert ("contact_short" in {note.code for note in answer.notes}) == (apart < 0)


@pytest.mark.parametrize(
    ("kind", "teeth", "helix", "use"),
    [
        ("internal", 60, 15, "balls"),
        ("internal", 61, 15, "balls"),
        ("internal", 61, 0, "pins"),
        ("external", 60, 15, "pins"),
        ("external", 61, 15, "balls"),
        ("external", 61, 0, "pins"),
    ],
)
def test_where_straight_pins_cannot_lie_balls_are_asked_for(kind, teeth, helix, use):
    ring = {"kind": kind, "teeth": teeth, "module_mm": 5, "helix_angle_deg": helix, "hand": "left"}
    answer = reckon.gear({"ring": ring})

    assert answer.pins.use == use
    assert {pin.use for pin in answer.usual_pins} == {use}
    assert ("balls_not_pins" in {note.code for note in answer.notes}) == (use == "balls")


@pytest.mark.parametrize("of", ["ring", "mate"])
@pytest.mark.parametrize("swapped", [False, True])
def test_a_loss_greater_than_the_tooth_is_refused_at_its_own_field(of, swapped):
    pair = (MATE, INSIDE) if swapped else (INSIDE, MATE)
    one = refused("mesh", {"ring": pair[0], "mate": pair[1], f"{of}_thickness_lost_mm": 30})

    assert (one.code, one.where) == ("out_of_range", f"{of}_thickness_lost_mm")


@pytest.mark.parametrize("kind", ["external", "internal"])
def test_two_chamfers_are_taken_off_the_tip_land(kind):
    s = 1 if kind == "external" else -1
    ring = {"kind": kind, "teeth": 60, "module_mm": 5}
    answer = reckon.gear({"ring": ring, "tip_chamfer_mm": 0.7})
    # thickness carried from 300 to the tip circle by tan - angle
    tip = acos(300 * cos(radians(20)) / (300 + s * 10))
    inv_20, inv_tip = tan(radians(20)) - radians(20), tan(tip) - tip
    thick = (300 + s * 10) * (pi / 120 + s * (inv_20 - inv_tip))

    assert answer.transverse_tip_land_mm == pytest.approx(thick - 1.4)
    assert answer.tip_form_diameter_mm == pytest.approx(300 + s * (10 - 1.4))


def test_a_recommendation_outside_its_range_names_its_source_in_words():
    answer = reckon.mesh({"ring": {**INSIDE, "teeth": 30}, "mate": {**MATE, "teeth": 15}})
    (said,) = [note.text for note in answer.notes if note.code == "outside_validity"]

    assert "iso-tr-10064-2" not in said
    assert tables.sources()["iso-tr-10064-2"].title in said


def test_no_backlash_is_said_without_a_minus():
    answer = reckon.mesh({"ring": INSIDE, "mate": MATE, "centre_distance_mm": 100 + 1e-10})
    (said,) = [note.text for note in answer.notes if note.code == "below_recommended"]

    assert -1e-9 < answer.backlash.normal_mm < 0
    assert "backlash 0.000 mm" in said
