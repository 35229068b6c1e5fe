"""The root of a tooth space as its cutter makes it: a rack for external rings, a pinion cutter for internal ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from math import pi

import numpy as np
from numpy.typing import NDArray

from ringwright.gears import ring as rack
from ringwright.gears import shaper
from ringwright.gears.ring import RingGeometry
from ringwright.gears.shaper import ShaperCutter

Curve = Callable[[NDArray[np.float64]], tuple[NDArray[np.float64], NDArray[np.float64]]]


@dataclass(frozen=True, slots=True)
class Root:
    """A generated root.

    ``d_Ff`` [mm] is where fillet and involute meet, ``rho`` [mm] the radius of the cutter's corner (normal section of
    a rack, transverse section of a pinion cutter), ``undercut`` whether the fillet cuts into the involute, ``round``
    whether the two fillets of a space meet without a piece of root circle. ``curve`` gives radius [mm] and angle from
    the middle of the space [rad] for places from 0 at the root circle to ``end`` at the flank. ``d_reach`` [mm] is
    where the other end of the involute lies at the least, for an internal ring whose cutter has few teeth; else 0.
    """

    d_Ff: float
    rho: float
    undercut: bool
    round: bool
    end: float
    curve: Curve
    d_reach: float = 0.0


@lru_cache(maxsize=256)
def generated_root(ring: RingGeometry, cutter: ShaperCutter | None = None) -> Root:
    """Root of a ring's spaces, transverse section.

    Parameters
    ----------
    ring : RingGeometry
        External or internal, spur or helical
    cutter : ShaperCutter or None
        What cut an internal ring; None takes `ringwright.gears.shaper.usual_cutter`. External rings: not looked at,
        the basic rack is taken

    Returns
    -------
    Root
        Form diameter and fillet

    Raises
    ------
    Refusal
        As `ringwright.gears.ring.rack_tip` and `ringwright.gears.shaper.setting`.

    Examples
    --------
    >>> root = generated_root(RingGeometry("external", 127, 5.0))
    >>> root.d_Ff, root.undercut
    (625.61, False)
    """
    if ring.kind == "external":
        tip, undercut = rack.rack_tip(ring), rack.is_undercut(ring)
        end = rack.undercut_psi(ring) if undercut else pi / 2 - ring.alpha_t
        full = tip.u_c < 1e-12 * ring.m_n
        return Root(rack.form_diameter(ring), tip.rho, undercut, full, end, lambda psi: rack.trochoid(ring, psi))
    at = shaper.setting(ring, cutter or shaper.usual_cutter(ring))
    d_Ff, full = shaper.shaped_form_diameter(ring, at), at.gamma_c < 1e-12
    reach = shaper.reach_diameter(ring, at)
    return Root(d_Ff, at.rho, False, full, at.delta_F, lambda delta: shaper.fillet(at, delta), reach)
