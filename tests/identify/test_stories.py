"""What the trade needs of naming a ring: the stories F1 to F19, M8 and P2, with their numbers and their slips."""

from math import cos, fsum, pi, radians, sin, tan

import numpy as np
import pytest

from ringwright import reckon
from ringwright.identify import Reading
from ringwright.identify.predict import Rings, contact_height, predict


def span(z, m, k, deg=20.0, x=0.0):
    """W_k by the formula of the handbooks."""
    a = radians(deg)
    return m * (cos(a) * (pi * (k - 0.5) + z * (tan(a) - a)) + 2 * x * sin(a))


def read(what, value, u=None, **more):
    given = {"what": what, "value": value, "uncertainty": u, "unit": "deg" if what == "helix_angle" else "mm", **more}
    return {k: v for k, v in given.items() if v is not None}


def ask(z, *readings, kind="external", **more):
    return reckon.identify({"kind": kind, "teeth": z, "readings": list(readings), **more})


def codes(answer):
    return {n.code for n in answer.notes}


def test_f1_worn_tips_make_a_module_read_low_and_the_product_knows_which_way_wear_pushes():
    # module 6, 60 teeth: tip 372; 0.3 of a module gone from each tip reads as 368.4, (N + 2) rule: module 5.94
    spans = [read("span", span(60, 6, k) - 0.2, 0.03, span_teeth=k, worn=True) for k in (7, 8)]
    answer = ask(60, read("tip_diameter", 368.4, 0.1, worn=True), *spans)

    assert (answer.candidates[0].system, answer.candidates[0].size) == ("module", "6")
    assert "tips worn by 3.60 mm (on the diameter)" in answer.candidates[0].why
    assert answer.candidates[0].residuals[0].difference == pytest.approx(-3.6)


@pytest.mark.parametrize("wear", [0.0, 0.4, 0.9])
def test_f2_the_difference_of_two_spans_forgets_the_wear(wear):
    # 0.089 of a module between the base pitches of 14 1/2 and 20 degrees: 0.54 mm at module 6
    assert pi * 6 * (cos(radians(14.5)) - cos(radians(20))) == pytest.approx(0.54, abs=0.005)
    worn = [span(60, 6, k) - wear for k in (7, 8)]
    tip = read("tip_diameter", 370.0, 1.0, worn=True)
    answer = ask(60, tip, read("span_difference", worn[1] - worn[0], 0.04, teeth_apart=1))

    assert {(c.size, c.ring.pressure_angle_deg) for c in answer.candidates if c.probability > 0.05} == {("6", 20.0)}


def test_f2_the_difference_beside_its_own_spans_would_count_twice():
    spans = [read("span", v, span_teeth=k) for k, v in ((7, 120.0), (8, 137.7))]
    with pytest.raises(reckon.Problems) as refused:
        ask(60, *spans, read("span_difference", 17.7, teeth_apart=1))

    assert [(p.code, p.where) for p in refused.value.problems] == [("reading_said_twice", "readings[2].what")]


@pytest.mark.parametrize(("dp", "size", "module"), [("10", "2.5", 2.5), ("5", "5", 5.0), ("20", "1.25", 1.25)])
def test_f3_near_twins_are_said_to_be_tied_with_the_reading_that_would_settle_it(dp, size, module):
    inch = 25.4 / float(dp)
    middle = (inch + module) / 2
    assert inch / module == pytest.approx(1.016, abs=5e-4)
    only = {"pressure_angles": [{"deg": 20, "weight": 1}], "no_shift": 1}
    answer = ask(40, read("tip_diameter", 42 * middle, 0.01 * 42 * middle), prior=only)
    at = {}
    for n, c in enumerate(answer.candidates):
        if c.ring.addendum_coef == 1:
            at[c.system, c.size] = n
    one, other = at["module", size], at["diametral_pitch", dp]

    assert other in answer.candidates[one].tied_with
    assert one in answer.candidates[other].tied_with
    assert answer.candidates[0].tied_with
    assert "tied" in codes(answer)
    assert answer.settles.endswith(answer.next_reading.how)


