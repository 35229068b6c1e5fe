"""Published worked examples of this package, reckoned again from a row's texts."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import atan, ceil, cos, degrees, radians, tan
from typing import Literal, cast

from ringwright.gears import backlash, caliper, interference, involute, measures, mesh, systems, tolerances
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


def _pair(given: Row, m: float = 1.0, h_a: float = 1.0) -> mesh.Pair:
    """Pinion and ring of a row; sizes by the transverse section where the row's ``system`` says so."""
    alpha = _angle(given, "alpha_deg" if "alpha_deg" in given else "alpha_n_deg")
    beta = _angle(given, "beta_deg") if "beta_deg" in given else 0.0
    stretch = cos(beta) if given.get("system") == "transverse" else 1.0
    if stretch != 1.0:
        alpha = atan(tan(alpha) * stretch)
    kind = cast(Literal["external", "internal"], given.get("kind", "external"))
    x_1, x_2 = (float(given.get(name, "0")) / stretch for name in ("x_1", "x_2"))
    z_1, z_2 = int(given["z_1"]), int(given["z_2"])
    s = 1 if kind == "external" else -1
    return mesh.Pair(
        RingGeometry("external", z_1, m * stretch, alpha, beta, x=x_1, h_a=h_a),
        RingGeometry(kind, z_2, m * stretch, alpha, -s * beta, x=x_2, h_a=h_a),
    )


def working_pressure_angle(given: Row) -> float:
    """Working angle at given centres, degrees."""
    return degrees(mesh.working_angle(_pair(given, float(given["m_n_mm"])), float(given["a_w_mm"])))


def working_pitch_diameter(given: Row) -> float:
    """Diameter of the circle that rolls, inches."""
    pair = _pair({"z_1": given["z"], "z_2": given["z_mate"], "alpha_n_deg": "20"}, 12.7)
    return 2 * mesh.working_radii(pair, float(given["a_w_in"]))[0]


def base_radius(given: Row) -> float:
    """Base radius, inches."""
    alpha_n = _angle(given, "alpha_n_deg")
    return RingGeometry("external", int(given["z"]), _module(given["size"]), alpha_n).d_b / 2 / 25.4


def reference_centre_distance(given: Row) -> float:
    """Reference centre distance."""
    return _pair({**given, "alpha_n_deg": "20"}, float(given["m_n_mm"])).a


def tight_pressure_angle(given: Row) -> float:
    """Working angle without backlash, degrees."""
    pair = _pair(given)
    return degrees(mesh.working_angle(pair, backlash.tight_centre_distance(pair)))


def tight_inv(given: Row) -> float:
    """Involute function of the working angle without backlash."""
    return _pair(given).inv_tight


def tight_centre_distance(given: Row) -> float:
    """Centres without backlash."""
    return backlash.tight_centre_distance(_pair(given, float(given["m_mm"])))


def centre_modification(given: Row) -> float:
    """By how many modules the tight centres are wider than the reference ones."""
    pair = _pair(given)
    return backlash.tight_centre_distance(pair) - pair.a


def tip_contact_ratio(given: Row) -> float:
    """Contact ratio from tip circles, standard centres."""
    pair = _pair(given, h_a=float(given["h_a"]))
    return mesh.tip_contact_ratio(pair, pair.a)


def shift_for_backlash(given: Row) -> float:
    """Shift to take off for a backlash."""
    kind = cast(Literal["circumferential", "normal"], given["kind"])
    return backlash.shift_for(kind, float(given["j_mm"]), float(given["m_n_mm"]), _angle(given, "alpha_n_deg"))


def teeth_without_undercut(given: Row) -> float:
    """Fewest teeth that a sharp rack does not undercut."""
    return ceil(mesh.least_teeth(_angle(given, "alpha_n_deg"), float(given["h_a"])))


def radial_of_circumferential(given: Row) -> float:
    """Change of centres for a backlash."""
    return backlash.radial_of_circumferential(float(given["j_wt"]), _angle(given, "alpha_deg"))


def circumferential_of_radial(given: Row) -> float:
    """Backlash of a change of centres."""
    return backlash.circumferential_of_radial(float(given["j_r"]), _angle(given, "alpha_deg"))


def internal_difference_rule(given: Row) -> float:
    """Least difference of teeth by the old rule."""
    return interference.least_difference_rule(int(given["z_1"]))


def least_backlash(given: Row) -> float:
    """Least normal backlash as the table prints it."""
    return backlash.as_tabled(backlash.least_backlash(float(given["m_n_mm"]), float(given["a_mm"])))


def equal_base_pitch(given: Row) -> float:
    """Module of the same base pitch at another pressure angle."""
    return systems.equal_base_pitch(float(given["m_mm"]), _angle(given, "alpha_deg"), _angle(given, "alpha_other_deg"))


def starter_pinion_tip(given: Row) -> float:
    """Tip diameter of a starter pinion, inches."""
    return systems.starter_pinion(int(given["z_blank"]), float(given["P_1"]), float(given["P_2"])).d_a / 25.4


def starter_pinion_pitch(given: Row) -> float:
    """Reference diameter of a starter pinion, inches."""
    return systems.starter_pinion(int(given["z"]) + 1, float(given["P_1"]), float(given["P_1"]) + 2).d / 25.4


def _combination(given: Row) -> tuple[float, float]:
    """Addendum and dedendum of a combination pitch, inches."""
    P_1, P_2 = 2.0, float(given["P_2"])  # the first number does not come into the heights
    rack = systems.combination_rack(P_1, P_2)
    return rack.h_a / P_1, rack.h_f / P_1


def combination_addendum(given: Row) -> float:
    """Addendum of a combination pitch, inches."""
    return _combination(given)[0]


def combination_dedendum(given: Row) -> float:
    """Dedendum of a combination pitch, inches."""
    return _combination(given)[1]


def combination_depth(given: Row) -> float:
    """Whole depth of a combination pitch, inches."""
    return sum(_combination(given))


def fine_pitch_depth(given: Row) -> float:
    """Dedendum or clearance of a fine pitch, inches."""
    P = float(given["P"])
    rack = systems.fine_pitch_rack(P)
    return (rack.h_f if given["of"] == "dedendum" else rack.h_f - rack.h_a) / P


def by_circular_pitch(given: Row) -> float:
    """A height by circular pitch, in modules."""
    return systems.by_circular_pitch(float(given["part"]))


def rack_depth(given: Row) -> float:
    """Whole depth of a basic rack, in modules."""
    rack = next(rack for rack in systems.basic_racks() if rack.key == given["key"])
    return rack.h_a + rack.h_f


def _constant(given: Row) -> caliper.Chord:
    ring = RingGeometry("external", 60, float(given["m_n_mm"]), _angle(given, "alpha_n_deg"))
    return cast(caliper.Chord, caliper.constant_chord(ring))


def constant_chord(given: Row) -> float:
    """Constant chord of a plain ring."""
    return _constant(given).s_c


def constant_chord_height(given: Row) -> float:
    """Depth of the constant chord below the tip of a full-depth tooth."""
    return _constant(given).h_c
