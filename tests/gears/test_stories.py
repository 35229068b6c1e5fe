"""The trade's stories that the figures of one ring answer, each by its number, with the slip that it warns of."""

from itertools import pairwise
from math import cos, pi, radians, sin, tan

import pytest

from ringwright import reckon
from ringwright.reckon import Problems


def gear(ring, **asked):
    return reckon.operation("gear").ask({"ring": {"kind": "external", **ring}, **asked})


def codes(answer):
    return {note.code for note in answer.notes}


class TestF2SpansForgetTheWear:
    def test_one_tooth_more_is_one_base_pitch_however_thin_the_teeth(self):
        for worn in (0.0, 0.3, 0.6):
            spans = gear({"teeth": 90, "module_mm": 6, "thickness_allowance_mm": worn}).spans
            steps = [b.length_mm - a.length_mm for a, b in pairwise(spans)]

            assert steps == pytest.approx([pi * 6 * cos(radians(20))] * len(steps), rel=1e-12)

    def test_14_and_a_half_against_20_degrees_is_3_per_cent_or_0_54_mm_at_module_6(self):
        old, new = (
            gear({"teeth": 90, "module_mm": 6, "pressure_angle_deg": a, "dedendum_coef": 1.157}).base_pitch_mm
            for a in (14.5, 20)
        )

        assert old - new == pytest.approx(0.54, abs=0.005)
        assert (old - new) / 6 == pytest.approx(0.089, abs=0.0005)
        assert old / new - 1 == pytest.approx(0.030, abs=0.0005)

    def test_slip_jaws_on_chamfer_or_fillet(self):
        ring = {"teeth": 90, "module_mm": 6}
        usable = [s.teeth for s in gear(ring).spans]
        broken = [s.teeth for s in gear(ring, tip_chamfer_mm=2).spans]

        assert gear(ring, span_teeth=usable[-1] + 1).span is None
        assert gear(ring, span_teeth=usable[0] - 1).span is None
        assert broken == usable[: len(broken)]
        assert len(broken) < len(usable)


class TestF9CircularPitch:
    def test_one_inch_is_module_8_085_and_3_1416_to_the_inch(self):
        answer = gear({"teeth": 100, "circular_pitch_mm": "1 in"})

        assert answer.reference_diameter_mm / 100 == pytest.approx(8.085, abs=0.0005)
        assert 25.4 / (answer.reference_diameter_mm / 100) == pytest.approx(3.1416, abs=5e-5)

    def test_slip_16_dp_is_not_module_5(self):
        answer = gear({"teeth": 40, "diametral_pitch": 16})

        assert answer.circular_pitch_mm == pytest.approx(4.99, abs=0.005)
        assert answer.reference_diameter_mm / 40 == 1.5875


def test_f10_a_stub_hardly_shows_in_the_outside_diameter_but_in_the_depth():
    full = gear({"teeth": 132, "diametral_pitch": 8})
    stub = gear({"teeth": 132, "diametral_pitch": 8, "addendum_coef": 0.8, "dedendum_coef": 1.0})

    assert 134 / (stub.tip_diameter_mm / 25.4) == pytest.approx(8.02, abs=0.005)  # (N + 2) / OD
    assert stub.whole_depth_mm / full.whole_depth_mm == pytest.approx(0.8)
    assert stub.whole_depth_mm == pytest.approx(0.225 * 25.4)  # 2.25 / 10 in


class TestF11EnlargedPinion:
    def test_span_grows_by_two_x_m_sin_alpha(self):
        plain, large = (gear({"teeth": 17, "module_mm": 4, "profile_shift": x}, span_teeth=3) for x in (0, 0.5))

        assert large.span.length_mm - plain.span.length_mm == pytest.approx(2 * 0.5 * 4 * sin(radians(20)), rel=1e-12)

    def test_blank_of_one_tooth_more_is_half_a_module_of_shift(self):
        large = gear({"teeth": 17, "diametral_pitch": 6, "profile_shift": 0.5})

        assert large.tip_diameter_mm == pytest.approx(20 / 6 * 25.4)  # (N + 3) / DP

    def test_slip_the_cutter_stays_the_same_pitch_and_count(self):
        plain, large = (gear({"teeth": 17, "module_mm": 4, "profile_shift": x}) for x in (0, 0.5))

        assert large.form_cutter.number == plain.form_cutter.number
        assert large.base_pitch_mm == plain.base_pitch_mm
        assert "form_cutter_wrong_form" in codes(large)


