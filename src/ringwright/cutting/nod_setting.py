"""Setting the head's nod by an indicator over a travel, and tramming it back."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, pi, tan

from ringwright.errors import require

#: Swing of the indicator in the spindle when tramming [mm], and what it may differ front to back [mm] (our choice).
TRAM_SWING, TRAM_WITHIN = 200.0, 0.02


@dataclass(frozen=True, slots=True)
class Setting:
    """``indicator`` moves so much over ``travel``; ``per_tenth`` more for each 0.1 degree [mm]."""

    travel: float
    indicator: float
    per_tenth: float


def nod_setting(angle: float, travel: float) -> Setting:
    """Indicator against a test bar in the spindle while the knee goes ``travel`` [mm] straight up or down.

    The indicator sits on the table and touches the bar square to the knee's way, in the plane of the nod: over the
    travel L it moves L tan(angle). Above 45 degrees the bar is too flat for it: take the sine bar.

    Parameters
    ----------
    angle : float
        Nod or tilt of the head, -1.05 to 1.05 [rad]
    travel : float
        Way of the knee, 0.1 to 500 [mm]

    Examples
    --------
    >>> nod_setting(pi / 4, 10.0)
    Setting(travel=10.0, indicator=10.0, per_tenth=0.0349)
    """
    require("nod", angle, -1.05, 1.05)
    require("L", travel, 0.1, 500)
    return Setting(travel, travel * tan(abs(angle)), travel * pi / 1800 / cos(angle) ** 2)


def tram_error(difference: float, swing: float = TRAM_SWING) -> float:
    """Angle off square when an indicator swung in the spindle differs by ``difference`` over ``swing`` [mm] -> [rad].

    >>> tram_error(0.02) * 180 / pi
    0.00573
    """
    require("swing", swing, 10, 2000)
    require("difference", difference, 0, swing)
    return asin(difference / swing)
