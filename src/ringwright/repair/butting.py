"""How often a pinion that enters from the end meets a tooth end instead of a space."""

from __future__ import annotations

from ringwright.errors import require


def chance_of_butting(land_ring: float, land_pinion: float, p: float) -> float:
    r"""Chance that the ends butt, :math:`\min(1, (e_{ring} + e_{pinion})/p)`.

    The pinion stands anywhere against the ring with equal chance; it butts when its end land and the ring's overlap.

    Parameters
    ----------
    land_ring, land_pinion : float
        Flat left on the tooth ends, arc on the reference circle, 0 to p [mm]
    p : float
        Circular pitch in the end face, 0.3 to 400 [mm]

    Returns
    -------
    float
        Chance, 0 to 1 [-]

    Raises
    ------
    OutOfRange
        A land wider than the pitch, or a pitch outside its range.

    Examples
    --------
    >>> chance_of_butting(0.3, 7.85, 15.71)
    0.5188
    """
    require("p", p, 0.3, 400)
    require("land_ring", land_ring, 0, p)
    require("land_pinion", land_pinion, 0, p)
    return min(1.0, (land_ring + land_pinion) / p)
