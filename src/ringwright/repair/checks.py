"""Published rows reckoned again; each function takes a row's inputs as texts."""

from __future__ import annotations

from collections.abc import Mapping

from ringwright.repair.butting import chance_of_butting
from ringwright.repair.heat import carbon_equivalent, preheat


def equivalent(given: Mapping[str, str]) -> float:
    """Carbon equivalent of a steel's shares."""
    C, Mn, Cr, Mo, V, Ni, Cu = (float(given[name]) for name in ("C", "Mn", "Cr", "Mo", "V", "Ni", "Cu"))
    return carbon_equivalent(C, Mn, Cr, Mo, V, Ni, Cu)


def butting(given: Mapping[str, str]) -> float:
    """Chance of butting from two lands and the pitch."""
    return chance_of_butting(float(given["land_ring_mm"]), float(given["land_pinion_mm"]), float(given["p_mm"]))


def least_preheat(given: Mapping[str, str]) -> float:
    """The hottest of the lower ends that sources ask for [deg C]."""
    return preheat(float(given["ce"]), None).least