@pytest.mark.parametrize(("dp", "size", "module"), [("2 1/2", "10", 10.0), ("1 1/4", "20", 20.0)])
def test_f3_a_rarer_twin_stays_on_the_list(dp, size, module):
    only = {"pressure_angles": [{"deg": 20, "weight": 1}], "no_shift": 1}
    answer = ask(40, read("tip_diameter", 42 * 1.008 * module, 0.42 * module), prior=only)
    chances = {(c.system, c.size): c.probability for c in reversed(answer.candidates) if c.ring.addendum_coef == 1}

    assert chances["module", size] > chances["diametral_pitch", dp] > 0.02


def test_f4_where_the_machine_comes_from_decides_a_draw_and_a_good_span_overrules_it():
    draw = read("tip_diameter", 130.5, 2.5)
    british = {"made_in": "britain", "built_year": 1938, "threads": "inch", "strength": 1}
    metric = {"made_in": "continental_europe", "built_year": 1975, "bore": "metric", "strength": 1}
    first = {name: ask(24, draw, origin=o).candidates[0].system for name, o in (("b", british), ("m", metric))}

    assert first == {"b": "diametral_pitch", "m": "module"}

    spans = [read("span", span(24, 5, k), 0.02, span_teeth=k) for k in (3, 4)]
    assert ask(24, draw, *spans, origin=british).candidates[0].system == "module"


def test_f4_the_weights_are_stated_and_can_be_ignored_or_overruled():
    draw = read("tip_diameter", 130.5, 2.5)
    origin = {"made_in": "britain", "threads": "inch"}
    told = ask(24, draw, origin=origin)
    text = next(n.text for n in told.notes if n.code == "origin_weights")

    # by the tables: module 0.5, DP 0.38 x 2 x 2, circular 0.06 x 2, combination 0.06 x 2, over their sum 2.26
    assert f"diametral pitch {0.38 * 4 / 2.26:.0%}" in text
    assert {"default_built_year", "default_origin_strength"} <= codes(told)
    plain, nought = ask(24, draw), ask(24, draw, origin={**origin, "strength": 0})
    assert [c.probability for c in nought.candidates] == pytest.approx([c.probability for c in plain.candidates])
    overruled = ask(24, draw, origin=origin, prior={"systems": {"module": 1}})
    assert {c.system for c in overruled.candidates} == {"module"}
    assert "origin_overruled" in codes(overruled)


def test_f5_a_count_out_by_one_is_found_from_the_chord_and_the_spans():
    # said 127, is 126
    chord = 640 * sin(pi * 21 / 126)
    spans = [read("span", span(126, 5, k), 0.02, span_teeth=k) for k in (14, 15)]
    answer = ask(127, read("chord_over_teeth", chord, 0.1, over_teeth=21), *spans, teeth_sure=False)

    assert answer.candidates[0].ring.teeth == 126


def test_f6_a_joint_gap_counted_as_a_tooth_in_every_segment():
    # four segments of 32 are 128, but each was counted as 33: 132
    spans = [read("span", span(128, 8, k), 0.05, span_teeth=k) for k in (14, 15)]
    tip = read("tip_diameter", 130 * 8, 0.5)
    piece = {"what": "segment_teeth", "value": 33, "segments": 4}
    answer = ask(132, piece, tip, *spans, teeth_sure=False)

    assert (answer.candidates[0].ring.teeth, answer.candidates[0].size) == (128, "8")
    assert [r.reading for r in answer.candidates[0].residuals] == [1, 2, 3]


def test_f6_segments_that_do_not_agree_with_the_count_are_said():
    piece = {"what": "segment_teeth", "value": 16, "segments": 8}
    answer = ask(127, piece, read("tip_diameter", 645, 0.1))

    assert {"counts_disagree", "segments_not_used"} <= codes(answer)


def test_f6_the_chord_over_n_teeth():
    # D sin(pi n / N): 645 over 20 of 127
    answer = ask(127, read("chord_over_teeth", 645 * sin(pi * 20 / 127), 0.3, over_teeth=20))

    assert (answer.candidates[0].size, answer.candidates[0].ring.teeth) == ("5", 127)
    assert answer.candidates[0].residuals[0].difference == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("z", "per_cent"), [(25, 0.20), (133, 0.007)])
