"""Touch-off, lead and land against closed forms, against solids cut by booleans, and in their laws."""

from __future__ import annotations

import runpy
from math import acos, asin, cos, pi, radians, sin, sqrt, tan
from pathlib import Path

import numpy as np
import pytest
import shapely

from ringwright import reckon
from ringwright.cutting.cutter import EndMill
from ringwright.cutting.lead_in import end_face_profile, touched
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import Lost, ToothedRing, patches
from ringwright.errors import Refusal
from ringwright.gears.ring import RingGeometry

Plain = runpy.run_path(str(Path(__file__).parents[2] / "bench" / "plain" / "field_boolean.py"))["Plain"]
RING = RingGeometry("external", 127, 5.0)
BODY = ToothedRing(RING, 60.0)
EXAMPLE = ([1, 0, -1], [-1, 0, 0], [337.5, 0, -1])


@pytest.fixture(scope="module")
def example():
    return touched(BODY, EndMill(6.0), pose(*EXAMPLE))


def _half_space_angle(rho):
    """Half the space of the 127 x 5 ring at rho, from the involute."""
    alpha, alpha_y = radians(20), acos(317.5 * cos(radians(20)) / rho)
    return pi / 254 - ((tan(alpha) - alpha) - (tan(alpha_y) - alpha_y))


def test_first_contact_of_the_example_in_closed_form(example):
    """The end of the cutter shows a half chord of sqrt(34) at a = 0; the space is that wide at one height."""
    low, high = 318.0, 322.5
    for _ in range(100):
        rho = (low + high) / 2
        low, high = (rho, high) if rho * sin(_half_space_angle(rho)) < sqrt(34) else (low, rho)

    assert example.tip_at_touch_off == pytest.approx([low * cos(_half_space_angle(low)) - 1, 0, -1], abs=2e-7)
    assert example.touch.first.point == pytest.approx([low * cos(_half_space_angle(low)), sqrt(34), 0], abs=2e-7)
    assert example.touch.grazing
    assert example.touch.first.surface == "flank_edge"
    assert [c.point[1] for c in example.touch.others] == pytest.approx([-sqrt(34)])


