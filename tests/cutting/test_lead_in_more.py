"""Senses of turning, burrs, passes, second unknowns, copies and head settings of a lead-in, by their laws."""

from __future__ import annotations

from math import acos, cos, degrees, pi, radians, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringwright import reckon
from ringwright.cutting.cutter import DoubleAngle, EndMill, FlyCutter
from ringwright.cutting.lead_in import touched
from ringwright.cutting.nod_setting import nod_setting, tram_error
from ringwright.cutting.passes import beyond, equal_passes
from ringwright.cutting.pose import pose
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.touching import better_touch_offs, reach
from ringwright.cutting.turning import edge_motion, turning
from ringwright.cutting.what_if import diameter_for_land
from ringwright.errors import OutOfRange
from ringwright.gears.ring import RingGeometry
from ringwright.reckon.base import Problems

BODY = ToothedRing(RingGeometry("external", 127, 5.0), 60.0)
NODDED = ([1, 0, -1], [-1, 0, 0], [337.5, 0, -1])
POINTED = {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, -1]}
BASE = {
    "ring": {"kind": "external", "teeth": 127, "module_mm": 5, "face_width_mm": 60},
    "cutter": {"kind": "flat", "diameter_mm": 12},
    "pose": {"entry_face_looks": "-y", "work_at": "+z", "nod_deg": 45, "feed_by": "-knee", "tip": [337.5, 0, -1]},
    "target": {"lead_length_mm": 1.0},
}


@pytest.fixture(scope="module")
def nodded():
    return touched(BODY, EndMill(6.0), pose(*NODDED))


def test_an_upright_cutter_plunging_goes_across_both_flanks():
    plunge = touched(BODY, EndMill(6.0), pose([0, 0, -1], [0, 0, 1], [317.5, 0, -5]))
    found = turning(plunge, 2.0)

    assert found.plus is not None
    assert found.minus is not None
    assert (found.plus.sense, found.minus.sense) == ("across", "across")


def test_a_pass_along_a_cuts_conventional_on_one_wall_and_climbs_on_the_other():
    """A slot by an end mill standing along r: its edge at +t runs -u x t = -a... so the walls differ."""
    slot = touched(BODY, EndMill(3.95), pose([1, 0, 0], [0, 0, 1], [316, 0, -20]))
    found = turning(slot, 12.0)
    # r x t = a, so -u x (+t) = -a: against the feed along +a, the cutter climbs there
    assert edge_motion(slot.pose, np.array([0.0, 1.0, 0.0])) == pytest.approx([0, 0, -1])
    assert found.plus.sense == "climb"
    assert found.minus.sense == "conventional"


def test_the_other_hand_turns_every_sense_and_the_push(nodded):
    right, left = turning(nodded, 5.0, 1), turning(nodded, 5.0, -1)

    assert {right.plus.sense, right.minus.sense} == {"climb", "conventional"}
    assert (right.plus.sense, right.minus.sense) == (left.minus.sense, left.plus.sense)
    assert left.push == pytest.approx(-right.push, abs=1e-12)


def test_mirrored_offset_mirrors_burrs_and_senses():
    one = turning(touched(BODY, EndMill(6.0), pose([1, 0, -1], [-1, 0, 0], [337.5, 0.4, -1])), 5.0, 1)
    two = turning(touched(BODY, EndMill(6.0), pose([1, 0, -1], [-1, 0, 0], [337.5, -0.4, -1])), 5.0, -1)

    assert (one.plus.sense, one.plus.burr) == (two.minus.sense, two.minus.burr)
    assert one.push == pytest.approx(-two.push, abs=1e-9)


@pytest.mark.parametrize("feed", [[-1, 0, 0], [-1, 0.2, 0.1], [0, 0, 1]])
def test_a_burr_comes_where_the_edge_leaves_the_metal(feed):
    at = touched(BODY, EndMill(6.0), pose([1, 0, -1], feed, [318 if feed[2] == 1 else 337.5, 0, -1 - 20 * feed[2]]))
    for side in (turning(at, 5.0).plus, turning(at, 5.0).minus):
        if side is not None:
            assert not {"entry_face", "flank"} <= set(side.burr)
            assert not {"tip", "root"} <= set(side.burr)