def test_f7_an_odd_count_is_corrected_and_an_even_one_is_not(z, per_cent):
    assert 100 * (1 / cos(radians(90 / z)) - 1) == pytest.approx(per_cent, abs=0.006)
    odd = ask(z, read("tip_caliper", (z + 2) * 5 * cos(radians(90 / z)), 0.02))
    even = ask(z + 1, read("tip_caliper", (z + 3) * 5, 0.02))

    assert odd.candidates[0].size == even.candidates[0].size == "5"
    for answer in (odd, even):
        assert answer.candidates[0].residuals[0].difference == pytest.approx(0, abs=1e-9)


def test_f8_a_tape_round_the_tips_bridges_the_gaps_and_lies_half_its_thickness_off():
    ring = Rings(1, *(np.asarray(float(v)) for v in (112, 6, radians(20), 1, 1.25)))
    girth = float(predict(Reading("tip_girth", 0, 1), ring))
    circle, polygon = pi * 684, 112 * 684 * sin(pi / 112)

    assert polygon < girth < circle
    assert (circle - polygon) / pi == pytest.approx(0.09, abs=0.002)  # the story's figure
    thick = float(predict(Reading("tip_girth", 0, 1, tape=0.3), ring))
    assert thick - girth == pytest.approx(pi * 0.3)


def test_f8_slip_the_tapes_own_thickness_is_asked_for():
    answer = ask(112, read("tip_girth", pi * 684, 3))

    assert "default_tape_thickness" in codes(answer)
    assert "6" in {c.size for c in answer.candidates}


def test_f9_16_dp_is_not_about_module_5():
    # its circular pitch is 4.99 mm, its module 1.5875
    answer = ask(40, read("pitch", 4.99, 0.03), read("tip_diameter", 25.4 * 42 / 16, 0.1, worn=True))

    assert (answer.candidates[0].system, answer.candidates[0].size) == ("diametral_pitch", "16")
    assert answer.candidates[0].ring.pressure_angle_deg in (14.5, 20)


def test_f9_slip_a_module_put_in_for_a_circular_pitch_is_named():
    spans = [read("span", span(40, 5, k), 0.02, span_teeth=k) for k in (5, 6)]
    answer = ask(40, read("tip_diameter", 210, 0.1), read("pitch", 5.0, 0.05), *spans)

    assert answer.candidates[0].size == "5"
    assert answer.suspect.reading == 1
    assert "module_for_pitch" in codes(answer)


def test_f9_one_inch_circular_pitch_is_module_8_085():
    m = 25.4 / pi
    assert m == pytest.approx(8.085, abs=5e-4)
    spans = [read("span", span(60, m, k, 14.5), 0.05, span_teeth=k) for k in (5, 6)]
    answer = ask(60, read("tip_diameter", 62 * m, 0.2), *spans)

    assert (answer.candidates[0].system, answer.candidates[0].size) == ("circular_pitch", "1")


def test_f10_the_depth_tells_a_stub_ring_that_the_outside_diameter_hides():
    # 132 teeth of 8/10: OD 16.7 in, (N + 2)/OD 8.02; depth 0.225 in
    assert pytest.approx(8.02, abs=0.005) == 134 / 16.7
    tip = {"what": "tip_diameter", "value": "16.7 in", "uncertainty": "2 thou"}
    depth = {"what": "whole_depth", "value": "0.225 in", "uncertainty": "3 thou"}
    spans = [read("span", span(132, 3.175, k), 0.03, span_teeth=k) for k in (15, 16)]
    answer = ask(132, tip, depth, *spans)

    assert answer.candidates[0].ring.addendum_coef == pytest.approx(0.8)
    assert any(n.startswith("combination pitch 8/10") for n in answer.candidates[0].names)


def test_f11_an_enlarged_pinion_keeps_its_pitch():
    # OD (N + 3)/DP by the old habit: x = +0.5; the span grows by 2 x m sin alpha
    m = 25.4 / 6
    readings = [read("tip_diameter", 23 * m, 0.05), read("root_diameter", (20 - 2.5 + 1) * m, 0.2)]
    readings += [read("span", span(20, m, k, x=0.5), 0.02, span_teeth=k) for k in (3, 4)]
    best = ask(20, *readings).candidates[0]

    assert (best.system, best.size) == ("diametral_pitch", "6")
    assert best.ring.profile_shift == pytest.approx(0.5, abs=0.03)


