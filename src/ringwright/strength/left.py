"""What is left of a damaged tooth, as a range in parts of the sound tooth."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import pi, sin

import numpy as np
from numpy.typing import NDArray

from ringwright import tables
from ringwright.errors import OutOfRange, require


@dataclass(frozen=True, slots=True)
class Range:
    """From low to high, both in parts of the sound tooth (0 to 1)."""

    low: float
    high: float

    def __mul__(self, other: Range) -> Range:
        """Both losses together, each end with its like."""
        return Range(self.low * other.low, self.high * other.high)


#: A sound tooth.
SOUND = Range(1.0, 1.0)


@cache
def _worn() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    rows = tables.load("worn_flank")
    fades = np.array(sorted({float(r["fade_m"]) for r in rows}))
    losses = np.array([0.0, *sorted({float(r["loss_percent"]) / 100 for r in rows})])
    factor = np.ones((len(fades), len(losses)))
    for r in rows:
        at = np.searchsorted(fades, float(r["fade_m"])), np.searchsorted(losses, float(r["loss_percent"]) / 100)
        factor[at] = float(r["factor"])
    return fades, losses, factor


def most_wear() -> float:
    """The greatest loss that the table of worn flanks covers, in parts of pi m / 2."""
    return float(_worn()[1][-1])


def worn_flank_factor(w: float, fade: float) -> float:
    """Root stress of a tooth worn on its loaded flank over that of the same tooth new.

    Linear between the table's losses (a new tooth is 1) and between its heights of fading.

    Parameters
    ----------
    w : float
        Greatest loss in parts of pi m / 2, 0 to 0.2 [-]
    fade : float
        Height above the end of the fillet over which the wear grows to w, 0.3 to 1.5 [modules]

    Returns
    -------
    float
        Stress factor [-]; a little below 1 where tapered wear shortens the arm of the load

    Raises
    ------
    OutOfRange
        More metal gone than the table covers, or a fading height outside it.

    Notes
    -----
    Reckoned for one ring (120 teeth, 20 degrees, full depth, root radius 0.38 m) and good to about 3 %.

    Examples
    --------
    >>> worn_flank_factor(0.10, 0.3)
    1.337
    """
    fades, losses, factor = _worn()
    require("w", w, 0, most_wear())
    require("fade", fade, fades[0], fades[-1])
    return float(np.interp(fade, fades, [np.interp(w, losses, row) for row in factor]))


def common_wear_rule(w: float) -> float:
    """The trade's rule for wear, (1 - w)^2 of the strength left; right for one shape of wear only.

    Parameters
    ----------
    w : float
        Lost part of the tooth thickness, 0 to 1 [-]

    Returns
    -------
    float
        Part of the strength left [-]

    Raises
    ------
    OutOfRange
        Less than nothing or more than the whole tooth is gone.

    Examples
    --------
    >>> common_wear_rule(0.10)
    0.81
    """
    require("w", w, 0, 1)
    return (1 - w) ** 2


def left_after_wear(w: float) -> Range:
    """What wear of unknown shape leaves: low end with a step at the fillet, high end tapered away from the root.

    Parameters
    ----------
    w : float
        Metal gone at the pitch line in parts of pi m / 2, 0 to 1 [-]

    Returns
    -------
    Range
        Low end 0 where more has gone than the table covers: no lower bound is known there.

    Raises
    ------
    OutOfRange
        Less than nothing or more than the whole tooth is gone.

    Examples
    --------
    >>> left_after_wear(0.10)
    Range(low=0.7479, high=1.0)
    """
    require("w", w, 0, 1)
    fades = _worn()[0]
    return Range(_left(w, float(fades[0])).low, _left(w, float(fades[-1])).high)


def left_after_shaped_wear(w: float, fades: tuple[float, float]) -> Range:
    """What wear leaves when a second height tells how it fades towards the root.

    Parameters
    ----------
    w : float
        Metal gone at the pitch line in parts of pi m / 2, 0 to 1 [-]
    fades : pair of float
        From `fading_heights`, each 0.3 to 1.5 [modules]

    Returns
    -------
    Range
        Low end 0 where more has gone than the table covers

    Raises
    ------
    OutOfRange
        Less than nothing or more than the whole tooth is gone, or a fading height outside the table.
    """
    require("w", w, 0, 1)
    return Range(_left(w, fades[0]).low, _left(w, fades[1]).high)


def _left(w: float, fade: float) -> Range:
    """At the pitch line, 1 m above the end of the fillet, wear that fades in over more than 1 m is not yet whole."""
    whole = w * max(1.0, fade)
    if whole > most_wear():
        return Range(0.0, min(1.0, 1 / worn_flank_factor(most_wear(), fade)))
    left = min(1.0, 1 / worn_flank_factor(whole, fade))
    return Range(left, left)


def fading_heights(
    w: float, w_root: float, h_root: float, m_n: float, rho_fP: float, alpha_n: float
) -> tuple[float, float]:
    """Least and greatest height over which wear can fade in, from the losses at the pitch line and near the root.

    Wear is taken as growing evenly from nothing at the end of the fillet, which lies rho_fP (1 - sin alpha) above
    the root circle as on the basic rack; the pitch line lies 1 m above that end. As much gone near the root as at
    the pitch line is a step, however sharp; less near the root than even growth past the pitch line gives is a taper.

    Parameters
    ----------
    w, w_root : float
        Metal gone at the pitch line and near the root, in parts of pi m / 2, 0 to 1 [-]
    h_root : float
        Height of the reading near the root, above the root circle [mm]
    m_n : float
        Normal module, 0.1 to 100 [mm]
    rho_fP : float
        Root radius of the basic rack, 0 to 0.6 [modules]
    alpha_n : float
        Normal pressure angle, 0.17 to 0.62 [rad]

    Returns
    -------
    pair of float
        Within the table's 0.3 to 1.5 [modules]

    Raises
    ------
    OutOfRange
        The reading does not lie between the end of the fillet and the pitch line.

    Examples
    --------
    >>> fading_heights(0.1, 0.05, 3.25, 5, 0.38, 0.349066)
    (0.8, 0.8)
    >>> fading_heights(0.1, 0.0, 3.25, 5, 0.38, 0.349066)
    (1.0, 1.5)
    """
    require("w", w, 0, 1)
    require("w_root", w_root, 0, 1)
    require("m_n", m_n, 0.1, 100)
    require("rho_fP", rho_fP, 0, 0.6)
    require("alpha_n", alpha_n, 0.17, 0.62)
    fillet = rho_fP * (1 - sin(alpha_n))
    above = h_root / m_n - fillet
    if not 0 < above < 1:
        raise OutOfRange("h_root", h_root, fillet * m_n, (fillet + 1) * m_n)
    least, most = float(_worn()[0][0]), float(_worn()[0][-1])
    if w_root <= above * w:
        return 1.0, most
    if w_root >= w:
        return least, max(least, above)
    fade = max(least, above * w / w_root)
    return fade, fade


def left_of_face(b: float, c: float, c_other: float = 0.0) -> Range:
    """What is left when lengths of the face at its ends no longer carry.

    High end: load spread evenly over what is left. Low end: the load keeps its old middle and lies eccentric on what
    is left, evenly growing towards the shorter side and without pull; nothing is left when half the face has gone.

    Parameters
    ----------
    b : float
        Face width, above 0, to 5000 [mm]
    c, c_other : float
        Length lost at one end and at the other, 0 to b together [mm]

    Returns
    -------
    Range
        In parts of the strength with the whole face

    Raises
    ------
    OutOfRange
        More is lost than there is.

    Examples
    --------
    >>> left_of_face(60, 6)
    Range(low=0.675, high=0.9)
    >>> left_of_face(60, 3, 3)
    Range(low=0.9, high=0.9)
    """
    require("b", b, 1e-6, 5000)
    require("c", c, 0, b)
    require("c_other", c_other, 0, b - c)
    even = (b - c - c_other) / b
    if max(c, c_other) >= b / 2:
        return Range(0.0, even)
    return Range(even / _eccentric(b - c - c_other, abs(c - c_other) / 2), even)


def _eccentric(length: float, off: float) -> float:
    """Greatest over mean line load on a length when the resultant lies ``off`` its middle and nothing can pull."""
    return 1 + 6 * off / length if off <= length / 6 else 2 * length / (3 * (length / 2 - off))


def loss_at_pitch_line(s: float, s_sound: float, m_n: float) -> float:
    """Metal gone at the pitch line in parts of pi m / 2; a tooth thicker than the sound one has lost nothing.

    Parameters
    ----------
    s, s_sound : float
        Thickness now and of a sound tooth, at the same setting of the caliper [mm]
    m_n : float
        Normal module, 0.1 to 100 [mm]

    Returns
    -------
    float
        Loss [-]

    Raises
    ------
    OutOfRange
        A negative thickness, or more than the module allows.

    Examples
    --------
    >>> loss_at_pitch_line(7.069, 7.854, 5)
    0.09995
    """
    require("m_n", m_n, 0.1, 100)
    require("s", s, 0, 3 * m_n)
    require("s_sound", s_sound, 0, 3 * m_n)
    return max(0.0, s_sound - s) / (pi * m_n / 2)
