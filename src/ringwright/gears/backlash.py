"""Backlash, always said which: at the working circle, along the normal, or as the centres' way to a tight mesh."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, cos, inf, tan
from typing import Literal

from ringwright import tables
from ringwright.errors import Refusal, require
from ringwright.gears.involute import inv, inverse_inv
from ringwright.gears.mesh import Pair, working_angle, working_radii

Kind = Literal["circumferential", "normal", "radial"]


@dataclass(frozen=True, slots=True)
class Backlash:
    """One backlash in its three measures, and as the turn of each gear while the other is held.

    ``j_wt`` [mm] arc on the working circles, transverse; ``j_bn`` [mm] along the normal, what a feeler shows; ``j_r``
    [mm] the way of the centres to the tight mesh, NaN where no tight mesh exists; ``turn_pinion``, ``turn_ring`` [rad].
    """

    j_wt: float
    j_bn: float
    j_r: float
    turn_pinion: float
    turn_ring: float


def tight_centre_distance(pair: Pair) -> float:
    """Centre distance at which both flanks touch, from the thicknesses as they are [mm]; NaN where there is none.

    External and internal pairs. ISO 21771 (from memory).

    >>> from ringwright.gears.ring import RingGeometry
    >>> shifted = [RingGeometry("external", z, 3, x=x) for z, x in ((12, 0.6), (24, 0.36))]
    >>> tight_centre_distance(Pair(*shifted))
    56.4999
    """
    if pair.inv_tight < 0:
        return float("nan")
    return pair.a_b / cos(float(inverse_inv(pair.inv_tight)))


def backlash(pair: Pair, a_w: float) -> Backlash:
    """Backlash at centre distance a_w [mm]; negative where the flanks would overlap.

    j_wt = s 2 a_w (inv alpha_wt - inv alpha_tight), exact. ISO 21771 (from memory).

    >>> from ringwright.gears.ring import RingGeometry
    >>> pair = Pair(RingGeometry("external", 20, 5), RingGeometry("external", 127, 5))
    >>> backlash(pair, pair.a + 0.3).j_wt
    0.2192
    """
    alpha = working_angle(pair, a_w)
    j_wt = pair.s * 2 * a_w * (float(inv(alpha)) - pair.inv_tight)
    r_1, r_2 = working_radii(pair, a_w)
    j_r = pair.s * (a_w - tight_centre_distance(pair))
    return Backlash(j_wt, j_wt * cos(alpha) * cos(pair.pinion.beta_b), j_r, j_wt / r_1, j_wt / r_2)


def centre_distance_for(pair: Pair, kind: Kind, j: float) -> float:
    """Centre distance [mm] at which the backlash of that kind is j, 0 to 100 [mm].

    Raises
    ------
    OutOfRange
        j outside its range.
    Refusal
        ``no_such_backlash``: the teeth are so thin, or those of the internal pair so thick, that no centres give it.
    """
    require("j", j, 0, 100)
    if kind == "radial":
        a_w = tight_centre_distance(pair) + pair.s * j
        if not a_w >= pair.a_b:
            raise Refusal("no_such_backlash", "j", j)
        return a_w
    cos_b = cos(pair.pinion.beta_b)
    if kind == "normal":
        return _for_normal(pair, j)
    # the normal backlash is the smaller one, so that the wanted one lies between nought and it
    low, high = 0.0, j * cos_b
    for _step in range(80):
        middle = (low + high) / 2
        alpha = _angle_for(pair, middle)
        if alpha is None or middle > j * cos(alpha) * cos_b:
            high = middle
        else:
            low = middle
    return _for_normal(pair, high)


def _angle_for(pair: Pair, j_bn: float) -> float | None:
    """Working angle at which the normal backlash is j_bn [rad]; None where there is none."""
    value = pair.inv_tight + pair.s * j_bn / (2 * pair.a_b * cos(pair.pinion.beta_b))
    return float(inverse_inv(value)) if value >= 0 else None


def _for_normal(pair: Pair, j_bn: float) -> float:
    alpha = _angle_for(pair, j_bn)
    if alpha is None:
        raise Refusal("no_such_backlash", "j", j_bn)
    return pair.a_b / cos(alpha)


def radial_of_circumferential(j_wt: float, alpha_wt: float) -> float:
    """Small change of the centres that gives a backlash j_wt [mm], spur: j_wt / (2 tan(alpha_wt)) [mm].

    alpha_wt 0.05 to 1 [rad]. Technical gear reference Q410 (read).

    >>> import numpy as np
    >>> [radial_of_circumferential(1, angle) for angle in np.radians([14.5, 20])]
    [1.933, 1.374]
    """
    require("alpha_wt", alpha_wt, 0.05, 1)
    return j_wt / (2 * tan(alpha_wt))


def circumferential_of_radial(j_r: float, alpha_wt: float) -> float:
    """Backlash at the working circle of centres j_r [mm] apart from a tight mesh, spur: 2 j_r tan(alpha_wt) [mm].

    alpha_wt 0.05 to 1 [rad]. SAE J543 as summarised (read).

    >>> circumferential_of_radial(0.02, 0.349066)
    0.01456
    """
    require("alpha_wt", alpha_wt, 0.05, 1)
    return 2 * j_r * tan(alpha_wt)


def shift_for(kind: Literal["circumferential", "normal"], j: float, m_n: float, alpha_n: float) -> float:
    """Profile shift, of both gears together, to take off for a backlash j [mm] in the normal section [-].

    Circumferential: j / (2 m_n tan(alpha_n)); along the line of action: j / (2 m_n sin(alpha_n)). One worked sheet
    prints both for the same "normal backlash". ISO 21771 (read as a worked sheet).

    >>> shift_for("circumferential", 0.03, 3.5, 0.34906585), shift_for("normal", 0.03, 3.5, 0.34906585)
    (0.011775, 0.012531)
    """
    require("alpha_n", alpha_n, 0.17, 0.62)
    along = tan(alpha_n) * (cos(alpha_n) if kind == "normal" else 1.0)
    return j / (2 * m_n * along)


def least_backlash(m_n: float, a_w: float) -> float:
    """Least normal backlash j_bn,min: (2/3) (0.06 + 0.0005 a_w + 0.03 m_n) [mm]; m_n, a_w > 0 [mm].

    Steel and iron in housings, slower than 15 m/s; the printed table, m_n 1.5 to 18 and a_w 50 to 1600 mm, rounds up
    to 0.01. ISO/TR 10064-2, as AGMA 2002, annex (from memory).

    >>> least_backlash(5, 400)
    0.2733
    """
    return 2 / 3 * (0.06 + 0.0005 * a_w + 0.03 * m_n)


def as_tabled(j_bn: float) -> float:
    """A least backlash as the table prints it: up to the next 0.01 [mm].

    >>> as_tabled(0.2733)
    0.28
    """
    return round(ceil(j_bn * 100 - 1e-9) / 100, 2)


@dataclass(frozen=True, slots=True)
class Advice:
    """Recommended normal backlash [mm], from low to high (high infinite: a least only), by a named source.

    ``covers`` says whether module and centres lie where the source speaks; outside it is shown with a caution.
    """

    by: Literal["least", "range", "girth", "starter"]
    low: float
    high: float
    source: str
    covers: bool


def advice(pair: Pair, a_w: float, use: Literal["general", "girth", "starter"] = "general") -> tuple[Advice, ...]:
    """What sources recommend as normal backlash for this pair at these centres [mm].

    General: a least one, and a range by centres and diametral pitch where its table has a cell. Girth gears: 3 to 6
    per cent of the module. Starter rings: 0.015 to 0.030 inch at the working circle.
    """
    m_n = pair.ring.m_n
    if use == "girth":
        return (Advice("girth", 0.03 * m_n, 0.06 * m_n, "girth-gear-glossary", True),)
    if use == "starter":
        low, high = (25.4 * j * cos(working_angle(pair, a_w)) * cos(pair.ring.beta_b) for j in (0.015, 0.030))
        return (Advice("starter", low, high, "sae-j543-summary", 25.4 / m_n <= 10.01),)
    covers = 1.5 <= m_n <= 18 and 50 <= a_w <= 1600
    found = [Advice("least", least_backlash(m_n, a_w), inf, "iso-tr-10064-2", covers)]
    cell = _cell(25.4 / m_n, a_w / 25.4)
    if cell is not None:
        found.append(Advice("range", 25.4 * float(cell["low_in"]), 25.4 * float(cell["high_in"]), cell["source"], True))
    return tuple(found)


def _cell(P: float, a_in: float) -> dict[str, str] | None:
    """The cell of the range table for a diametral pitch and centres in inches; a limit belongs to the finer step."""
    for row in tables.load("backlash_ranges"):
        by_pitch = float(row["pitch_from"]) <= P < float(row["pitch_to"])
        if by_pitch and float(row["centres_from_in"]) < a_in <= float(row["centres_to_in"]):
            return row
    return None


def thickness_for(j_bn: float, alpha_n: float) -> float:
    """Thickness, normal arc on the reference circle, both gears together, that makes a normal backlash j_bn [mm].

    j_bn / cos(alpha_n), exact at any centres: the flanks are parallel curves. alpha_n 0.17 to 0.62 [rad]. Own
    derivation.
    """
    require("alpha_n", alpha_n, 0.17, 0.62)
    return j_bn / cos(alpha_n)


def depth_for(thickness: float, alpha_n: float) -> float:
    """How much deeper the same cutter goes in to thin the tooth by ``thickness`` [mm]: thickness / (2 tan(alpha_n)).

    alpha_n 0.17 to 0.62 [rad] -> [mm]. Own derivation from the rack.
    """
    require("alpha_n", alpha_n, 0.17, 0.62)
    return thickness / (2 * tan(alpha_n))