def test_passes_end_at_the_infeed_and_rise(nodded):
    for n in (1, 2, 4, 7):
        ends = equal_passes(nodded, 5.7, n)
        assert ends[-1] == 5.7
        assert len(ends) == n
        assert (np.diff([0, *ends]) > 0).all()
    first, *_ = equal_passes(nodded, 5.7, 4)
    assert first > 5.7 / 4  # it enters at a corner
    with pytest.raises(OutOfRange, match="passes"):
        equal_passes(nodded, 5.7, 0)


@settings(derandomize=True, deadline=None, max_examples=60)
@given(st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.3), st.floats(0, 1))
def test_the_reach_of_a_cutter_is_that_of_its_points(axis, share):
    """No point of the outline goes further, and one goes as far."""
    u = np.array(axis) / np.linalg.norm(axis)
    n = np.array([1.0, 0.0, 0.0])
    mill = DoubleAngle(20.0, radians(40), radians(55), 10.0)
    side = np.cross(u, [0.2, 0.5, 0.9])
    side /= np.linalg.norm(side)
    turn = np.linspace(0, 2 * pi, 3601)
    rim = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(u, side)
    far = -np.inf
    for h, r in ((-5.0, 20 - 5 / tan(radians(40))), (0.0, 20.0), (5.0, 20 - 5 / tan(radians(55)))):
        far = max(far, float((-(r * rim + h * u) @ n).max()))

    assert reach(mill, u, n) == pytest.approx(far, abs=1e-4)
    assert reach(EndMill(5.0, 5 * share), -n, n) == np.inf
    assert reach(FlyCutter(30.0, 4.0, 10.0), n, n) == pytest.approx(0.0)


def test_touching_further_out_adds_just_that_way(nodded):
    none, two = better_touch_offs(nodded, 5.0), better_touch_offs(nodded, 5.0, 2.0)

    assert [d.on for d in none] == ["tip", "end_face"]
    assert two[0].offset - none[0].offset == pytest.approx(2.0)
    assert two[1].offset - none[1].offset == pytest.approx(-2.0)


def test_the_root_is_offered_to_a_cutter_that_goes_down_to_it():
    room = 311.25 * (pi / 127 - float(BODY.half_angle(np.array(311.25))))
    narrow = touched(BODY, EndMill(0.7 * room), pose([1, 0, 0], [-1, 0, 0], [340, 0, 0.1]))
    found = {d.on: d for d in better_touch_offs(narrow, 1.0)}

    assert found["root"].sets_infeed
    # its flat end stands square to r, and comes to the root at 311.25 and nothing else before
    assert narrow.tip_at_touch_off[0] + found["root"].offset == pytest.approx(311.25, abs=1e-9)
    assert "root" not in {d.on for d in better_touch_offs(touched(BODY, EndMill(6.0), pose(*NODDED)), 1.0)}


def test_indicator_over_a_travel_and_tramming():
    one = nod_setting(radians(30), 20.0)

    assert one.indicator == pytest.approx(20 / sqrt(3))
    assert nod_setting(radians(30.1), 20.0).indicator - one.indicator == pytest.approx(one.per_tenth, rel=3e-3)
    assert degrees(tram_error(0.05, 100.0)) == pytest.approx(0.02865, abs=1e-5)
    with pytest.raises(OutOfRange, match="nod"):
        nod_setting(radians(70), 10.0)


def test_a_diameter_that_leaves_the_land_of_a_plunge():
    plunge = touched(BODY, EndMill(6.0), pose([0, 0, -1], [0, 0, 1], [317.5, 0, -5]))
    arc = 317.5 * pi / 254 + (2.5 * pi - 3.0) / 2

    assert diameter_for_land(plunge, 3.0) == pytest.approx(2 * 635 * sin(arc / 635), abs=1e-6)
    assert diameter_for_land(plunge, 9.0) is None


def test_a_plunge_says_that_the_infeed_does_not_set_the_land():
    pose_ = {"entry_face_looks": "+z", "work_at": "+x", "feed_by": "-quill", "tip": [317.5, 0, -5]}
    answer = reckon.lead_in({**BASE, "pose": pose_, "target": {"end_land_finished_mm": 3}})
    d = float(answer.would_reach[0].split("sets it. ")[1].split(" mm")[0])
    again = reckon.lead_in(
        {**BASE, "pose": pose_, "cutter": {"kind": "flat", "diameter_mm": d}, "target": {"infeed_mm": 1}}
    )

    assert not answer.reachable
    assert answer.constant == "land"
    assert again.end_land_finished_mm == pytest.approx(3, abs=2e-3)