def test_a_corner_lost_comes_later_by_what_the_bevelled_solid_says(example):
    """Own bevel of the touched edge as points: least field over a fine sampling, from the sampled involute."""
    rho = np.linspace(313, 322.5, 2500)
    angle = np.array([_half_space_angle(x) for x in rho])
    flank = np.column_stack([rho * np.cos(angle), rho * np.sin(angle)])
    along = np.gradient(flank, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    into = np.column_stack([-along[:, 1], along[:, 0]])
    least = np.inf
    for gone in np.linspace(0, 1, 201):
        points = np.column_stack([flank + gone * into, np.full(len(rho), 1 - gone)])
        least = min(least, float(example.field(points).min()))
    assert example.touch.shift == pytest.approx(least, abs=0.01)
    assert example.touch.shift > 1


def test_lead_and_land_never_go_back_with_infeed(example):
    infeeds = np.linspace(0, 9, 25)
    cuts = [example.cut(s) for s in infeeds]

    assert (np.diff([c.leads.least for c in cuts]) >= -1e-9).all()
    assert (np.diff([c.land_finished for c in cuts]) <= 1e-9).all()
    assert cuts[0].land_finished == pytest.approx(2.5 * pi, abs=1e-9)


def test_the_finished_tooth_has_lost_both_sides(example):
    cut = example.cut(5.0)

    assert cut.land_finished == pytest.approx(cut.land_plus + cut.land_minus - 2.5 * pi, abs=1e-9)


def test_aims_come_back_as_cuts(example):
    for lead in (0.01, 0.4, 1.3, 2.2):
        assert example.aim_lead(lead).cut.leads.least == pytest.approx(lead, abs=1e-6)
    for land in (7.5, 6.0, 4.2):
        assert example.aim_land(land).cut.land_finished == pytest.approx(land, abs=2e-5)


def test_full_face_is_what_the_deepest_height_leaves(example):
    """At each height the flank is cut until the chord no longer fills the space, or the end face no longer reaches."""
    infeed = 5.713363328825
    tip = example.tip_at_touch_off[0] - infeed
    deepest = 0.0
    for rho in np.linspace(BODY.r_form, 322.5, 4000):
        half = _half_space_angle(rho)
        r, t = rho * cos(half), rho * sin(half)
        if t < sqrt(34):
            deepest = max(deepest, min(r - tip, sqrt((36 - t * t) / 2)) - 1)

    assert example.full_face(infeed) == pytest.approx(60 - deepest, abs=1e-3)


def test_a_lead_that_jumps_is_told_with_both_sides():
    """A cutter that stands 10 mm inside the face cuts a keyway there that never opens towards the face."""
    inside = touched(BODY, EndMill(6.0), pose([1, 0, 0], [-1, 0, 0], [340, 0, 10]))
    aim = inside.aim_lead(2.0)
    assert aim.cut is None
    assert aim.above is not None
    assert aim.above.leads.least > 12
    assert aim.below is not None
    assert aim.below.leads.least == 0


SETUPS = [
    (12.0, [1, 0, -1], [-1, 0, 0], [337.5, 0, -1], None, 0.9),
    (14.0, [1, 0.1, -0.8], [-1, 0, 0.1], [337.5, 0.2, -1.5], None, 0.6),
    (10.0, [0.9, -0.15, -1], [-0.8, 0.05, 0.3], [335, -0.1, -2], None, None),  # jumps over short leads: at an infeed
    (16.0, [1, 0, -1.2], [0, 0, 1], [316, 0.15, -20], None, 1.2),
    (12.0, [1, 0.05, -1], [-1, 0, 0], [325, 0.1, -12], [0, 0, 1], 0.8),
]


@pytest.mark.parametrize(("diameter", "axis", "feed", "tip", "depth", "lead"), SETUPS)
def test_agrees_with_solids_cut_by_booleans(diameter, axis, feed, tip, depth, lead):
    """Own outline, own cutter, boolean of the swept solid, measured on the metal that is left."""
    plain = Plain(127, 5.0, 20.0, 60.0, diameter, axis, feed, tip, depth)
    at = touched(BODY, EndMill(diameter / 2), pose(axis, feed, tip, depth), shift=False)

    theirs = plain.touch_off(at.zero - 5, at.zero + 5, to=5e-4)
    assert at.zero == pytest.approx(theirs, abs=0.02)

    cut = at.cut(6.7) if lead is None else at.aim_lead(lead).cut
    assert cut is not None
    left = plain.left(at.zero + cut.infeed)
    assert cut.leads.plus == pytest.approx(plain.lead(left, 0, -1), abs=0.02)
    assert cut.leads.minus == pytest.approx(plain.lead(left, -1, 1), abs=0.02)
    assert cut.land_plus == pytest.approx(plain.reference_arc_left(left, 1e-4, 0), abs=0.02)
    assert cut.land_minus == pytest.approx(plain.reference_arc_left(left, 1e-4, -1), abs=0.02)


def test_a_lead_that_is_jumped_over_is_jumped_over_by_booleans_too():
    """The -t flank is met first well inside and not at the face: no infeed ends its cut at half a millimetre."""
    how = ([0.9, -0.15, -1], [-0.8, 0.05, 0.3], [335, -0.1, -2])
    at = touched(BODY, EndMill(5.0), pose(*how), shift=False)
    aim = at.aim_lead(0.5)
    assert aim.cut is None
    assert aim.below is not None
    assert aim.above is not None
    assert aim.below.leads.minus == 0
    assert aim.above.leads.least > 2
    plain = Plain(127, 5.0, 20.0, 60.0, 10.0, *how)
    # on the reference circle, a hair inside the metal of the tooth at -t
    theta = -pi / 254 - 1e-3 / 317.5
    point = shapely.Point(317.5 * cos(theta), 317.5 * sin(theta))
    for by, gone in ((-0.03, False), (0.03, True)):
        outlines = plain.left(at.zero + aim.above.infeed + by).slice(aim.above.leads.minus).to_polygons()
        assert gone != any(shapely.Polygon(p).contains(point) for p in outlines if len(p) > 3)


def test_a_helical_ring_agrees_with_twisted_solids():
    """The section drawn in its own transverse pitch, extruded with a twist; heights by the normal module."""
    how = ([1, 0, -1], [-1, 0, 0], [150, 0, -1])
    plain = Plain(60, 4.0, 20.0, 12.0, 10.0, *how, helix_deg=15.0)
    body = ToothedRing(RingGeometry("external", 60, 4.0, beta=radians(15)), 12.0)
    at = touched(body, EndMill(5.0), pose(*how), shift=False)
    assert at.zero == pytest.approx(plain.touch_off(at.zero - 5, at.zero + 5, to=5e-4), abs=0.02)

    cut = at.cut(5.0)
    left = plain.left(at.zero + 5.0)
    assert cut.leads.plus == pytest.approx(plain.lead(left, 0, -1), abs=0.02)
    assert cut.leads.minus == pytest.approx(plain.lead(left, -1, 1), abs=0.02)
    assert cut.land_plus == pytest.approx(plain.reference_arc_left(left, 1e-4, 0), abs=0.02)
    assert abs(cut.leads.plus - cut.leads.minus) > 0.1


def test_mirrored_set_up_mirrors_the_answer():
    one = touched(BODY, EndMill(7.0), pose([1, 0.1, -0.8], [-1, 0, 0.1], [337.5, 0.2, -1.5]), shift=False).cut(4.0)
    two = touched(BODY, EndMill(7.0), pose([1, -0.1, -0.8], [-1, 0, 0.1], [337.5, -0.2, -1.5]), shift=False).cut(4.0)

    assert (one.leads.plus, one.leads.minus) == pytest.approx((two.leads.minus, two.leads.plus), abs=1e-6)
    assert (one.land_plus, one.land_minus) == pytest.approx((two.land_minus, two.land_plus), abs=1e-6)


def test_hands_of_a_helical_ring_mirror_each_other():
    right = ToothedRing(RingGeometry("external", 60, 4.0, beta=radians(15)), 40.0)
    left = ToothedRing(RingGeometry("external", 60, 4.0, beta=radians(-15)), 40.0)
    cuts = [
        touched(b, EndMill(5.0), pose([1, 0, -1], [-1, 0, 0], [150, 0, -1]), shift=False).cut(4.0)
        for b in (right, left)
    ]

    assert cuts[0].leads.plus == pytest.approx(cuts[1].leads.minus, abs=1e-6)
    assert cuts[0].leads.minus == pytest.approx(cuts[1].leads.plus, abs=1e-6)
    assert abs(cuts[0].leads.plus - cuts[0].leads.minus) > 1e-3


def test_right_hand_teeth_go_towards_plus_t_as_they_recede():
    body = ToothedRing(RingGeometry("external", 60, 4.0, beta=radians(15)), 40.0)
    r, d = body.r, body.ring.d

    near, far = body.flank(0, -1, np.array(r), np.array([0.0, 10.0]))

    moved = (np.arctan2(far[1], far[0]) - np.arctan2(near[1], near[0])) * d / 2
    assert moved == pytest.approx(10 * tan(radians(15)), rel=1e-9)


def test_internal_ring_in_closed_form():
    """A flat end plunged square into the entry face: lead = infeed; the land from the arc under the cutter."""
    body = ToothedRing(RingGeometry("internal", 100, 5.0), 50.0)
    at = touched(body, EndMill(5.0), pose([0, 0, -1], [0, 0, 1], [250, 0, -8]), shift=False)
    cut = at.aim_lead(1.5).cut

    assert at.zero == pytest.approx(8, abs=1e-6)
    assert cut.infeed == pytest.approx(1.5, abs=1e-6)
    assert cut.land_plus == pytest.approx(2.5 * pi - (250 * 2 * asin(5 / 500) - 1.25 * pi), abs=1e-6)


def test_every_patch_point_lies_on_the_ring():
    v, w = np.meshgrid(np.linspace(0, 1, 7), np.linspace(0, 1, 7))
    for lost in (Lost(), Lost(1.0), Lost(0.0, 1.0), Lost(1.0, 1.0)):
        for patch in patches(BODY, range(-1, 1), lost):
            points = patch.at(v, w)
            rho = np.hypot(points[..., 0], points[..., 1])
            assert points[..., 2].min() >= -1e-12
            assert points[..., 2].max() <= 60 + 1e-12
            assert rho.max() <= 322.5 + 1e-9, patch.surface
            assert rho.min() >= 311.25 - 10 - 1e-9, patch.surface


def test_the_root_meets_the_involute():
    rho = BODY.r_form

    assert float(BODY.half_angle(np.array(rho - 1e-7))) == pytest.approx(pi / 127 - _half_space_angle(rho), abs=1e-7)


def test_section_for_drawing_agrees_with_lead_and_land(example):
    infeed = example.aim_lead(1.0).cut.infeed
    r, t, gone = end_face_profile(example, infeed, np.array([0.0, 0.5, 30.0]), heights=41, across=201)
    at_reference = int(np.argmin(abs(np.hypot(r[0, :, 0], t[0, :, 0]) - 317.5)))

    assert gone[0, at_reference, 0]
    assert gone[1, at_reference, -1]
    assert not gone[2].any()
    left = (~gone[0, at_reference]).mean() * 2.5 * pi
    assert left == pytest.approx(example.cut(infeed).land_finished, abs=0.15)


@pytest.mark.parametrize(
    ("axis", "feed", "tip", "code"),
    [
        ([1, 0, 0], [0, 0, 1], [337.5, 0, -10], "never_touches"),
        ([0, 0, 1], [0, 0, 1], [317.5, 0, 0], "always_in_metal"),
    ],
)
def test_paths_without_a_touch_off_are_refused(axis, feed, tip, code):
    with pytest.raises(Refusal, match=code):
        touched(BODY, EndMill(6.0), pose(axis, feed, tip))


def test_what_would_reach_does_reach():
    """The first way named, put in, gives the target that was out of reach."""
    request = {
        "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
        "cutter": {"kind": "flat", "diameter_mm": 12},
        "pose": {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]},
        "target": {"lead_length_mm": 2.5},
    }
    refused = reckon.lead_in(request)
    assert not refused.reachable
    assert refused.would_reach[0].startswith("A cutter of 13 mm")

    reached = reckon.lead_in({**request, "cutter": {"kind": "flat", "diameter_mm": 13}})

    assert reached.reachable
    assert f"infeed {reached.infeed_mm:.2f} mm" in refused.would_reach[0]


