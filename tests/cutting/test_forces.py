"""Kienzle with its corrections, deflection and runout: laws, limits, second derivations."""

from math import pi, radians

import numpy as np
import pytest

from ringwright.cutting import deflection, forces
from ringwright.errors import OutOfRange, Refusal


def test_force_grows_slower_than_the_chip():
    steel = forces.of_grade("C45")
    thin, thick = (forces.edge_force(steel, 1, h) for h in (0.05, 0.1))
    assert thick / thin == pytest.approx(2 ** (1 - 0.14))


def test_the_law_stands_still_where_the_edge_rubs():
    steel = forces.of_grade("42CrMo4")
    got = forces.unit_force(steel, [0.0, 0.01, 0.03, 0.031])
    assert got[0] == got[1] == got[2] > got[3]


def test_both_speed_laws_meet():
    assert forces.speed_factor(99.999) == pytest.approx(forces.speed_factor(100), abs=0.002)
    v = np.array([forces.speed_factor(float(x)) for x in np.linspace(5, 99, 50)])
    assert (np.diff(v) < 0).all()


def test_hardness_raises_force_as_the_handbook_says():
    """Power constant of plain carbon steel from HB 150 to HB 350: 0.74 to 1.14 (read), exponent within 5 per cent."""
    ratio = forces.steel_of_hardness(350).k_c11 / forces.steel_of_hardness(150).k_c11
    assert ratio == pytest.approx(1.14 / 0.74, rel=0.05)


def test_band_widens_with_less_knowledge_and_thinner_chips():
    known, guessed = forces.of_grade("C45"), forces.steel_of_hardness(190)
    assert [forces.band(s, h) for s in (known, guessed) for h in (0.1, 0.02)] == [0.15, 0.30, 0.25, 0.30]


@pytest.mark.parametrize(
    ("ask", "symbol"),
    [
        (lambda: forces.rake_factor(20, 0.1), "gamma"),
        (lambda: forces.speed_factor(1), "v"),
        (lambda: forces.speed_factor(2000), "v"),
        (lambda: forces.steel_of_hardness(700), "HB"),
        (lambda: forces.unit_force(forces.of_grade("C45"), 9), "h"),
        (lambda: forces.corrections(forces.of_grade("C45"), 60, wear=3), "K_w"),
        (lambda: forces.spindle_torque(1.5, 0.1, 80), "eta"),
        (lambda: deflection.tip_deflection(300, 36, 12, 6e5, flute=40), "flute"),
        (lambda: deflection.tip_deflection(300, 0.1, 12, 6e5), "L"),
        (lambda: deflection.life_left_by_runout(2), "tir"),
    ],
)
def test_outside_their_range_there_is_no_answer(ask, symbol):
    with pytest.raises(OutOfRange) as refused:
        ask()
    assert refused.value.symbol == symbol


def test_unknown_steel_is_named():
    with pytest.raises(Refusal) as refused:
        forces.of_grade("cheese")
    assert refused.value.code == "unknown_steel"


def _bent(F, L, sections, E):
    """Deflection at the tip by the moment's double integral: (length from the tip, diameter) in order."""
    x = np.linspace(0, L, 400_001)
    d = np.full_like(x, sections[-1][1])
    start = 0.0
    for length, diameter in sections:
        d[(x >= start) & (x <= start + length)] = diameter
        start += length
    curvature = F * x / (E * pi * d**4 / 64)
    return np.trapezoid(curvature * x, x)


@pytest.mark.parametrize(("flute", "shank"), [(26, 12), (10, 8), (36, 12)])
def test_two_sections_agree_with_the_double_integral(flute, shank):
    got = deflection.tip_deflection(300, 36, 12, 6e5, flute=flute, shank=shank)
    assert got == pytest.approx(_bent(300, 36, [(flute, 9.6), (36 - flute, shank)], 6e5), rel=1e-4)


def test_twice_the_stick_out_bends_eight_times():
    one, two = (deflection.tip_deflection(100, L, 12, 6e5) for L in (30, 60))
    assert two == pytest.approx(8 * one)


def test_stress_of_a_round_bar():
    got = deflection.root_stress(300, 36, 12)
    assert got == pytest.approx(300 * 36 * 4.8 / deflection.second_moment(9.6))


def test_a_straight_flute_has_no_axial_force_and_a_left_hand_one_pushes():
    assert forces.axial_of_helix(0.0) == 0
    assert forces.axial_of_helix(-radians(30)) == -forces.axial_of_helix(radians(30))