@pytest.mark.parametrize(
    ("unknown", "also"),
    [
        ("nod_deg", {"end_land_finished_mm": 4.2}),
        ("locked_position_mm", {"end_land_finished_mm": 4.2}),
        ("nod_deg", {"infeed_mm": 5.5}),
        ("locked_position_mm", {"infeed_mm": 5.0}),
    ],
)
def test_a_second_unknown_put_in_gives_both(unknown, also):
    solved = reckon.lead_in({**BASE, "solve_for": unknown, "also": also})
    assert solved.reachable
    pose_ = dict(BASE["pose"])
    if unknown == "nod_deg":
        pose_["nod_deg"] = solved.solved.value
    else:
        pose_["tip"] = [337.5, 0, solved.solved.value]
    again = reckon.lead_in({**BASE, "pose": pose_})

    (name, wished), *_ = also.items()
    assert getattr(again, name) == pytest.approx(wished, abs=5e-5)
    assert again.lead_length_mm.plus == pytest.approx(1.0, abs=1e-6)


def test_a_tilt_is_solved_as_well():
    pose_ = {"entry_face_looks": "+x", "work_at": "+z", "tilt_deg": 40, "feed_by": "-knee", "tip": [337.5, 0, -1]}
    solved = reckon.lead_in({**BASE, "pose": pose_, "solve_for": "tilt_deg", "also": {"end_land_finished_mm": 4.3}})
    t = 317.5 * sin((2 * 317.5 * pi / 254 - 4.3) / 635 + pi / 254)

    assert solved.solved.value == pytest.approx(degrees(acos(1 / sqrt(36 - t * t))), abs=1e-4)


@pytest.mark.parametrize(("helix", "start"), [(15, 0.0), (15, 0.6), (0, -0.7)])
def test_both_flanks_are_made_alike_by_the_place_across(helix, start):
    ring = {**BASE["ring"], "teeth": 60, "module_mm": 4, "face_width_mm": 12, "helix_angle_deg": helix, "hand": "left"}
    pose_ = {"tool_axis": [1, 0, -1], "feed": [-1, 0, 0], "tip": [150, start, -1]}
    cutter, target = {"kind": "flat", "diameter_mm": 10}, {"lead_length_mm": 0.5}
    asked = {"ring": ring, "cutter": cutter, "pose": pose_, "target": target, "solve_for": "tip_offset_t"}
    solved = reckon.lead_in(asked)
    lead, land = solved.lead_length_mm, solved.end_land_mm

    assert (lead.plus - lead.minus) + (land.minus - land.plus) == pytest.approx(0, abs=2e-5)
    assert abs(solved.solved.value) < 0.02
    if helix == 0:
        assert solved.solved.value == pytest.approx(0, abs=2e-5)


def test_bevels_at_tip_and_root_are_reached():
    """A round cutter along a: the bevel at the tip is deeper than at the pitch line, at the root shallower."""
    pose_ = {"tool_axis": [0, 1, 0], "feed": [0, 0, 1], "tip": [318, 0, -60]}
    disc = {**BASE, "cutter": {"kind": "disc", "diameter_mm": 60, "width_mm": 14}, "pose": pose_}
    for wish, field in (({"bevel_tip_mm": 1.5}, "tip_mm"), ({"bevel_root_mm": 1.0}, "root_mm")):
        answer = reckon.lead_in({**disc, "target": wish})
        got = getattr(answer.bevel, field)
        assert answer.reachable
        assert min(got.plus, got.minus) == pytest.approx(next(iter(wish.values())), abs=1e-5)
    # tip r = 318 lies on the disc's middle: depth in a of the rim at radius rho is 30-ish less the sagitta
    t = 322.5 * sin(pi / 127 - _half(322.5))
    r = sqrt(322.5**2 - t * t)
    at_tip = sqrt(30**2 - (r - 318) ** 2)
    at_pitch = sqrt(30**2 - (317.5 * cos(pi / 254) - 318) ** 2)
    answer = reckon.lead_in({**disc, "target": {"infeed_mm": 2}})
    assert answer.lead_length_mm.plus - answer.bevel.tip_mm.plus == pytest.approx(at_pitch - at_tip, abs=1e-6)


