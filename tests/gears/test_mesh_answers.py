"""The answer of ``mesh`` as a whole: notes, both ways of telling a pair, its verdict, its sums."""

from __future__ import annotations

from math import cos, pi, radians, sqrt, tan

import pytest

from ringwright import reckon
from ringwright.reckon.base import Problems

RING = {"kind": "external", "teeth": 127, "module_mm": 5}
MATE = {"kind": "external", "teeth": 20, "module_mm": 5}


def mesh(ring=RING, mate=MATE, **more):
    return reckon.mesh({"ring": ring, "mate": mate, **more})


def codes(answer):
    return {note.code for note in answer.notes}


def test_a_pair_told_the_other_way_round_is_the_same_pair():
    internal, pinion = (
        {"kind": "internal", "teeth": 80, "module_mm": 4},
        {"kind": "external", "teeth": 30, "module_mm": 4},
    )
    for one, other, a_w in ((RING, MATE, 367.8), (internal, pinion, 99.7)):
        lost = {"centre_distance_mm": a_w, "ring_thickness_lost_mm": 0.1, "mate_thickness_lost_mm": 0.3}
        swapped = {**lost, "ring_thickness_lost_mm": 0.3, "mate_thickness_lost_mm": 0.1}
        there, back = mesh(one, other, **lost), mesh(other, one, **swapped)

        for mine, same in ((back.ring, there.mate), (back.mate, there.ring), (back.backlash, there.backlash)):
            assert mine.model_dump() == pytest.approx(same.model_dump(), abs=1e-9)
        assert back.contact_ratio.model_dump() == pytest.approx(there.contact_ratio.model_dump(), abs=1e-9)
        assert back.internal == there.internal


def test_a_sound_pair_runs_and_a_bad_one_does_not():
    assert mesh(centre_distance_mm=367.8).runs
    jammed = mesh(centre_distance_mm=367.3)
    assert not jammed.runs
    assert "jams" in codes(jammed)
    far = mesh(centre_distance_mm=372.5)
    assert not far.runs
    assert "contact_broken" in codes(far)
    assert "contact_short" in codes(mesh(centre_distance_mm=370.8))


def test_a_deep_mate_digs_into_the_root():
    answer = mesh(mate={**MATE, "tip_diameter_mm": 113}, centre_distance_mm=367.5)

    assert answer.mate.tip_clearance_mm == pytest.approx(-0.25)
    assert "tip_in_root" in codes(answer)
    assert not answer.runs


def test_an_undercut_pinion_is_told_with_the_shift_that_frees_it():
    answer = mesh(mate={**MATE, "teeth": 12})
    freed = mesh(mate={**MATE, "teeth": 12, "profile_shift": answer.mate.least_profile_shift + 1e-6})

    assert answer.mate.undercut
    assert "undercut" in codes(answer)
    assert not freed.mate.undercut


def test_short_tips_shorten_the_contact():
    whole, topped = mesh(), mesh(ring={**RING, "tip_diameter_mm": 641})

    assert topped.contact_ratio.transverse < whole.contact_ratio.transverse - 0.1
    assert topped.ring.contact_to_mm == pytest.approx(641)
    assert topped.ring.tip_clearance_mm == pytest.approx(whole.ring.tip_clearance_mm + 2)


def test_thin_teeth_with_no_tight_mesh_need_centres():
    thin = {"kind": "external", "module_mm": 5, "profile_shift": -1, "teeth": 20}
    with pytest.raises(reckon.Problems) as problems:
        mesh({**thin, "teeth": 60}, thin)
    assert problems.value.problems[0].code == "no_tight_mesh"
    answer = mesh({**thin, "teeth": 60}, thin, centre_distance_mm=195)
    assert answer.tight_centre_distance_mm is None
    assert answer.backlash.radial_mm is None
    assert answer.backlash.normal_mm > 0


def test_the_mate_for_least_backlash_gives_it():
    worn = mesh(centre_distance_mm=367.8, mate_thickness_lost_mm=0.6)
    other = worn.mate_for_least_backlash
    new = mesh(mate={**MATE, "profile_shift": other.profile_shift}, centre_distance_mm=367.8)

    assert new.backlash.normal_mm == pytest.approx(worn.recommended[0].normal_low_mm, abs=1e-9)
    assert other.tip_diameter_mm == pytest.approx(new.mate.contact_to_mm, abs=1e-6)


def test_room_is_used_up_by_that_wear_and_by_that_depth():
    first = mesh(centre_distance_mm=367.8, normal_backlash_limit_mm=1.2)
    worn = mesh(centre_distance_mm=367.8, ring_thickness_lost_mm=first.room.thickness_mm)
    deeper = mesh({**RING, "profile_shift": -first.room.recut_depth_mm / 5}, centre_distance_mm=367.8)

    assert worn.backlash.normal_mm == pytest.approx(1.2, abs=1e-9)
    assert deeper.backlash.normal_mm == pytest.approx(1.2, abs=1e-9)
    assert mesh(centre_distance_mm=367.8, normal_backlash_limit_mm=0.1).room.thickness_mm == 0


def test_helical_pair_without_faces_has_no_total():
    hel = {"kind": "external", "module_mm": 3, "helix_angle_deg": 20}
    bare = mesh({**hel, "teeth": 60, "hand": "left"}, {**hel, "teeth": 20, "hand": "right"})
    wide = mesh({**hel, "teeth": 60, "hand": "left", "face_width_mm": 40}, {**hel, "teeth": 20, "hand": "right"})

    assert bare.contact_ratio.total is None
    assert "no_face_width" in codes(bare)
    assert wide.contact_ratio.total == pytest.approx(wide.contact_ratio.transverse + wide.contact_ratio.overlap)
    assert wide.backlash == bare.backlash


