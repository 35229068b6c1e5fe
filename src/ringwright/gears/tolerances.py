"""Flank tolerances of ISO 1328-1, editions 1995 and 2013: formulas for grade 5, the step to another grade, rounding.

Each formula gives micrometres for grade (class) 5, unrounded. The edition of 1995 works with the geometric mean of the
size step in which diameter, module and face lie (`step_mean`), the edition of 2013 with the sizes themselves. The two
editions give different figures for the same grade number, so that a grade means nothing without its edition.
"""

from __future__ import annotations

from math import floor, hypot, sqrt

from ringwright import tables
from ringwright.errors import require


def step_mean(of: str, value: float) -> float | None:
    """Geometric mean of the size step of 1995 that holds ``value`` [mm]; None outside all steps.

    ``of`` is "d", "m_n" or "b"; a step reaches from above its lower limit up to its upper one, that one included.
    ISO 1328-1:1995 (steps from memory).

    >>> step_mean("d", 125), step_mean("d", 125.1), step_mean("b", 3)
    (79.057, 187.083, None)
    """
    rows = [row for row in tables.load("tolerance_steps") if row["of"] == of]
    for n, row in enumerate(rows):
        low, high = float(row["from"]), float(row["to"])
        if low < value <= high or (n == 0 and value == low):
            return sqrt(low * high)
    return None


def grade_factor(grade: int) -> float:
    """What the formulas for grade 5 are multiplied with, before rounding: sqrt(2)^(grade - 5); grade 0 to 12 [-].

    >>> grade_factor(7)
    2.0
    """
    require("grade", grade, 0, 12)
    return float(2 ** ((grade - 5) / 2))


def rounded(f: float) -> float:
    """A tolerance as the tables print it: whole micrometres from 10 up, halves from 5 to 10, tenths below [um].

    f > 0, already multiplied for its grade. Exact halves go up; no printed cell shows which way they go.
    ISO 1328-1 (rule from memory, both editions).

    >>> [rounded(f) for f in (4.6795, 6.6735, 9.7, 10.56)]
    [4.7, 6.5, 9.5, 11.0]
    """
    step = 1.0 if f >= 10 else 0.5 if f >= 5 else 0.1
    return round(floor(f / step + 0.5 + 1e-9) * step, 1)


def single_pitch_1995(d: float, m_n: float) -> float:
    """Single pitch deviation f_pt, grade 5, edition 1995 [um]: 0.3 (m_n + 0.4 sqrt(d)) + 4.

    d, m_n are the means of their steps [mm]. ISO 1328-1:1995 (from memory).

    >>> single_pitch_1995(step_mean("d", 100), step_mean("m_n", 3))
    5.8607
    """
    return 0.3 * (m_n + 0.4 * sqrt(d)) + 4


def sector_pitch_1995(d: float, m_n: float, k: int) -> float:
    """Cumulative pitch deviation F_pk over k pitches, grade 5, edition 1995 [um]: f_pt + 1.6 sqrt((k - 1) m_n).

    d, m_n are the means of their steps [mm]; k 2 to z/8, more by agreement [-]. ISO 1328-1:1995 (from memory).
    """
    return single_pitch_1995(d, m_n) + 1.6 * sqrt((k - 1) * m_n)


def total_pitch_1995(d: float, m_n: float) -> float:
    """Total cumulative pitch deviation F_p, grade 5, edition 1995 [um]: 0.3 m_n + 1.25 sqrt(d) + 7.

    d, m_n are the means of their steps [mm]. ISO 1328-1:1995 (from memory).

    >>> total_pitch_1995(step_mean("d", 400), step_mean("m_n", 3))
    32.668
    """
    return 0.3 * m_n + 1.25 * sqrt(d) + 7


def profile_total_1995(d: float, m_n: float) -> float:
    """Total profile deviation F_alpha, grade 5, edition 1995 [um]: 3.2 sqrt(m_n) + 0.22 sqrt(d) + 0.7.

    d, m_n are the means of their steps [mm]. ISO 1328-1:1995 (from memory).

    >>> profile_total_1995(step_mean("d", 200), step_mean("m_n", 5))
    10.559
    """
    return 3.2 * sqrt(m_n) + 0.22 * sqrt(d) + 0.7


def profile_form_1995(d: float, m_n: float) -> float:
    """Profile form deviation f_falpha, grade 5, edition 1995 [um]: 2.5 sqrt(m_n) + 0.17 sqrt(d) + 0.5.

    d, m_n are the means of their steps [mm]. ISO 1328-1:1995, annex B (from memory).
    """
    return 2.5 * sqrt(m_n) + 0.17 * sqrt(d) + 0.5


def profile_slope_1995(d: float, m_n: float) -> float:
    """Profile slope deviation f_Halpha, plus or minus, grade 5, edition 1995 [um]: 2 sqrt(m_n) + 0.14 sqrt(d) + 0.5.

    d, m_n are the means of their steps [mm]. ISO 1328-1:1995, annex B (from memory).
    """
    return 2 * sqrt(m_n) + 0.14 * sqrt(d) + 0.5


def helix_total_1995(d: float, b: float) -> float:
    """Total helix deviation F_beta, grade 5, edition 1995 [um]: 0.1 sqrt(d) + 0.63 sqrt(b) + 4.2.

    d, b (face width) are the means of their steps [mm]. ISO 1328-1:1995 (from memory).

    >>> helix_total_1995(step_mean("d", 100), step_mean("b", 8))
    6.6735
    """
    return 0.1 * sqrt(d) + 0.63 * sqrt(b) + 4.2


