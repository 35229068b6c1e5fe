"""Published rows reckoned again; each function takes a row's inputs as texts."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi
from typing import Any, cast

from ringwright.strength.fits import growth_by_heat, shrink_hoop_stress
from ringwright.strength.left import common_wear_rule, left_of_face
from ringwright.strength.lewis import barth_reduction, lewis_factor, lewis_load, velocity_factor


def lewis_factor_Y(given: Mapping[str, str]) -> float:
    """The y table times pi, against the other printed table in the module form."""
    return lewis_factor(float(given["z"]), cast(Any, given["system"]))


def velocity(given: Mapping[str, str]) -> float:
    """Velocity factors in SI."""
    return velocity_factor(float(given["v_m_s"]), cast(Any, given["made"]))


def lewis_worked_load(given: Mapping[str, str]) -> float:
    """Allowed load in pounds of a worked example in inches: pitch, face, speed, stress."""
    m_n = 25.4 / float(given["diametral_pitch"])
    v = pi * m_n * float(given["z"]) * float(given["n_rpm"]) / 60_000
    sigma = float(given["sigma_psi"]) * 6.894757e-3
    K_v = velocity_factor(v, cast(Any, given["made"]))
    return lewis_load(sigma, 25.4 * float(given["b_in"]), m_n, float(given["Y"]), K_v) / 4.448222


def lewis_worked_power(given: Mapping[str, str]) -> float:
    """Power in kW of a worked example with Barth's older form."""
    m_n = float(given["m_n"])
    v = pi * m_n * float(given["z"]) * float(given["n_rpm"]) / 60_000
    sigma = float(given["sigma_mpa"]) * barth_reduction(v, float(given["v_half_m_s"]))
    return lewis_load(sigma, float(given["b_mm"]), m_n, pi * float(given["y"])) * v / 1000


def barth(given: Mapping[str, str]) -> float:
    """Barth's older reduction, in the round metric form."""
    return barth_reduction(float(given["v_m_s"]), float(given["v_half_m_s"]))


def shrink_stress(given: Mapping[str, str]) -> float:
    """Standing hoop stress of a shrunk ring."""
    return shrink_hoop_stress(float(given["delta_mm"]), float(given["D_mm"]), float(given["E_mpa"]))


def heat_growth(given: Mapping[str, str]) -> float:
    """Growth of a bore by heat."""
    return growth_by_heat(float(given["D_mm"]), float(given["dT_k"]), float(given["alpha_per_k"]))


def load_on_what_is_left(given: Mapping[str, str]) -> float:
    """Load per millimetre on what is left of the face, over that on the whole face."""
    return 1 / left_of_face(100.0, float(given["lost_percent"])).high


def wear_rule(given: Mapping[str, str]) -> float:
    """The trade's rule for a worn tooth."""
    return common_wear_rule(float(given["lost_percent"]) / 100)