def test_f12_a_starter_pinion_on_a_blank_of_one_tooth_more():
    # 8/10 with 10 teeth on a blank for 11: OD 1.575 in, equivalent to x = +0.5
    readings = [
        {"what": "tip_diameter", "value": "1.575 in", "uncertainty": "2 thou"},
        {"what": "whole_depth", "value": "0.225 in", "uncertainty": "3 thou"},
        *(read("span", span(10, 3.175, k, x=0.5), 0.02, span_teeth=k) for k in (2, 3)),
    ]
    best = ask(10, *readings).candidates[0]

    assert any("8/10" in n or n.startswith("8 DP, 20°, stub") for n in best.names)
    assert best.ring.profile_shift == pytest.approx(0.5, abs=0.05)


def test_f13_a_rack_that_rolls_smoothly_speaks_for_its_angle():
    tip = read("tip_diameter", 42 * 25.4 / 5, 0.1)

    def chance(deg, rolled):
        rack = {"what": "rack_tried", "rack": {"diametral_pitch": 5, "pressure_angle_deg": deg, "rolled": rolled}}
        answer = ask(
            40, tip, read("span_difference", 15.2, 0.5, teeth_apart=1), rack, prior={"systems": {"diametral_pitch": 1}}
        )
        return fsum(c.probability for c in answer.candidates if c.ring.pressure_angle_deg == 14.5)

    smooth, bumping = chance(14.5, "smooth"), chance(14.5, "bumping")
    assert smooth > 0.7 > 0.3 > bumping
    assert chance(20, "smooth") < 0.3
    assert bumping > 0  # one hasty trial does not rule an angle out


def test_f13_slip_a_trial_on_worn_flanks_counts_less():
    rack = {"what": "rack_tried", "rack": {"module_mm": 5, "pressure_angle_deg": 20, "rolled": "bumping"}}
    spans = [read("span", span(40, 5, k), 0.02, span_teeth=k) for k in (5, 6)]
    found = {w: ask(40, read("tip_diameter", 210, 0.1), *spans, {**rack, "worn": w}) for w in (True, False)}

    assert found[True].candidates[0].size == found[False].candidates[0].size == "5"
    assert found[True].other_probability <= found[False].other_probability
    assert "rack_against_first" in codes(found[False])


def test_f14_the_sound_pinion_is_a_better_witness_than_the_ruined_ring():
    ring = [read("tip_diameter", 640, 3, worn=True), read("whole_depth", 9.5, 1, worn=True)]
    mate = {
        "teeth": 17,
        "readings": [
            read("tip_diameter", 95, 0.05),
            *(read("span", span(17, 5, k), 0.02, span_teeth=k) for k in (2, 3)),
        ],
    }
    alone, both = ask(127, *ring), ask(127, *ring, mate=mate)

    assert both.candidates[0].size == "5"
    assert both.candidates[0].ring.pressure_angle_deg == 20
    assert both.candidates[0].probability > alone.candidates[0].probability
    assert "default_mate_kind" in codes(both)
    assert [r.predicted for r in both.candidates[0].mate.residuals] == pytest.approx(
        [95, span(17, 5, 2), span(17, 5, 3)]
    )


def test_f14_the_centre_distance_and_the_count_of_the_mate():
    # a = (N1 + N2) m / 2: (127 + 17) 5 / 2 = 360; 5 DP would be 365.8
    answer = ask(127, read("centre_distance", 360, 0.5, mate_teeth=17), read("tip_diameter", 645, 5, worn=True))

    assert (answer.candidates[0].system, answer.candidates[0].size) == ("module", "5")


def test_f15_one_reading_on_the_unworn_strip_among_worn_ones():
    worn = [read("span", span(127, 5, k) - 0.8, 0.03, span_teeth=k, worn=True) for k in (14, 15)]
    sound = read("span", span(127, 5, 16), 0.03, span_teeth=16)
    answer = ask(127, *worn, sound)
    best = answer.candidates[0]

    assert (best.size, best.ring.profile_shift) == ("5", 0)
    assert best.residuals[2].difference == pytest.approx(0, abs=1e-6)
    assert best.suspect is None