def test_helical_normal_backlash_is_smaller_by_the_base_helix():
    hel = {"kind": "external", "module_mm": 3, "helix_angle_deg": 25}
    pair = ({**hel, "teeth": 60, "hand": "left"}, {**hel, "teeth": 20, "hand": "right"})
    tight = mesh(*pair).centre_distance_mm
    found = mesh(*pair, centre_distance_mm=tight + 0.02).backlash

    # a small step apart, in the normal section 2 sin(alpha_n) of it
    assert found.normal_mm == pytest.approx(2 * 0.02 * tan(radians(20)) * cos(radians(20)), rel=3e-3)


def test_internal_notes():
    near = mesh({"kind": "internal", "teeth": 40, "module_mm": 3}, {"kind": "external", "teeth": 34, "module_mm": 3})

    assert {"tips_strike", "goes_in_along_axis", "teeth_near_each_other", "internal_fillet_assumed"} <= codes(near)
    assert not near.runs
    old = {"pressure_angle_deg": 14.5, "module_mm": 3}
    inside = mesh({"kind": "internal", "teeth": 50, **old}, {"kind": "external", "teeth": 20, **old})
    assert {"involute_interference", "tips_not_told", "radial_not_told"} <= codes(inside)
    assert inside.internal.goes_in_radially is None


def test_unlike_labels_with_one_base_pitch_are_told():
    answer = mesh(
        {"kind": "external", "teeth": 130, "module_mm": 2.2033}, {"kind": "external", "teeth": 9, "diametral_pitch": 12,
         "pressure_angle_deg": 12, "profile_shift": 0.5}
    )  # fmt: skip

    assert 0 < abs(answer.base_pitch_error_um) < 0.5
    assert "base_pitch_differs" not in codes(answer)
    coarse = mesh({**RING, "module_mm": 5.005})
    assert "base_pitch_differs" in codes(coarse)


def test_outside_validity_is_flagged():
    small = mesh({**RING, "module_mm": 0.8}, {**MATE, "module_mm": 0.8})

    assert not small.recommended[0].covers
    assert "outside_validity" in codes(small)
    girth = mesh(use="girth")
    assert [one.by for one in girth.recommended] == ["girth"]
    assert girth.recommended[0].normal_high_mm == pytest.approx(0.3)


def test_defaults_are_notes_of_both_gears():
    texts = [note.text for note in mesh().notes if note.code == "default_used"]

    assert sum(text.startswith("Mate: ") for text in texts) == 7
    assert any("Centres not given" in text for text in texts)
    assert not any("Centres not given" in note.text for note in mesh(centre_distance_mm=367.8).notes)


def test_the_working_puts_real_numbers_in():
    answer = mesh(centre_distance_mm=367.8, working=True)
    lines = {line.symbol: line for line in answer.working}

    assert lines["j_bn"].value == answer.backlash.normal_mm
    assert lines["ε_α"].value == pytest.approx(answer.contact_ratio.transverse)
    assert "367.8" in lines["α_wt"].put_in
    assert mesh().working is None


def test_a_pair_of_twins_told_the_other_way_round_has_the_pitch_error_of_the_other_sign():
    ring = {"kind": "internal", "teeth": 120, "module_mm": 7}
    twin = {"kind": "external", "teeth": 20, "diametral_pitch": 3.5, "pressure_angle_deg": 25}
    a_w = {"centre_distance_mm": 351.0}
    # pi m cos(alpha): the ring's less the mate's
    apart = 1000 * pi * (7 * cos(radians(20)) - 25.4 / 3.5 * cos(radians(25)))

    assert mesh(ring, twin, **a_w).base_pitch_error_um == pytest.approx(apart)
    assert mesh(twin, ring, **a_w).base_pitch_error_um == pytest.approx(-apart)


@pytest.mark.parametrize("kind", ["external", "internal"])
def test_contact_ends_where_a_tip_chamfer_begins(kind):
    s = 1 if kind == "external" else -1
    ring = {"kind": kind, "teeth": 80, "module_mm": 4}
    mate = {"kind": "external", "teeth": 30, "module_mm": 4}
    a_w = {"centre_distance_mm": (80 + s * 30) * 2 + s * 0.3}
    plain = mesh(ring, mate, **a_w)
    cut = mesh(ring, mate, **a_w, ring_tip_chamfer_mm=0.6, mate_tip_chamfer_mm=0.4)

    def along(tip, z):
        return sqrt(tip**2 - (2 * z * cos(radians(20))) ** 2)

    tips = [along(160 + s * 4 - s * c, 80) for c in (0, 0.6)], [along(64 - c, 30) for c in (0, 0.4)]
    lost = (s * (tips[0][0] - tips[0][1]) + tips[1][0] - tips[1][1]) / (pi * 4 * cos(radians(20)))
    before, after = plain.contact_ratio.transverse_by_tips, cut.contact_ratio.transverse_by_tips
    assert before - after == pytest.approx(lost, abs=1e-9)
    assert cut.mate.contact_to_mm <= 128 - 0.8 + 1e-9
    assert cut.ring.tip_clearance_mm == plain.ring.tip_clearance_mm
    back = mesh(mate, ring, **a_w, ring_tip_chamfer_mm=0.4, mate_tip_chamfer_mm=0.6)
    assert back.contact_ratio.transverse_by_tips == pytest.approx(after)


@pytest.mark.parametrize("of", ["ring", "mate"])
def test_a_chamfer_that_leaves_no_tip_is_refused_at_its_field(of):
    with pytest.raises(Problems) as told:
        mesh(centre_distance_mm=367.8, **{f"{of}_tip_chamfer_mm": 3.0})
    (one,) = told.value.problems
    assert (one.code, one.where) == ("chamfer_too_wide", f"{of}_tip_chamfer_mm")
