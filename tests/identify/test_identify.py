"""Naming a ring: near twins, merging, bad readings, the prior, the next reading."""

from math import cos, fsum, pi, radians, tan

import numpy as np
import pytest

from ringwright import reckon
from ringwright.errors import OutOfRange, Refusal
from ringwright.identify import Prior, Reading, identify, next_reading
from ringwright.identify.next_reading import information

COS20, INV20 = cos(radians(20)), tan(radians(20)) - radians(20)


def span(z, m, k):
    """By the formula of the handbooks, 20 degrees."""
    return m * COS20 * (pi * (k - 0.5) + z * INV20)


def first(ranked):
    name = ranked.candidates[0].names[0]
    return name.size, round(float(np.degrees(name.alpha)), 3)


def asked(*readings, **more):
    return reckon.identify({"kind": "external", "teeth": 127, "readings": list(readings), **more})


@pytest.mark.parametrize(("m", "size", "system"), [(5.0, "5", "module"), (5.08, "5", "diametral_pitch")])
def test_near_twins_5_dp_and_module_5_are_told_apart_by_good_readings(m, size, system):
    answer = asked(
        {"what": "tip_diameter", "value": 129 * m - 1.5, "uncertainty": 0.1, "unit": "mm", "worn": True},
        {"what": "span", "value": span(127, m, 14) - 0.1, "span_teeth": 14, "unit": "mm", "worn": True},
        {"what": "span", "value": span(127, m, 15) - 0.1, "span_teeth": 15, "unit": "mm", "worn": True},
    )

    assert (answer.candidates[0].system, answer.candidates[0].size) == (system, size)
    assert answer.candidates[0].ring.pressure_angle_deg == 20


def test_near_twins_are_both_kept_when_the_reading_is_only_good_to_two_percent():
    answer = reckon.identify(
        {
            "kind": "external",
            "teeth": 24,
            "readings": [{"what": "tip_diameter", "value": 131, "uncertainty": 2.5, "unit": "mm"}],
        }
    )
    sizes = {(c.system, c.size): n for n, c in enumerate(answer.candidates)}
    one, other = sizes["module", "5"], sizes["diametral_pitch", "5"]

    assert other in answer.candidates[one].tied_with
    assert one in answer.candidates[other].tied_with
    assert answer.next_reading is not None


def test_probabilities_add_up_to_one():
    for value in (110.0, 642.1, 20.0, 9000.0):
        answer = asked({"what": "tip_diameter", "value": value, "unit": "mm"})

        total = fsum([c.probability for c in answer.candidates] + [answer.other_probability])
        assert total == pytest.approx(1, abs=1e-12)


def test_rings_that_predict_the_same_are_one_candidate_with_all_its_names():
    answer = asked({"what": "tip_diameter", "value": 645, "unit": "mm"})
    names = answer.candidates[0].names

    assert any("20°" in n for n in names)
    assert any("14.5°" in n for n in names)
    assert len({c.residuals[0].predicted for c in answer.candidates if c.ring.profile_shift == 0}) == len(
        [c for c in answer.candidates if c.ring.profile_shift == 0]
    )


def test_two_systems_for_one_ring_are_one_candidate():
    # 8 DP stub 0.8/1.0 and the combination pitch 8/10 are the same metal: 132/8 + 2 x 0.1 and 132/8 - 2 x 0.125 in
    tip, root = 25.4 * (132 / 8 + 0.2), 25.4 * (132 / 8 - 0.25)
    ranked = identify(1, 132, (Reading("tip_diameter", tip, 0.02), Reading("root_diameter", root, 0.02)))
    best = ranked.candidates[0]

    assert {n.size for n in best.names} == {"8", "8/10"}
    assert best.probability == pytest.approx(fsum(n.probability for n in best.names), rel=1e-12)