def test_f16_a_helix_of_two_degrees_is_told_from_straight():
    assert 100 * tan(radians(2)) == pytest.approx(3.5, abs=0.01)
    d = 63 * 4 / cos(radians(2))
    readings = [read("tip_diameter", d + 8, 0.02), read("root_diameter", d - 10, 0.05)]
    answer = ask(63, *readings, read("helix_angle", 2.0, 0.1))

    assert answer.candidates[0].ring.helix_angle_deg == pytest.approx(2, abs=1e-6)
    assert answer.candidates[0].size == "4"
    assert "hand_needed" in codes(answer)


def test_f17_an_internal_ring_by_bore_and_pins():
    # bore (N - 2) m; pins 1.68 m: cos alpha_K from inv alpha_K = inv 20 - D/d_b + pi/(2 N)
    a, z, m, D = radians(20), 80, 4.0, 6.72
    want = tan(a) - a - D / (z * m * cos(a)) + pi / (2 * z)
    low, high = 0.01, 1.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if tan(middle) - middle < want else (low, middle)
    between = z * m * cos(a) / cos(low) - D
    answer = ask(
        80, read("tip_diameter", 312, 0.05), read("between_pins", between, 0.05, pin_diameter=D), kind="internal"
    )

    assert (answer.candidates[0].size, answer.candidates[0].ring.pressure_angle_deg) == ("4", 20)
    assert answer.candidates[0].residuals[1].difference == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("what", ["span", "span_difference", "tip_girth", "tip_caliper"])
def test_f17_slip_external_readings_are_refused_on_an_internal_ring(what):
    own = {"span": {"span_teeth": 8}, "span_difference": {"teeth_apart": 1}}.get(what, {})
    with pytest.raises(reckon.Problems) as refused:
        ask(80, read(what, 100, **own), kind="internal")

    assert refused.value.problems[0].code == "reading_not_on_this_ring"


def test_f18_every_instrument_in_its_own_unit():
    # 5 DP, 40 teeth: OD 8.4 in; girth in mm; depth 27/64 in is 0.4219 in; 5 thou is 0.127 mm
    answer = ask(
        40,
        {"what": "tip_diameter", "value": 8.4, "unit": "in", "uncertainty": "5 thou"},
        {"what": "tip_girth", "value": pi * 213.36, "unit": "mm", "uncertainty": 3, "tape_thickness": "8 thou"},
        {"what": "whole_depth", "value": "27/64 in", "uncertainty": "1/64 in"},
        {"what": "span", "value": span(40, 5.08, 5) / 25.4, "unit": "in", "uncertainty": "1 thou", "span_teeth": 5},
    )

    assert (answer.candidates[0].system, answer.candidates[0].size) == ("diametral_pitch", "5")
    assert answer.candidates[0].residuals[0].sigmas == pytest.approx(0, abs=1e-9)


def test_f19_what_cannot_be_named_is_copied_as_found():
    m = 5.31
    readings = [
        read("tip_diameter", 129 * m, 0.02),
        read("root_diameter", 124.5 * m, 0.02),
        read("pitch", pi * m, 0.02),
    ]
    readings += [read("span", span(127, m, k), 0.02, span_teeth=k) for k in (14, 15)]
    answer = ask(127, *readings)

    assert answer.other_probability > 0.9
    assert "copied as found" in next(n.text for n in answer.notes if n.code == "none_fits")


@pytest.mark.parametrize("topped", [0.0, 1.2])
def test_m8_the_tongue_counts_from_the_tip_as_found(topped):
    # 30 teeth, module 6: at the reference circle the chord is d sin(90/N), its height m + d/2 (1 - cos(90/N))
    d, half = 180.0, radians(90 / 30)
    table = 6 + d / 2 * (1 - cos(half))
    ring = Rings(1, *(np.asarray(float(v)) for v in (30, 6, radians(20), 1, 1.25)), t=topped)
    corrected = Reading("chordal_thickness", 0, 1, h=table - topped)

    assert float(predict(corrected, ring)) == pytest.approx(d * sin(half), abs=1e-4)
    if topped:  # slip: the table's setting on a topped tooth reads a thick tooth
        assert float(predict(Reading("chordal_thickness", 0, 1, h=table), ring)) > d * sin(half) + 0.5