class TestF16SlightHelix:
    def test_two_degrees_over_100_mm_is_3_5_mm(self):
        answer = gear({"teeth": 63, "module_mm": 3, "helix_angle_deg": 2, "hand": "right"})

        # how far round the reference circle the tooth has moved after 100 mm
        assert 100 / answer.lead_mm * pi * answer.reference_diameter_mm == pytest.approx(3.5, abs=0.05)

    def test_lead_from_the_imprint_at_the_tip(self):
        answer = gear({"teeth": 63, "module_mm": 3, "helix_angle_deg": 15, "hand": "left"})
        at_tip = tan(radians(15)) * answer.tip_diameter_mm / answer.reference_diameter_mm

        assert pi * answer.tip_diameter_mm / at_tip == pytest.approx(answer.lead_mm, rel=1e-12)

    def test_slip_a_helix_without_its_hand_is_refused(self):
        with pytest.raises(Problems, match="hand"):
            gear({"teeth": 63, "module_mm": 3, "helix_angle_deg": 2})


INSIDE = {"kind": "internal", "teeth": 80, "module_mm": 4}
TOPPED = {"teeth": 60, "module_mm": 5}
THINNED = {"teeth": 127, "module_mm": 5, "thickness_allowance_mm": 0.15}


class TestF17InternalRings:
    def test_bore_and_pins(self):
        answer = gear(INSIDE)

        assert answer.tip_diameter_mm == 78 * 4
        low, high = answer.pin_range_mm
        assert low < 1.65 * 4 < 1.68 * 4 < high
        assert answer.usual_pins[0].name in ("1.65 m", "1.68/P")
        assert answer.pins.over_mm is None

    @pytest.mark.parametrize(("angle", "kind", "modules"), [
        (20, "internal", 1.65), (20, "external", 1.75), (14.5, "external", 1.7),
    ])  # fmt: skip
    def test_rules_for_pins_can_be_used_on_large_plain_rings(self, angle, kind, modules):
        ring = {"kind": kind, "teeth": 120, "module_mm": 4, "pressure_angle_deg": angle, "dedendum_coef": 1.157}
        answer = gear(ring, pin_diameter_mm=modules * 4)

        assert answer.pins is not None
        assert abs(answer.pins.contact_diameter_mm - 480) < 0.6 * 4

    def test_the_rule_for_14_and_a_half_degrees_inside_needs_cut_back_tips(self):
        """1.6 m touches the flank near the reference circle and ends 0.15 mm short of a full-depth tip."""
        ring = {"kind": "internal", "teeth": 120, "module_mm": 4, "pressure_angle_deg": 14.5, "dedendum_coef": 1.157}

        assert "pin_below_tip" in codes(gear(ring, pin_diameter_mm=6.4))
        assert gear({**ring, "tip_diameter_mm": 473}, pin_diameter_mm=6.4).pins is not None

    def test_slip_external_formula_with_the_sign_unchanged(self):
        inner, outer = gear(INSIDE, pin_diameter_mm=6.6), gear({**INSIDE, "kind": "external"}, pin_diameter_mm=7)

        assert inner.pins.between_mm < inner.root_diameter_mm
        assert outer.pins.over_mm > outer.tip_diameter_mm
        thin = gear({**INSIDE, "thickness_allowance_mm": 0.2}, pin_diameter_mm=6.6)
        assert thin.pins.between_mm > inner.pins.between_mm  # a thinner inside tooth lets the pins further out


def test_f18_each_field_in_the_unit_of_its_instrument():
    mixed = gear(
        {"teeth": 40, "diametral_pitch": 8, "tip_diameter_mm": "5-1/4 in", "thickness_allowance_mm": "5 thou"},
        pin_diameter_mm="0.216 in",
    )
    metric = gear(
        {"teeth": 40, "module_mm": 3.175, "tip_diameter_mm": 133.35, "thickness_allowance_mm": 0.127},
        pin_diameter_mm=5.4864,
    )

    assert mixed.pins.over_mm == pytest.approx(metric.pins.over_mm, rel=1e-14)
    assert mixed.span.length_mm == pytest.approx(metric.span.length_mm, rel=1e-14)


