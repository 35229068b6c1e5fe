"""Which way the chips push the ring about its axis over a whole cut: not only along the edges' motion.

An edge also pushes out of the metal, square to its path, by 0.4 (sharp) to 0.8 (worn) of its force along the cut. In a
climbing cut or a slot that part can turn the push round.
"""

from __future__ import annotations

from typing import Literal

from ringwright.cutting import chip, forces
from ringwright.cutting.lead_in import LeadIn
from ringwright.errors import require

#: Places along the cut that are looked at, and a feed per edge [mm] and hardness [HB]: only signs are asked for.
_PLACES, _FEED, _HB = 8, 0.05, 200.0
#: Share of the greatest moment below which one the other way counts as none [-] (as for the forces of a cut).
_SMALL = 1e-3


def pushed_by_chips(at: LeadIn, infeed: float) -> Literal["clockwise", "anticlockwise", "both"] | None:
    """Way in which a right-hand cutter with straight edges pushes the ring, seen on its entry face; None uncut.

    Each edge alone, sharp and worn, the space before this one cut or not: "both" where any of them goes the other way.

    Parameters
    ----------
    at : LeadIn
        Ring, cutter and pose, touched off
    infeed : float
        From touch-off, 1e-6 to 5000 [mm]
    """
    require("infeed", infeed, 1e-6, 5000)
    tips, _ = chip.places(at, infeed)
    tips = tips[:: max(len(tips) // _PLACES, 1)] if at.pose.d is not None else tips[:: -(len(tips) // _PLACES)]
    steel = forces.steel_of_hardness(_HB)
    least = greatest = 0.0
    for gone in (None, chip.cut_before(at, infeed)):
        metal = chip.ring_metal(at.body, gone)
        for radial in (forces.RADIAL_SHARP, forces.RADIAL_WORN):
            law = chip.Law(steel, 1.0, radial)
            for tip in tips:
                one = chip.load(metal, at.mill, at.pose, tip, chip.Running(1, _FEED, 1000.0), law, 12 * at.mill.R)
                if one is not None:
                    least, greatest = min(least, one.turning[0]), max(greatest, one.turning[2])
    small = _SMALL * max(greatest, -least)
    if small == 0:
        return None
    if least < -small and greatest > small:
        return "both"
    return "clockwise" if greatest > small else "anticlockwise"
