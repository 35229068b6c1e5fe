"""Reckons the published cases of this package again, a row at a time."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi

from ringwright.rigging import loads

Given = Mapping[str, str]


def _n(given: Given, *names: str) -> list[float]:
    return [float(given[k]) for k in names]


def ring_mass(given: Given) -> float:
    """Mass of a plain ring [kg]."""
    d_o, d_i, b, rho = _n(given, "outside_mm", "bore_mm", "face_mm", "density_kg_m3")
    return loads.ring_mass(d_o, d_i, b, rho)


def rim_moment(given: Given) -> float:
    """Moment of a push at the rim [N m]."""
    return loads.rim_moment(*_n(given, "push_n", "radius_mm"))


def lock_moment(given: Given) -> float:
    """Moment that a table lock carries [N m]."""
    mu, F, r = _n(given, "mu", "force_n", "radius_mm")
    return loads.lock_moment(mu, F, r, float(given["faces"]))


def rim_play(given: Given) -> float:
    """Play at the rim [mm]."""
    r, minutes = _n(given, "radius_mm", "backlash_arcmin")
    return loads.rim_play(r, minutes * pi / 10800)


def worm_moment(given: Given) -> float:
    """Moment at the crank [N m]."""
    return loads.worm_moment(*_n(given, "moment_nm", "ratio"))


def overhang_moment(given: Given) -> float:
    """Tipping moment of an overhang [N m]."""
    return loads.overhang_moment(*_n(given, "mass_kg", "overhang_mm"))


def stud_force(given: Given) -> float:
    """Force of a clamp stud [kN]."""
    return loads.stud_force(*_n(given, "torque_nm", "diameter_mm", "K")) / 1000


def strap_force(given: Given) -> float:
    """Force on the work under a strap [kN]."""
    return loads.strap_force(*_n(given, "stud_kn", "heel_mm", "work_mm"))


def sling_leg_factor(given: Given) -> float:
    """Tension factor of a sling leg [-]."""
    return loads.sling_leg_factor(*_n(given, "angle_deg"))


def sling_capacity_percent(given: Given) -> float:
    """What a sling leg keeps of its upright capacity [%]."""
    return 100 * loads.sling_capacity(*_n(given, "angle_deg"))