def _half(rho):
    alpha, alpha_y = radians(20), acos(317.5 * cos(radians(20)) / rho)
    return pi / 254 + tan(alpha) - alpha - (tan(alpha_y) - alpha_y)


def test_a_worn_tooth_cuts_air_only_where_the_infeed_does_not_come_to_it():
    lost = [{"tooth": n, "corner_mm": c} for n, c in ((1, 0.5), (2, 1.5), (3, 3.0), (4, 4.0))]
    shallow = reckon.lead_in({**BASE, "target": {"infeed_mm": 1.0}, "lost": lost})
    deep = reckon.lead_in({**BASE, "target": {"infeed_mm": 6.0}, "lost": lost})

    starts = [w.starts_at_mm for w in deep.worn_teeth]
    assert starts == sorted(starts)
    for answer, infeed in ((shallow, 1.0), (deep, 6.0)):
        assert [w.cuts_air for w in answer.worn_teeth] == [s >= infeed for s in starts]
    assert [w.cuts_air for w in shallow.worn_teeth] != [w.cuts_air for w in deep.worn_teeth]


def test_a_holder_that_strikes_is_said():
    mill = {"kind": "flat", "diameter_mm": 12, "flute_length_mm": 8}
    near = [{"name": "holder", "length_mm": 40, "diameter_mm": 60}]
    clear = [{"name": "shank", "length_mm": 20, "diameter_mm": 11}, *near]
    pose_ = {"tool_axis": [0, 0, -1], "feed": [-1, 0, 0], "tip": [337.5, 0, 3]}
    plain = {**BASE, "pose": pose_, "cutter": mill, "target": {"infeed_mm": 6}}
    strikes, clears = (reckon.lead_in({**plain, "behind": b}) for b in (near, clear))

    # the holder's end stands 8 above the tip, so 5 outside the face: it passes by
    assert strikes.behind[0].gap_mm == pytest.approx(5.0, abs=0.01)
    inside = reckon.lead_in({**plain, "pose": {**pose_, "tip": [337.5, 0, 12]}, "behind": near})
    assert inside.behind[0].strikes_at_mm is not None
    assert inside.behind[0].strikes_at_mm < 6
    assert clears.behind[1].gap_mm == pytest.approx(25.0, abs=0.01)
    assert "holder_not_judged" not in {n.code for n in clears.notes}


@pytest.mark.parametrize("field", ["passes", "gauge_mm", "indicator_travel_mm"])
def test_numbers_out_of_bounds_are_told_at_their_field(field):
    with pytest.raises(Problems) as told:
        reckon.lead_in({**BASE, field: -1})
    assert told.value.problems[0].where == field


@pytest.mark.parametrize(
    ("cutter", "widest"),
    [
        ({"kind": "dovetail", "diameter_mm": 20, "angle_deg": 45, "width_mm": 6, "corner_radius_mm": 1}, 10.0),
        ({"kind": "single_angle", "diameter_mm": 60, "angle_deg": 60, "width_mm": 8}, 30.0),
        ({"kind": "disc", "diameter_mm": 63, "width_mm": 8, "corner_radius_mm": 1}, 31.5),
        ({"kind": "involute_form", "diameter_mm": 70}, 35.0),
    ],
)
def test_every_kind_of_cutter_is_answered_and_shown(cutter, widest):
    tip = [325 if cutter["kind"] == "dovetail" else 305 + widest, 0, -60]
    pose_ = {"tool_axis": [0, 1, 0], "feed": [0, 0, 1], "tip": tip}
    asked = {**BASE, "cutter": cutter, "pose": pose_, "target": {"infeed_mm": 5}}
    answer, shown = reckon.lead_in(asked), reckon.cut_shape(asked)

    assert answer.reachable
    assert answer.removed_mm3 > 0
    assert max(radius for radius, _ in shown.cutter_profile_mm) == pytest.approx(widest, abs=0.01)