def test_sensitivity_is_the_change_seen_in_a_second_request():
    request = {
        "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
        "cutter": {"kind": "flat", "diameter_mm": 12},
        "pose": {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]},
        "target": {"infeed_mm": 5.5},
    }
    base = reckon.lead_in(request)
    by = {s.to: s for s in base.sensitivity}
    smaller = reckon.lead_in({**request, "cutter": {"kind": "flat", "diameter_mm": 11.9}})
    thinner = reckon.lead_in({**request, "ring": {**request["ring"], "thickness_allowance_mm": 0.1}})
    deeper = reckon.lead_in({**request, "target": {"infeed_mm": 5.55}})

    for name, other in (("cutter_diameter", smaller), ("tooth_thickness", thinner), ("touch_off", deeper)):
        assert by[name].lead_mm == pytest.approx(other.lead_length_mm.plus - base.lead_length_mm.plus, abs=1e-6)
        assert by[name].land_mm == pytest.approx(other.end_land_finished_mm - base.end_land_finished_mm, abs=1e-6)
    assert by["touch_off"].lead_mm == pytest.approx(0.05, abs=1e-9)


def test_a_cut_that_does_not_open_to_the_face_is_said():
    request = {
        "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
        "cutter": {"kind": "flat", "diameter_mm": 12},
        "pose": {"tool_axis": [1, 0, 0], "feed": [-1, 0, 0], "tip": [340, 0, 10]},
        "target": {"infeed_mm": 6},
    }
    at_the_face = {**request, "pose": {**request["pose"], "tip": [340, 0, 0]}}

    inside, opened = reckon.lead_in(request), reckon.lead_in(at_the_face)
    assert [n.code for n in inside.notes].count("not_from_the_face") == 2
    assert (inside.opens_to_face.plus, inside.opens_to_face.minus) == (False, False)
    assert "not_from_the_face" not in {n.code for n in opened.notes}
    assert (opened.opens_to_face.plus, opened.opens_to_face.minus) == (True, True)