def test_f19_widths_at_five_depths_for_a_tool_ground_to_fit():
    ring = {"teeth": 96, "circular_pitch_mm": "3/4 in", "pressure_angle_deg": 15}
    plain = gear(ring)
    low, high = plain.root.form_diameter_mm, plain.tip_diameter_mm
    widths = [
        gear(ring, chordal_diameter_mm=low + share * (high - low)).chordal_at for share in (0.05, 0.3, 0.5, 0.7, 0.95)
    ]

    assert [w.thickness_mm for w in widths] == sorted((w.thickness_mm for w in widths), reverse=True)
    assert [w.height_mm for w in widths] == sorted((w.height_mm for w in widths), reverse=True)


class TestM8TipsGone:
    @pytest.mark.parametrize("gone", [0.3, 1.0, 1.5])
    def test_tongue_is_set_less_by_half_of_what_is_missing(self, gone):
        sound, worn = gear(TOPPED), gear({**TOPPED, "tip_diameter_mm": 310 - gone})

        assert worn.chordal.thickness_mm == sound.chordal.thickness_mm
        assert sound.chordal.height_mm - worn.chordal.height_mm == pytest.approx(gone / 2, abs=1e-12)

    def test_slip_the_table_setting_on_a_topped_tooth_reads_thick(self):
        sound = gear(TOPPED).chordal
        worn = {**TOPPED, "tip_diameter_mm": 308.0}
        # set by the table the jaws go 1 mm deeper, to about 298 mm
        deeper = gear(worn, chordal_diameter_mm=298.0).chordal_at

        assert deeper.height_mm == pytest.approx(sound.height_mm, abs=0.03)
        assert deeper.thickness_mm > sound.thickness_mm + 0.5


class TestP2TargetForMyInstrument:
    def test_span_touches_near_the_middle_of_the_flank(self):
        answer = gear(THINNED)
        middle = (answer.root.form_diameter_mm + answer.tip_diameter_mm) / 2

        assert abs(answer.span.contact_diameter_mm - middle) < 0.25 * answer.whole_depth_mm

    def test_what_backlash_takes_off(self):
        """Thinning s takes s cos(alpha) off the span and s cos(alpha) / sin(alpha_K) off the pins."""
        sound, thin = (gear({**THINNED, "thickness_allowance_mm": s}, pin_diameter_mm=8.64) for s in (0, 0.15))
        d_K = (sound.pins.over_mm - 8.64) / cos(pi / 254)
        sin_K = (1 - (sound.base_diameter_mm / d_K) ** 2) ** 0.5

        assert sound.span.length_mm - thin.span.length_mm == pytest.approx(0.15 * cos(radians(20)), rel=1e-9)
        assert sound.pins.over_mm - thin.pins.over_mm == pytest.approx(0.15 * cos(radians(20)) / sin_K, rel=0.01)

    def test_pins_i_own(self):
        answer = gear(THINNED, own_pins_mm=["1/4 in", "5/16 in", "3/8 in", 8])

        assert answer.pins.diameter_mm == pytest.approx(9.525)
        assert gear(THINNED, own_pins_mm=[3, 4]).pins is None

    def test_slip_pins_of_the_wrong_size_in_a_shifted_space(self):
        ring = {"teeth": 20, "module_mm": 5, "profile_shift": 0.8, "addendum_coef": 0.8}
        wrong = gear(ring, pin_diameter_mm=1.4 * 5)

        assert wrong.pins is None
        assert codes(wrong) & {"pin_off_flank", "pin_below_tip", "pin_on_root", "pin_on_fillet"}

    def test_slip_k_so_large_that_the_jaws_sit_on_the_tips(self):
        answer = gear(THINNED, span_teeth=22)

        assert answer.span is None
        assert "span_off_flank" in codes(answer)


def test_p3_opening_the_centres_by_20_to_40_thou_gives_15_to_29_thou():
    """2 da tan 20 as thinning: the ring that is thinner by it has the span of the ring as drawn, less its share."""
    for da, j in ((0.020, 0.0146), (0.040, 0.0291)):
        assert 2 * da * tan(radians(20)) == pytest.approx(j, abs=5e-5)
        ring = {"teeth": 130, "diametral_pitch": 10}
        sound = gear(ring, span_teeth=15)
        thin = gear({**ring, "thickness_allowance_mm": 25.4 * 2 * da * tan(radians(20))}, span_teeth=15)
        # sinking the cutter by da without opening the centres does the same to the tooth
        deeper = gear({**ring, "profile_shift": -da * 10}, span_teeth=15)

        assert thin.span.length_mm < sound.span.length_mm
        assert thin.span.length_mm == pytest.approx(deeper.span.length_mm, rel=1e-12)