def helix_part_1995(d: float, b: float) -> float:
    """Helix form deviation f_fbeta, and slope f_Hbeta plus or minus, grade 5, edition 1995 [um]: one formula for both.

    0.07 sqrt(d) + 0.45 sqrt(b) + 3; d, b are the means of their steps [mm]. ISO 1328-1:1995, annex B (from memory).
    """
    return 0.07 * sqrt(d) + 0.45 * sqrt(b) + 3


def runout_1995(d: float, m_n: float) -> float:
    """Run-out F_r of the teeth, grade 5 [um]: 0.24 m_n + 1.0 sqrt(d) + 5.6, which is 0.8 F_p.

    d, m_n are the means of their steps [mm]. ISO 1328-2:1997, annex B (from memory).

    >>> runout_1995(step_mean("d", 100), step_mean("m_n", 8))
    16.35
    """
    return 0.24 * m_n + 1.0 * sqrt(d) + 5.6


def single_pitch_2013(d: float, m_n: float) -> float:
    """Single pitch tolerance f_pT, class 5, edition 2013 [um]: 0.001 d + 0.4 m_n + 5.

    d, m_n as they are [mm]. ISO 1328-1:2013, 5.3 (from memory).

    >>> single_pitch_2013(420, 2.5)
    6.42
    """
    return 0.001 * d + 0.4 * m_n + 5


def sector_pitch_2013(d: float, m_n: float, z: int, k: int) -> float:
    """Sector pitch tolerance F_pkT over k of z pitches, class 5, edition 2013 [um].

    f_pT + (4 k / z) (0.001 d + 0.55 sqrt(d) + 0.3 m_n + 7); d, m_n as they are [mm]; k 2 to z/4 [-]. It reaches F_pT
    at a quarter of the ring. ISO 1328-1:2013, annex D (from memory, uncertain).
    """
    return single_pitch_2013(d, m_n) + 4 * k / z * (0.001 * d + 0.55 * sqrt(d) + 0.3 * m_n + 7)


def total_pitch_2013(d: float, m_n: float) -> float:
    """Total cumulative pitch tolerance F_pT, class 5, edition 2013 [um]: 0.002 d + 0.55 sqrt(d) + 0.7 m_n + 12.

    d, m_n as they are [mm]. ISO 1328-1:2013, 5.3 (from memory).

    >>> total_pitch_2013(420, 2.5)
    25.86
    """
    return 0.002 * d + 0.55 * sqrt(d) + 0.7 * m_n + 12


def profile_slope_2013(d: float, m_n: float) -> float:
    """Profile slope tolerance f_HalphaT, plus or minus, class 5, edition 2013 [um]: 0.4 m_n + 0.001 d + 4.

    d, m_n as they are [mm]. ISO 1328-1:2013, 5.3 (from memory).
    """
    return 0.4 * m_n + 0.001 * d + 4


def profile_form_2013(m_n: float) -> float:
    """Profile form tolerance f_falphaT, class 5, edition 2013 [um]: 0.55 m_n + 5; m_n as it is [mm].

    ISO 1328-1:2013, 5.3 (from memory).
    """
    return 0.55 * m_n + 5


def profile_total_2013(d: float, m_n: float) -> float:
    """Total profile tolerance F_alphaT, class 5, edition 2013 [um]: root of the squares of slope and form.

    d, m_n as they are [mm]. ISO 1328-1:2013, 5.3 (from memory).

    >>> profile_total_2013(420, 2.5)
    8.368
    """
    return hypot(profile_slope_2013(d, m_n), profile_form_2013(m_n))


def helix_slope_2013(d: float, b: float) -> float:
    """Helix slope tolerance f_HbetaT, plus or minus, class 5, edition 2013 [um]: 0.05 sqrt(d) + 0.35 sqrt(b) + 4.

    d, b (face width) as they are [mm]. ISO 1328-1:2013, 5.3 (from memory).
    """
    return 0.05 * sqrt(d) + 0.35 * sqrt(b) + 4


def helix_form_2013(d: float, b: float) -> float:
    """Helix form tolerance f_fbetaT, class 5, edition 2013 [um]: 0.07 sqrt(d) + 0.45 sqrt(b) + 4.

    d, b (face width) as they are [mm]. ISO 1328-1:2013, 5.3 (from memory).
    """
    return 0.07 * sqrt(d) + 0.45 * sqrt(b) + 4


def helix_total_2013(d: float, b: float) -> float:
    """Total helix tolerance F_betaT, class 5, edition 2013 [um]: root of the squares of slope and form.

    d, b (face width) as they are [mm]. ISO 1328-1:2013, 5.3 (from memory).

    >>> helix_total_2013(420, 20)
    9.944
    """
    return hypot(helix_slope_2013(d, b), helix_form_2013(d, b))


def runout_2013(d: float, m_n: float) -> float:
    """Run-out tolerance F_rT, class 5, edition 2013 [um]: 0.9 F_pT; the edition only informs about it.

    d, m_n as they are [mm]. ISO 1328-1:2013, annex E (from memory).
    """
    return 0.9 * total_pitch_2013(d, m_n)
