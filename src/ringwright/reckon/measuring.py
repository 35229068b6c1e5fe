"""What gear it is as drawn: its diameters, pitches and thicknesses, and what a micrometer and pins should read."""

from __future__ import annotations

from math import radians

from ringwright.gears.ring import RingGeometry
from ringwright.reckon.ring import Ring


def core_ring(ring: Ring) -> RingGeometry:
    """The ring of a request in core units: mm, radians, right hand positive."""
    return RingGeometry(
        kind=ring.kind,
        z=ring.teeth,
        m_n=ring.m_n,
        alpha_n=radians(ring.pressure_angle_deg),
        beta=radians(ring.helix_angle_deg) * (-1 if ring.hand == "left" else 1),
        x=ring.profile_shift,
        h_a=ring.addendum_coef,
        h_f=ring.dedendum_coef,
        rho_f=ring.root_radius_coef,
        allowance=ring.thickness_allowance_mm,
        d_a_given=ring.tip_diameter_mm,
        d_f_given=ring.root_diameter_mm,
    )