def test_burrs_of_an_internal_ring_lie_where_its_tips_and_roots_are():
    """An edge that leaves outwards leaves over the root of an internal ring, over the tip of an external one."""
    plunge = {
        "external": (ToothedRing(RingGeometry("external", 127, 5.0), 60.0), [1, 0, -1], [-1, 0, 0], 337.5),
        "internal": (ToothedRing(RingGeometry("internal", 127, 5.0), 60.0), [-1, 0, -1], [1, 0, 0], 297.5),
    }
    for kind, (body, u, f, r) in plunge.items():
        at = touched(body, EndMill(6.0), pose(u, f, [r, 0, -1]))
        found = turning(at, 5.0)
        for side, cut in ((1.0, found.plus), (-1.0, found.minus)):
            assert cut is not None
            outwards = float(edge_motion(at.pose, np.array([0.0, side, 0.0]))[0]) > 0
            tips_outwards = kind == "external"
            assert ("tip" in cut.burr) == (outwards == tips_outwards), (kind, side)
            assert ("root" in cut.burr) == (outwards != tips_outwards), (kind, side)


def test_the_words_on_climb_are_those_of_each_flank():
    """A disc on an arbor along t cuts both flanks alike, which the tool axis alone does not tell."""
    disc = {"kind": "disc", "diameter_mm": 80, "width_mm": 8}
    pose_ = {"tool_axis": [0, 1, 0], "feed": [-1, 0, 0], "tip": [370, 0, -20]}
    answer = reckon.lead_in(
        {**BASE, "cutter": disc, "pose": pose_, "target": {"lead_length_mm": 6}, "worm_seats": "clockwise"}
    )
    assert answer.reachable
    said = " ".join(answer.turning.says)
    words = {"climb": "it climbs there", "conventional": "it cuts conventional there", "across": "neither clearly"}
    for side, flank in (("clockwise", answer.turning.plus), ("anticlockwise", answer.turning.minus)):
        assert any(f"Tooth {side} of the space: " in s and words[flank.cuts] in s for s in answer.turning.says), said
    # the lowest edges of a disc turning about +t go -u x (-r) = t x r = -a; where they bite, a > 0 below its middle
    assert answer.turning.plus.cuts == answer.turning.minus.cuts


def test_a_push_that_seats_and_one_not_told_are_said():
    for seats, words in (
        ("clockwise", "seats the worm:"),
        ("anticlockwise", "unseats the worm:"),
        (None, "not said which push seats the worm: trust the lock alone"),
    ):
        answer = reckon.lead_in({**BASE, **({} if seats is None else {"worm_seats": seats})})
        assert answer.turning.push == "clockwise"
        said = [s for s in answer.turning.says if "worm" in s]
        assert len(said) == 1
        assert words in said[0]


def test_where_drag_and_chips_disagree_the_worm_is_not_called_seated():
    """The moment of a whole cut, by `cutting_data` with its own law and feed, has the last word."""
    slot = {
        "cutter": {"kind": "flat", "diameter_mm": 7.9},
        "pose": {"tool_axis": [1, 0, 0], "feed": [0, 0, 1], "tip": [316, 0, -20]},
        "target": {"lead_length_mm": 8},
    }
    inside = {
        "ring": {**BASE["ring"], "kind": "internal"},
        "pose": {"tool_axis": [-1, 0, -1], "feed": [1, 0, 0], "tip": [297.5, 0, -1]},
    }
    for other in ({}, slot, inside):
        asked = {**BASE, **other}
        turned = reckon.lead_in({**asked, "worm_seats": "anticlockwise"}).turning
        by_force = reckon.cutting_data(
            {
                "cutter": {
                    "kind": "flat",
                    "diameter_mm": asked["cutter"]["diameter_mm"],
                    "flutes": 4,
                    "material": "carbide",
                },
                "hardness": {"value": 250, "scale": "HB"},
                "cut": {**{k: asked[k] for k in ("ring", "cutter", "pose", "target")}, "wear": "usual"},
            }
        ).forces.turning
        least, greatest = by_force.least_nm, by_force.greatest_nm
        if least < -0.05 * greatest and greatest > -0.05 * least:
            assert turned.pushed_by_chips == "both"
            assert turned.seats_worm is None
            assert any("rattles" in s for s in turned.says)
        else:
            assert turned.push == turned.pushed_by_chips == ("clockwise" if greatest > -least else "anticlockwise")
            assert turned.seats_worm == (turned.push == "anticlockwise")


