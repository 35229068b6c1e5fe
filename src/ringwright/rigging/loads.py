"""Weight, forces on the set-up, clamps and slings. It warns; it never certifies."""

from __future__ import annotations

from math import pi, radians, sin

from ringwright.errors import Refusal, require

#: Density of steel [kg/m3] (memory).
STEEL = 7850.0
#: Standard acceleration of fall [m/s2] (definition).
GRAVITY = 9.80665
#: 1.5 on the force and 1.5 on its loss (VDI 3106 as quoted in a chuck manual, read).
HOLD_SAFETY = 2.25
#: What is asked before lifting gear is let go: holding over tipping moment [-] (common practice).
TIP_SAFETY = 2.0
#: Above this nobody lifts alone by hand [kg] (common practice; local rules may say less).
BY_HAND_KG = 25.0
#: Slings flatter than this are refused [deg].
FLATTEST_SLING_DEG = 30.0


def ring_mass(d_o: float, d_i: float, b: float, rho: float = STEEL) -> float:
    """Mass of a plain ring from bore to outside diameter [kg].

    With the tip diameter as outside it counts the tooth spaces as steel: a little heavy, on the safe side.

    Parameters
    ----------
    d_o, d_i : float
        Outside and bore diameter, up to 100 000; the bore at least 0 and below the outside [mm]
    b : float
        Width along the axis, above 0 to 5000 [mm]
    rho : float
        Density, 1000 to 20 000 [kg/m3]

    Raises
    ------
    OutOfRange
        A value lies outside its range.
    Refusal
        ``bore_too_large``: the bore is not below the outside diameter.

    Examples
    --------
    >>> ring_mass(645, 545, 60)
    44.02
    """
    require("d_o", d_o, 1e-3, 100_000)
    require("b", b, 1e-3, 5000)
    require("rho", rho, 1000, 20_000)
    require("d_i", d_i, 0, 100_000)
    if d_i >= d_o:
        raise Refusal("bore_too_large", "d_i", d_i, 0, d_o)
    return pi / 4 * (d_o**2 - d_i**2) * b * rho * 1e-9


def rim_moment(F: float, r: float) -> float:
    """Moment of a push at the rim about the axis [N m], F [N] at radius r [mm].

    >>> rim_moment(600, 150)
    90.0
    """
    require("F", F, 0, 1e6)
    require("r", r, 0, 50_000)
    return F * r / 1000


def lock_moment(mu: float, F: float, r: float, faces: float) -> float:
    """Moment that the friction of a table lock carries [N m]: faces mu F r.

    Parameters
    ----------
    mu : float
        Friction, 0.02 to 0.5 [-]
    F : float
        Force of the lock on one face, 0 to 1e6 [N]
    r : float
        Mean radius of the lock, 0 to 5000 [mm]
    faces : int
        Friction faces, 1 to 20

    Examples
    --------
    >>> lock_moment(0.15, 6000, 90, 2)
    162.0
    """
    require("mu", mu, 0.02, 0.5)
    require("F_lock", F, 0, 1e6)
    require("r_lock", r, 0, 5000)
    require("faces", faces, 1, 20)
    return faces * mu * F * r / 1000


def rim_play(r: float, backlash: float) -> float:
    """Play at the rim from the worm's backlash [mm]: r [mm] times the angle [rad].

    >>> rim_play(200, 1 / 3437.75)
    0.058
    """
    require("r", r, 0, 50_000)
    require("backlash", backlash, 0, 0.2)
    return r * backlash


def worm_moment(M: float, i: float) -> float:
    """Moment at the crank from a moment at the spindle, worm without friction (an upper bound) [N m].

    >>> worm_moment(90, 90)
    1.0
    """
    require("i", i, 1, 1000)
    return M / i


def overhang_moment(m: float, e: float) -> float:
    """Moment of a mass m [kg] hanging e [mm] beyond the edge that it would tip over [N m].

    >>> overhang_moment(60, 280)
    164.8
    """
    require("m", m, 0, 100_000)
    require("e", e, -50_000, 50_000)
    return m * GRAVITY * e / 1000


def stud_force(T: float, d: float, K: float) -> float:
    """Force of a clamp stud from its torque, F = T / (K d) [N], 25 to 30 per cent either way.

    Parameters
    ----------
    T : float
        Torque, 0 to 10 000 [N m]
    d : float
        Stud diameter, 2 to 100 [mm]
    K : float
        0.20 plain, 0.15 plated or oiled; 0.05 to 0.5 [-]

    Examples
    --------
    >>> stud_force(60, 12, 0.2)
    25000.0
    """
    require("T", T, 0, 10_000)
    require("d", d, 2, 100)
    require("K", K, 0.05, 0.5)
    return T * 1000 / (K * d)


def strap_force(F: float, heel: float, work: float) -> float:
    """Force on the work under a strap clamp, F a / (a + b) [as F]; a stud to heel, b stud to work [mm].

    >>> strap_force(25, 45, 60)
    10.71
    """
    require("a", heel, 1, 2000)
    require("b_strap", work, 1, 2000)
    return F * heel / (heel + work)


def sling_leg_factor(angle_deg: float) -> float:
    """Tension of a sling leg over its share of the load: 1 / sin of the angle from the horizontal [-].

    Count two legs only, even where three or four hang.

    Parameters
    ----------
    angle_deg : float
        Angle of the leg from the horizontal, 30 to 90 [deg]; below 30 it is refused

    Raises
    ------
    Refusal
        ``sling_too_flat`` below 30 degrees.

    Examples
    --------
    >>> sling_leg_factor(45)
    1.414
    """
    if angle_deg < FLATTEST_SLING_DEG:
        raise Refusal("sling_too_flat", "sling_angle", radians(angle_deg), radians(FLATTEST_SLING_DEG), pi / 2)
    require("sling_angle", radians(angle_deg), 0, pi / 2 + 1e-9)
    return 1 / sin(radians(angle_deg))


def sling_capacity(angle_deg: float) -> float:
    """Share of its upright capacity that a sling leg keeps at an angle from the horizontal [-].

    >>> sling_capacity(60)
    0.866
    """
    require("sling_angle", radians(angle_deg), 0, pi / 2 + 1e-9)
    return sin(radians(angle_deg))