@pytest.mark.parametrize("slip", [8.0, 60.0, -300.0])
def test_one_bad_reading_does_not_sink_the_truth(slip):
    good = [
        Reading("tip_diameter", 645, 0.1),
        Reading("root_diameter", 622.5, 0.1),
        Reading("span", span(127, 5, 14), 0.03, k=14),
        Reading("span", span(127, 5, 15), 0.03, k=15),
    ]
    for n in range(4):
        if good[n].value + slip <= 0:
            continue
        bad = list(good)
        bad[n] = Reading(good[n].what, good[n].value + slip, good[n].u, k=good[n].k)
        ranked = identify(1, 127, tuple(bad))

        assert first(ranked) == ("5", 20.0)
        assert ranked.candidates[0].bad == (n,)


def test_nothing_standard_leaves_the_weight_with_none_of_these():
    m = 5.31  # between 5 and 5 1/2, far from both at this exactness
    read = (
        Reading("tip_diameter", 129 * m, 0.02),
        Reading("root_diameter", 124.5 * m, 0.02),
        Reading("span", span(127, m, 14), 0.02, k=14),
        Reading("span", span(127, m, 15), 0.02, k=15),
        Reading("pitch", pi * m, 0.02),
    )

    assert identify(1, 127, read).other_probability > 0.9


def test_a_count_out_by_one_is_found():
    read = (
        Reading("tip_diameter", 128 * 5, 0.05),
        Reading("span", span(126, 5, 14), 0.02, k=14),
        Reading("span", span(126, 5, 15), 0.02, k=15),
    )
    ranked = identify(1, 127, read, z_sure=False)

    assert ranked.candidates[0].names[0].z == 126
    assert first(ranked) == ("5", 20.0)


def test_shift_is_found_before_a_new_pitch():
    x, m = 0.5, 4.0
    read = (
        Reading("tip_diameter", m * (20 + 2 + 2 * x), 0.02),
        Reading("root_diameter", m * (20 - 2.5 + 2 * x), 0.02),
        Reading("span", span(20, m, 3) + 2 * x * m * np.sin(radians(20)), 0.02, k=3),
        Reading("span", span(20, m, 4) + 2 * x * m * np.sin(radians(20)), 0.02, k=4),
    )
    ranked = identify(1, 20, read)

    assert first(ranked) == ("4", 20.0)
    assert ranked.candidates[0].x == pytest.approx(0.5, abs=0.02)


def test_a_helix_read_enters_the_diameter():
    beta = radians(15)
    read = (
        Reading("tip_diameter", 40 * 3 / cos(beta) + 6, 0.1),
        Reading("root_diameter", 40 * 3 / cos(beta) - 7.5, 0.1),
        Reading("helix_angle", beta, radians(0.3)),
    )
    name = identify(1, 40, read).candidates[0].names[0]

    assert (name.m, name.beta) == (3.0, pytest.approx(beta))


def test_the_prior_decides_a_draw_and_is_overruled_by_a_good_span():
    draw = {"what": "tip_diameter", "value": 130.5, "uncertainty": 2.5, "unit": "mm"}
    inch = {"systems": {"diametral_pitch": 1}}
    metric = {"systems": {"module": 1}}

    def best(prior, *more):
        answer = reckon.identify({"kind": "external", "teeth": 24, "readings": [draw, *more], "prior": prior})
        return answer.candidates[0].system

    assert (best(inch), best(metric)) == ("diametral_pitch", "module")

    both = {"systems": {"diametral_pitch": 20, "module": 1}}
    spans = [{"what": "span", "value": span(24, 5, k), "span_teeth": k, "unit": "mm"} for k in (3, 4)]
    assert (best(both), best(both, *spans)) == ("diametral_pitch", "module")


def test_evidence_does_not_depend_on_the_order_of_the_readings():
    read = (Reading("tip_diameter", 643, 0.1, True), Reading("span", 208.1, 0.03, k=14), Reading("pitch", 15.7, 0.1))
    a, b = identify(1, 127, read), identify(1, 127, read[::-1])

    assert [c.names[0].size for c in a.candidates] == [c.names[0].size for c in b.candidates]
    assert [c.probability for c in a.candidates] == pytest.approx([c.probability for c in b.candidates], rel=1e-9)