def test_the_indicator_is_told_to_be_level_and_reads_so():
    """A bar leant by the nod meets a level line at height h at h tan(nod): two points of the bar, by vectors."""
    answer = reckon.lead_in(
        {**BASE, "pose": {**BASE["pose"], "nod_deg": 33, "tilt_deg": 4}, "target": {"lead_length_mm": 0.2}}
    )
    nod, tilt = answer.head_setting
    bar = np.array([0.0, -sin(radians(33)), cos(radians(33))])
    assert nod.indicator_mm == pytest.approx(abs(bar[1] / bar[2]) * 10)
    assert tilt.indicator_mm == pytest.approx(10 * tan(radians(4)))
    assert all("plunger level" in s.says for s in answer.head_setting)
    assert "Set the tilt first" in tilt.says


def test_metal_of_the_neighbours_beyond_their_middles():
    """A plunge along a with a wide end mill, counted point by point with a flank of its own: s_y by the involute."""
    z, m, R, deep = 127, 5.0, 30.0, 2.0
    ring = RingGeometry("external", z, m)
    r, r_b = z * m / 2, z * m / 2 * cos(radians(20))
    centre = ring.d_a / 2 - 1.5 + R
    at = touched(ToothedRing(ring, 60.0), EndMill(R), pose([0, 0, -1], [0, 0, 1], [centre, 0, -5]))
    x, y = np.meshgrid(np.linspace(centre - R, centre - R + 3, 601), np.linspace(-25, 25, 5001), indexing="ij")
    rho, theta = np.hypot(x, y), np.arctan2(y, x)
    inv = lambda c: np.sqrt(1 / c**2 - 1) - np.arccos(c)  # noqa: E731
    half = pi / (2 * z) + inv(r_b / r) - inv(np.minimum(r_b / rho, 1.0))
    pitch = 2 * pi / z
    from_tooth = abs((theta / pitch) % 1 - 0.5) * pitch
    cut = (np.hypot(x - centre, y) < R) & (from_tooth < half) & (rho < ring.d_a / 2)
    beyond_middles = cut & (abs(theta) > pitch / 2) & (abs(theta) < 1.5 * pitch)
    wanted = beyond_middles.sum() * (3 / 600) * (50 / 5000) * deep
    assert wanted > 0.5
    assert beyond(at, deep) == pytest.approx(wanted, rel=0.06)
    near = touched(ToothedRing(ring, 60.0), EndMill(7.0), pose([0, 0, -1], [0, 0, 1], [ring.d_a / 2, 0, -5]))
    assert beyond(near, deep) == 0.0


def test_working_puts_the_new_figures_in():
    answer = reckon.lead_in(
        {**BASE, "working": True, "passes": 3, "gauge_mm": 2, "lost": [{"tooth": 3, "corner_mm": 1}]}
    )
    lines = {line.symbol: line for line in answer.working}
    tip = next(b for b in answer.better_touch_off if b.on == "tip")
    for symbol, value in (
        ("infeed_tip", tip.infeed_mm),
        ("V", answer.removed_mm3),
        ("s_worn", answer.worn_teeth[0].starts_at_mm),
        ("push", answer.turning.push_share),
        ("i_nod", answer.head_setting[0].indicator_mm),
    ):
        assert lines[symbol].value == pytest.approx(value)
    for symbol in ("infeed_tip", "V"):
        assert sum(map(float, lines[symbol].put_in.split(" + "))) == pytest.approx(lines[symbol].value, abs=2e-3)


def test_inside_a_ring_the_cutter_starts_in_the_bore():
    """In the plane a its end is a chord t^2 = 36 - 2 (1 + a)^2 at r = tip - 1 - a; by hand, on the near side."""
    answer = reckon.lead_in(
        {
            **BASE,
            "ring": {**BASE["ring"], "kind": "internal"},
            "pose": {"tool_axis": [-1, 0, -1], "feed": [1, 0, 0], "tip": [297.5, 0, -1]},
        }
    )
    r, half = 317.5, pi / 254
    at_tip = sqrt(312.5**2 - 34) + 1
    assert answer.touch_off.surface == "tip_edge"
    assert answer.tip_at_touch_off[0] == pytest.approx(at_tip, abs=1e-6)
    assert answer.infeed_mm == pytest.approx(r * cos(half) + 1 + 1 - at_tip, abs=1e-5)
    most = sqrt((36 - (r * sin(half)) ** 2) / 2) - 1
    assert answer.saturation.lead_length_mm.plus == pytest.approx(most, abs=1e-5)
    assert "far_side_not_judged" in [n.code for n in answer.notes]


