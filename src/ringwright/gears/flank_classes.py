"""All tolerances of one ring at one grade, whether the edition covers it, and the grade that a reading reaches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from ringwright.errors import require
from ringwright.gears import tolerances as of

Edition = Literal["1995", "2013"]
#: Grades that the edition has; the catalogue text of 2013 was read as "1 to 11", another as "2 to 11".
GRADES: Mapping[Edition, tuple[int, int]] = {"1995": (0, 12), "2013": (1, 11)}
#: Validity: symbol -> least and largest, core units; outside it the figures are extended and must be marked.
LIMITS: Mapping[Edition, Mapping[str, tuple[float, float]]] = {
    "1995": {"m_n": (0.5, 70), "d": (5, 10_000), "b": (4, 1000)},
    "2013": {"z": (5, 1000), "m_n": (0.5, 70), "d": (5, 15_000), "b": (4, 1200), "beta": (0, 0.785_398_163_4)},
}
#: Each tolerance by the word that names it, with its symbol in 1995 and in 2013.
SYMBOLS: Mapping[str, tuple[str, str]] = {
    "single_pitch": ("f_pt", "f_pT"),
    "total_pitch": ("F_p", "F_pT"),
    "sector_pitch": ("F_pk", "F_pkT"),
    "profile_total": ("F_alpha", "F_alphaT"),
    "profile_form": ("f_falpha", "f_falphaT"),
    "profile_slope": ("f_Halpha", "f_HalphaT"),
    "helix_total": ("F_beta", "F_betaT"),
    "helix_form": ("f_fbeta", "f_fbetaT"),
    "helix_slope": ("f_Hbeta", "f_HbetaT"),
    "runout": ("F_r", "F_rT"),
}


@dataclass(frozen=True, slots=True)
class Sizes:
    """What the formulas ask of a ring: d, m_n and face b [mm] (b None: not known), z teeth, k pitches, beta [rad]."""

    d: float
    m_n: float
    z: int
    k: int
    b: float | None = None
    beta: float = 0.0


@dataclass(frozen=True, slots=True)
class Outside:
    """One size that the edition does not cover: symbol, its value and the edition's limits, core units."""

    symbol: str
    value: float
    low: float
    high: float


def default_sector(z: int) -> int:
    """Pitches of a sector where nothing else is agreed: the whole number nearest z / 8, at least 2.

    >>> default_sector(127)
    16
    """
    return max(2, round(z / 8))


def outside(edition: Edition, sizes: Sizes) -> tuple[Outside, ...]:
    """Every size that lies outside what the edition covers."""
    values = {"z": sizes.z, "m_n": sizes.m_n, "d": sizes.d, "b": sizes.b, "beta": abs(sizes.beta)}
    found = []
    for symbol, (low, high) in LIMITS[edition].items():
        value = values[symbol]
        if value is not None and not low <= value <= high * (1 + 1e-9):
            found.append(Outside(symbol, value, low, high))
    return tuple(found)


def grade_5(edition: Edition, sizes: Sizes) -> dict[str, float]:
    """All tolerances for grade 5, unrounded [um]; without a face width those of the helix are left out.

    A size beyond the steps of 1995 stands for its own mean; `outside` says so and must be shown.

    Raises
    ------
    OutOfRange
        k is not 2 to z/2 for 1995, 2 to z/4 for 2013.
    """
    require("k", sizes.k, 2, max(2, sizes.z // (2 if edition == "1995" else 4)))
    return (_grade_5_1995 if edition == "1995" else _grade_5_2013)(sizes)


def _grade_5_1995(sizes: Sizes) -> dict[str, float]:
    d = of.step_mean("d", sizes.d) or sizes.d
    m_n = of.step_mean("m_n", sizes.m_n) or sizes.m_n
    found = {
        "single_pitch": of.single_pitch_1995(d, m_n),
        "total_pitch": of.total_pitch_1995(d, m_n),
        "sector_pitch": of.sector_pitch_1995(d, m_n, sizes.k),
        "profile_total": of.profile_total_1995(d, m_n),
        "profile_form": of.profile_form_1995(d, m_n),
        "profile_slope": of.profile_slope_1995(d, m_n),
        "runout": of.runout_1995(d, m_n),
    }
    if sizes.b is not None:
        b = of.step_mean("b", sizes.b) or sizes.b
        part = of.helix_part_1995(d, b)
        found |= {"helix_total": of.helix_total_1995(d, b), "helix_form": part, "helix_slope": part}
    return found


def _grade_5_2013(sizes: Sizes) -> dict[str, float]:
    d, m_n, b = sizes.d, sizes.m_n, sizes.b
    found = {
        "single_pitch": of.single_pitch_2013(d, m_n),
        "total_pitch": of.total_pitch_2013(d, m_n),
        "sector_pitch": of.sector_pitch_2013(d, m_n, sizes.z, sizes.k),
        "profile_total": of.profile_total_2013(d, m_n),
        "profile_form": of.profile_form_2013(m_n),
        "profile_slope": of.profile_slope_2013(d, m_n),
        "runout": of.runout_2013(d, m_n),
    }
    if b is not None:
        found |= {
            "helix_total": of.helix_total_2013(d, b),
            "helix_form": of.helix_form_2013(d, b),
            "helix_slope": of.helix_slope_2013(d, b),
        }
    return found


def at_grade(edition: Edition, grade: int, sizes: Sizes) -> dict[str, float]:
    """All tolerances at a grade, unrounded [um]; `tolerances.rounded` makes them the printed ones.

    Raises
    ------
    OutOfRange
        The edition has no such grade, or k as in `grade_5`.

    Examples
    --------
    >>> round(at_grade("2013", 8, Sizes(d=420, m_n=2.5, z=168, k=21, b=20))["total_pitch"], 2)
    73.15
    """
    require("grade", grade, *GRADES[edition])
    return {name: f * of.grade_factor(grade) for name, f in grade_5(edition, sizes).items()}


def reached(edition: Edition, name: str, reading: float, sizes: Sizes) -> int | None:
    """The finest grade whose printed tolerance the reading [um] keeps; None when even the coarsest is passed.

    Raises
    ------
    OutOfRange
        The reading is negative.
    """
    require("reading", reading, 0, 1e6)
    five = grade_5(edition, sizes)[name]
    low, high = GRADES[edition]
    grades = range(low, high + 1)
    return next((grade for grade in grades if reading <= of.rounded(five * of.grade_factor(grade))), None)