def test_why_says_the_tips_are_worn_and_a_tip_above_standard_is_noted():
    worn = asked({"what": "tip_diameter", "value": 642.1, "unit": "mm", "worn": True}, prior={"systems": {"module": 1}})
    assert "tips worn by 2.90 mm (on the diameter)" in worn.candidates[0].why

    spans = [{"what": "span", "value": span(127, 5, k), "span_teeth": k, "unit": "mm"} for k in (14, 15)]
    above = asked({"what": "tip_diameter", "value": 645.6, "unit": "mm", "worn": True}, *spans)
    assert above.candidates[0].size == "5"
    assert "tip_above_standard" in {n.code for n in above.notes}


def test_every_default_is_noted():
    codes = {n.code for n in asked({"what": "tip_diameter", "value": 645}).notes}

    assert {
        "default_uncertainty",
        "default_unit",
        "default_teeth_sure",
        "default_prior",
        "taken_as_straight",
        "taken_as_unworn",
    } <= codes


def test_inch_and_mm_are_the_same_reading():
    a = asked({"what": "tip_diameter", "value": 645.16, "unit": "mm", "uncertainty": 0.0508})
    b = asked({"what": "tip_diameter", "value": 25.4, "unit": "in", "uncertainty": 0.002})
    c = asked({"what": "tip_diameter", "value": "25.4 in", "uncertainty": "2 thou"})

    assert a.candidates == b.candidates == c.candidates


def test_next_reading_tells_the_leaders_apart():
    answer = asked({"what": "tip_diameter", "value": 645, "unit": "mm", "uncertainty": 0.05})
    coming = answer.next_reading

    assert coming.what in {"span", "whole_depth", "root_diameter", "over_pins", "chordal_thickness"}
    assert coming.worth_bits > 0.3
    predicted = [t.predicted_mm for t in coming.tells_apart]
    assert max(predicted) - min(predicted) > 3 * min(t.spread_mm for t in coming.tells_apart)


def test_next_reading_keeps_to_what_the_shop_can_read_and_ends_when_nothing_is_in_doubt():
    read = (Reading("tip_diameter", 645, 0.05),)

    assert next_reading(identify(1, 127, read), frozenset({"span"})).reading.what == "span"
    assert next_reading(identify(1, 127, read), frozenset({"helix_angle"})) is None


def test_information_against_a_sample():
    p, mean, sd = np.array([0.6, 0.3, 0.1]), np.array([0.0, 1.5, 1.7]), np.array([1.0, 0.5, 0.8])
    rng = np.random.default_rng(3)
    which = rng.choice(3, size=200_000, p=p)
    y = mean[which] + sd[which] * rng.standard_normal(which.size)
    density = np.exp(-0.5 * ((y[:, None] - mean) / sd) ** 2) / sd
    seen = np.mean(np.log2(density[np.arange(y.size), which] / (density @ p)))

    assert information(p, mean, sd) == pytest.approx(float(seen), abs=0.01)


def test_refusals_carry_the_reading_at_fault():
    with pytest.raises(Refusal) as refused:
        identify(-1, 80, (Reading("tip_diameter", 312, 0.1), Reading("span", 90, 0.1, k=5)))
    assert (refused.value.code, refused.value.at) == ("reading_not_on_this_ring", (1,))
    with pytest.raises(OutOfRange):
        identify(1, 4, (Reading("tip_diameter", 312, 0.1),))
    with pytest.raises(Refusal, match="no_reading"):
        identify(1, 80, ())
    with pytest.raises(Refusal, match="prior_leaves_nothing"):
        identify(1, 80, (Reading("tip_diameter", 312, 0.1),), prior=Prior(systems={"module": 0.0}))
    with pytest.raises(Refusal, match="mate_not_inside"):
        identify(-1, 80, (Reading("centre_distance", 12, 0.1, z_mate=90),))
