"""Published worked examples of this package, reckoned again from a row's texts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import degrees, radians
from typing import Literal, cast

from ringwright.gears import involute, measures, tolerances
from ringwright.gears.flank_classes import Sizes, at_grade
from ringwright.gears.ring import RingGeometry

Row = Mapping[str, str]


def _angle(given: Row, name: str) -> float:
    return radians(float(given[name]))


def _module(size: str) -> float:
    """Module [mm] of a size as the table writes it: "m0.4", "DP80"."""
    return 25.4 / float(size[2:]) if size.startswith("DP") else float(size[1:])


def _flanks(given: Row) -> tuple[float, float, float, float, float]:
    return (
        float(given["z"]),
        float(given["m_n_mm"]),
        _angle(given, "alpha_n_deg"),
        _angle(given, "beta_deg"),
        float(given["x"]),
    )


def inv(given: Row) -> float:
    """Involute function of an angle in degrees."""
    return float(involute.inv(_angle(given, "alpha_deg")))


def inv_alpha_t(given: Row) -> float:
    """Involute function of the transverse pressure angle."""
    return float(
        involute.inv(measures.transverse_pressure_angle(_angle(given, "alpha_n_deg"), _angle(given, "beta_deg")))
    )


def transverse_pressure_angle(given: Row) -> float:
    """Transverse pressure angle in degrees."""
    return degrees(float(measures.transverse_pressure_angle(_angle(given, "alpha_n_deg"), _angle(given, "beta_deg"))))


def transverse_pitch(given: Row) -> float:
    """Transverse circular pitch."""
    return float(measures.transverse_pitch(float(given["m_n_mm"]), _angle(given, "beta_deg")))


def circular_pitch(given: Row) -> float:
    """Circular pitch of a spur size."""
    return float(measures.transverse_pitch(_module(given["size"]), 0.0))


def base_pitch(given: Row) -> float:
    """Normal base pitch of a size."""
    return float(measures.base_pitch(_module(given["size"]), _angle(given, "alpha_n_deg")))


def base_tangent_length(given: Row) -> float:
    """Span over k teeth."""
    return float(measures.base_tangent_length(float(given["k"]), *_flanks(given)))


def ideal_span_teeth(given: Row) -> float:
    """Number of teeth to span, not rounded."""
    return float(
        measures.ideal_span_teeth(
            float(given["z"]), _angle(given, "alpha_n_deg"), _angle(given, "beta_deg"), float(given["x"])
        )
    )


def over_pins(given: Row) -> float:
    """Dimension over pins."""
    return float(measures.over_pins(float(given["D_M_mm"]), *_flanks(given)))


def between_pins(given: Row) -> float:
    """Dimension between pins."""
    return float(measures.between_pins(float(given["D_M_mm"]), *_flanks(given)))


def pin_pressure_angle(given: Row) -> float:
    """Pressure angle at the pin's centre, degrees."""
    z, m_n, alpha_n = float(given["z"]), float(given["m_n_mm"]), _angle(given, "alpha_n_deg")
    return degrees(float(measures.pin_pressure_angle("external", float(given["D_M_mm"]), z, m_n, alpha_n)))


def ideal_pin(given: Row) -> float:
    """Pin that touches on the reference circle."""
    kind = cast(Literal["external", "internal"], given["kind"])
    z, m_n = float(given["z"]), float(given["m_n_mm"])
    return measures.ideal_pin(kind, z * m_n, z, m_n, _angle(given, "alpha_n_deg"))


def _thickness(m_n: float, alpha_n: float, x: float) -> float:
    return RingGeometry("external", 30, m_n, alpha_n, x=x).s_n


def tooth_thickness(given: Row) -> float:
    """Normal arc thickness."""
    return _thickness(float(given["m_n_mm"]), _angle(given, "alpha_n_deg"), float(given["x"]))


def virtual_teeth(given: Row) -> float:
    """Virtual number of teeth."""
    return float(measures.virtual_teeth(float(given["z"]), _angle(given, "beta_deg")))


def chordal_thickness(given: Row) -> float:
    """Chordal thickness."""
    z, m_n, alpha_n, x = float(given["z"]), float(given["m_n_mm"]), _angle(given, "alpha_n_deg"), float(given["x"])
    return float(measures.chordal_thickness(_thickness(m_n, alpha_n, x), z, m_n))


def chordal_height(given: Row) -> float:
    """Chordal height."""
    z, m_n, alpha_n, beta, x = _flanks(given)
    return float(measures.chordal_height(_thickness(m_n, alpha_n, x), z, m_n, float(given["h_a_mm"]), beta))


def _by_step(given: Row, formula: Callable[[float, float], float], other: str) -> float:
    """A tolerance of 1995, rounded as printed, from the sizes' steps."""
    d = tolerances.step_mean("d", float(given["d_mm"]))
    second = tolerances.step_mean(other, float(given[f"{other}_mm"]))
    if d is None or second is None:
        raise ValueError("outside the steps")
    return tolerances.rounded(formula(d, second) * tolerances.grade_factor(int(given["grade"])))


def single_pitch_1995(given: Row) -> float:
    """Single pitch deviation, 1995."""
    return _by_step(given, tolerances.single_pitch_1995, "m_n")


def total_pitch_1995(given: Row) -> float:
    """Total cumulative pitch deviation, 1995."""
    return _by_step(given, tolerances.total_pitch_1995, "m_n")


def profile_total_1995(given: Row) -> float:
    """Total profile deviation, 1995."""
    return _by_step(given, tolerances.profile_total_1995, "m_n")


def helix_total_1995(given: Row) -> float:
    """Total helix deviation, 1995."""
    return _by_step(given, tolerances.helix_total_1995, "b")


def runout_1995(given: Row) -> float:
    """Run-out of the teeth, 1995."""
    return _by_step(given, tolerances.runout_1995, "m_n")


def flank_tolerance_2013(given: Row) -> float:
    """A tolerance of 2013, unrounded."""
    sizes = Sizes(d=float(given["d_mm"]), m_n=float(given["m_n_mm"]), z=40, k=5, b=float(given["b_mm"]))
    return at_grade("2013", int(given["grade"]), sizes)[given["of"]]
