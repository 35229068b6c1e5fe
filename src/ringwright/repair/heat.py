"""Heat before welding: carbon equivalent, the preheats that sources ask for, and what stands against them."""

from __future__ import annotations

from dataclasses import dataclass

from ringwright import tables
from ringwright.errors import require

#: Hardened teeth are seldom tempered below this; taken when nobody knows (common practice, no source) [deg C].
TEMPERED_UNKNOWN = 180.0
#: The lower of two makers' ceilings for heating a shrunk ring (read, source flywheel-ring-ceiling) [deg C].
SHRUNK_CEILING = 204.0


def carbon_equivalent(
    C: float, Mn: float, Cr: float = 0.0, Mo: float = 0.0, V: float = 0.0, Ni: float = 0.0, Cu: float = 0.0
) -> float:
    r"""Carbon equivalent, :math:`C + Mn/6 + (Cr+Mo+V)/5 + (Ni+Cu)/15`, after the International Institute of Welding.

    For plain and low-alloy steels; not for cast iron.

    Parameters
    ----------
    C, Mn, Cr, Mo, V, Ni, Cu : float
        Shares of the steel, C 0 to 1.5, the others 0 to 5 [mass per cent]

    Returns
    -------
    float
        Equivalent [mass per cent]

    Raises
    ------
    OutOfRange
        A share outside its range.

    Examples
    --------
    >>> carbon_equivalent(0.40, 0.85, Cr=0.95, Mo=0.20)
    0.7717
    """
    require("C", C, 0, 1.5)
    for symbol, share in (("Mn", Mn), ("Cr", Cr), ("Mo", Mo), ("V", V), ("Ni", Ni), ("Cu", Cu)):
        require(symbol, share, 0, 5)
    return C + Mn / 6 + (Cr + Mo + V) / 5 + (Ni + Cu) / 15


@dataclass(frozen=True, slots=True)
class Preheat:
    """What sources ask for [deg C], whether they differ, the limit that stands, and whether it leaves room to weld."""

    asked: tuple[tuple[str, float, float], ...]
    least: float
    most: float
    differ: bool
    limit: float | None
    weld: bool


def heat_limit(hardened: bool, tempered_at: float | None, shrunk: bool) -> float | None:
    """The heat that ring and seat bear: tempering of hardened teeth, ceiling of a shrunk ring; None where neither is.

    Parameters
    ----------
    hardened : bool
        The teeth are hardened
    tempered_at : float or None
        Their tempering temperature where known, 100 to 700 [deg C]
    shrunk : bool
        The ring stays on a shrunk seat

    Returns
    -------
    float or None
        The lower of the limits [deg C]
    """
    limits = []
    if tempered_at is not None:
        require("tempered_at", tempered_at, 100, 700)
        limits.append(tempered_at)
    elif hardened:
        limits.append(TEMPERED_UNKNOWN)
    if shrunk:
        limits.append(SHRUNK_CEILING)
    return min(limits, default=None)


def preheat(ce: float, limit: float | None) -> Preheat:
    """Preheat for a carbon equivalent: of sources that differ the hotter, held below the limit; no room, no weld.

    Parameters
    ----------
    ce : float
        Carbon equivalent, 0 to 5 [mass per cent]
    limit : float or None
        From `heat_limit` [deg C]

    Returns
    -------
    Preheat
        ``least``: the hottest of the sources' lower ends. ``most``: the hottest of their upper ends, not above the
        limit. ``weld`` is False where the limit lies below ``least``.

    Raises
    ------
    OutOfRange
        An equivalent outside its range.
    """
    require("ce", ce, 0, 5)
    asked = tuple(
        (r["source"], float(r["low_c"]), float(r["high_c"]))
        for r in tables.load("preheat")
        if float(r["ce_from"]) <= ce < float(r["ce_below"])
    )
    least = max(low for _, low, _ in asked)
    most = max(high for _, _, high in asked)
    differ = len({(low, high) for _, low, high in asked}) > 1
    weld = limit is None or limit >= least
    return Preheat(asked, least, most if limit is None else min(most, limit), differ, limit, weld)