def test_a_flank_that_is_not_cut_is_told_from_one_that_is_cut_inside():
    """Square to the face, t from -0.5 to 6.5: that at t = -3.93 stays whole, that at +3.93 is cut."""
    request = {
        "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
        "cutter": {"kind": "flat", "diameter_mm": 7},
        "pose": {"tool_axis": [0, 0, -1], "feed": [0, 0, 1], "tip": [317.5, 3, -5]},
        "target": {"infeed_mm": 2},
    }
    answer = reckon.lead_in(request)
    assert (answer.opens_to_face.plus, answer.opens_to_face.minus) == (True, False)
    assert (answer.lead_length_mm.plus, answer.lead_length_mm.minus) == (pytest.approx(2), 0)
    assert [n.code for n in answer.notes if n.code in ("not_from_the_face", "flank_not_cut")] == ["flank_not_cut"]
    assert "anticlockwise" in next(n.text for n in answer.notes if n.code == "flank_not_cut")


def test_each_default_is_a_note():
    answer = reckon.lead_in(
        {
            "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
            "cutter": {"kind": "flat", "diameter_mm": 12},
            "pose": {
                "entry_face_looks": "+z",
                "work_at": "-y",
                "nod_deg": 45,
                "feed_by": "+saddle",
                "tip": [337.5, 0, -1],
            },
            "target": {"lead_length_mm": 1},
        }
    )
    said = " ".join(n.text for n in answer.notes if n.code == "default_used")

    for field in ("pressure_angle_deg", "profile_shift", "addendum_coef", "corner_radius_mm", "tilt_deg"):
        assert field in said
    assert "nod_deg" not in said