def test_p2_the_span_that_is_proposed_touches_near_the_middle_of_the_flank():
    answer = ask(127, read("tip_diameter", 645, 0.05), can_read=["span"])
    k = answer.next_reading.span_teeth
    ring = Rings(1, *(np.asarray(float(v)) for v in (127, 5, radians(20), 1, 1.25)))

    assert abs(float(contact_height(Reading("span", 0, 1, k=k), ring))) < 0.6


def test_a_bad_reading_is_named_with_its_place_and_its_chance():
    spans = [read("span", span(127, 5, k), 0.03, span_teeth=k) for k in (14, 15)]
    answer = ask(127, read("tip_diameter", 645, 0.1), read("root_diameter", 662.5, 0.1), *spans)

    assert (answer.suspect.on, answer.suspect.reading) == ("ring", 1)
    assert answer.suspect.chance > 0.9
    assert "root diameter" in answer.suspect.says
    assert answer.candidates[0].suspect == 1


def test_a_bad_reading_of_the_mate_is_named_too():
    ring = [read("tip_diameter", 645, 0.1), *(read("span", span(127, 5, k), 0.03, span_teeth=k) for k in (14, 15))]
    mate = {
        "teeth": 17,
        "kind": "external",
        "readings": [read("tip_diameter", 115, 0.05), read("root_diameter", 72.5, 0.1)],
    }
    answer = ask(127, *ring, mate=mate)

    assert answer.suspect.on == "mate"
    assert answer.candidates[0].size == "5"


def test_contradictions_are_said():
    sizes = [read("tip_diameter", 645, 0.05), read("root_diameter", 622.5, 0.1), read("pitch", 15.708, 0.05)]
    thick = read("span", span(127, 5, 14) + 0.4, 0.03, span_teeth=14, worn=True)
    answer = ask(127, *sizes, thick, prior={"no_shift": 1, "pressure_angles": [{"deg": 20, "weight": 1}]})

    assert answer.candidates[0].size == "5"
    assert "thicker_than_standard" in codes(answer)


def test_a_helical_ring_that_is_standard_in_the_transverse_plane():
    # transverse module 5, transverse angle 20, helix 30, proportions 0.8 / 1 as double helical: d is z m_t
    d, m_n = 60 * 5.0, 5 * cos(radians(30))
    readings = [
        read("tip_diameter", d + 2 * 0.8 * 5, 0.02),
        read("root_diameter", d - 2 * 1.0 * 5, 0.02),
        read("pitch", pi * 5, 0.05),
        read("helix_angle", 30.0, 0.1),
    ]
    answer = ask(60, *readings)
    across = [c for c in answer.candidates if c.plane == "transverse"]

    assert across[0].size == "5"
    assert across[0].ring.module_mm == pytest.approx(m_n)
    assert across[0].label.endswith("counted across the axis")
    assert across[0].probability > 0.5


def test_tips_are_not_said_to_be_worn_below_the_reference_circle():
    # module 5, 40 teeth: tips 210, reference circle 200; 12 mm off is more than a whole addendum all round
    answer = ask(
        40,
        read("tip_diameter", 198.0, 0.1, worn=True),
        *(read("span", span(40, 5, k), 0.03, span_teeth=k) for k in (5, 6)),
    )
    whole = next(c for c in answer.candidates if c.size == "5" and c.ring.addendum_coef == 1)

    assert "tips worn by" not in whole.why
    assert "tip diameter 12.00 mm under" in whole.why


def test_f_a_name_that_stands_for_several_rings_says_how_much_of_the_chance_is_its_own():
    answer = ask(127, read("tip_diameter", 645.0))
    said = next(n.text for n in answer.notes if n.code == "several_rings")

    assert len(answer.candidates[0].names) > 1
    assert f"stands for {len(answer.candidates[0].names)} rings" in answer.candidates[0].why
    assert answer.candidates[0].label in said


def test_readings_that_are_no_ring_at_all_leave_none_of_them_suspected():
    answer = ask(30, read("tip_diameter", 100.0), read("whole_depth", 20.0), read("span", 44.0, span_teeth=4))

    assert answer.other_probability > 0.99
    assert answer.suspect is None
    assert "none_fits" in codes(answer)