def test_teeth_as_they_are_are_met_sooner_or_later():
    """By hand: standing proud by p in a, or built up, the chord comes sooner; set back it comes as the chord there."""
    lost = [
        {"tooth": 1, "end_back_mm": 1.0},
        {"tooth": 2, "end_back_mm": -0.5},
        {"tooth": 3, "flanks_lost_mm": -0.3},
        {"tooth": 4, "tip_lost_mm": 9.0},
        {"tooth": 5, "flanks_lost_mm": 0.4, "corner_mm": 0.5},
        {"tooth": 6},
    ]
    answer = reckon.lead_in({**BASE, "lost": lost})
    start = {w.tooth: w.starts_at_mm for w in answer.worn_teeth}
    says = {w.tooth: w.says for w in answer.worn_teeth}

    def chord(a, wider=0.0):
        """Infeed at which the end's chord in the plane a meets an involute flank of the space, by halving."""
        r, r_b = 317.5, 317.5 * cos(radians(20))
        inv = lambda c: sqrt(1 / c**2 - 1) - acos(c)  # noqa: E731
        t = sqrt(36 - 2 * (1 + a) ** 2)
        low, high = 317.0, 322.5
        for _ in range(80):
            x = (low + high) / 2
            rho = sqrt(x * x + t * t)
            half = pi / 254 - inv(r_b / r) + inv(r_b / rho) - wider / r_b
            low, high = (x, high) if np.arctan2(t, x) > half else (low, x)
        corner = 322.5 * cos(pi / 254 - inv(r_b / r) + inv(r_b / 322.5) - wider / r_b)
        return min(low, corner) - (1 + a)  # the flank ends in the tip's corner

    zero = chord(0.0)
    # square to an involute its offset is the same involute turned by off / r_b
    assert start[1] == pytest.approx(zero - chord(1.0), abs=2e-5)
    assert start[2] == pytest.approx(zero - chord(-0.5), abs=2e-5)
    assert start[3] == pytest.approx(zero - chord(0.0, 0.3), abs=2e-5)
    assert start[2] < 0
    assert "before the zero" in says[2]
    assert start[4] > answer.infeed_mm
    assert "cut air" in says[4]
    assert start[5] > zero - chord(0.0, -0.4)
    assert start[6] == 0.0
    assert says[6] == ""


def test_worn_edges_are_met_as_much_later_as_the_shift_says():
    """The first contact is on the flank's edge, whose corner the shift counts; the tip adds a hair."""
    answer = reckon.lead_in({**BASE, "lost": [{"tooth": 9, "corner_mm": 1.0}, {"tooth": 10, "corner_mm": 0.5}]})
    assert answer.touch_off.surface == "flank_edge"
    full, half = (w.starts_at_mm for w in answer.worn_teeth)
    shift = answer.touch_off.shift_per_mm_of_corner_lost
    assert shift - 1e-6 <= full < shift + 0.005
    assert 0 < half < full


def test_a_bit_that_meets_the_flank_in_its_middle_jumps_over_the_lead():
    """A fly cutter's bit comes through behind the face: the reference line is met first well inside, by many points."""
    fly = {"kind": "fly", "diameter_mm": 40, "width_mm": 6, "flute_length_mm": 10}
    answer = reckon.lead_in({**BASE, "cutter": fly, "pose": POINTED})
    assert not answer.reachable
    assert answer.best.below.lead_length_mm.plus == 0
    at = touched(BODY, FlyCutter(20.0, 6.0, 10.0), pose(*NODDED))
    half, a = pi / 254, np.linspace(0, 60, 600_001)
    line = np.stack([317.5 * cos(half) + 0 * a, 317.5 * sin(half) + 0 * a, a], axis=-1)
    s = at.field(line)
    first = int(np.argmin(s))
    assert a[first] > 1.1
    assert answer.best.above.infeed_mm == pytest.approx(s[first], abs=2e-4)
    assert answer.best.above.lead_length_mm.plus == pytest.approx(a[first], abs=5e-3)
