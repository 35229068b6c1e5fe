"""The damaged teeth of a map, as the ways to save a ring need them, and what is left of each."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from ringwright.strength.left import SOUND, Range, left_after_wear, left_of_face


@dataclass(frozen=True, slots=True)
class DamagedTooth:
    """One tooth as it is.

    ``lost_entry``, ``lost_far``: length of face gone at each end [mm]; ``gone``: metal gone at the pitch line [mm];
    ``measured`` is False where a mark came without its amount; ``missing``, ``cracked``, ``weld`` by its marks.
    """

    tooth: int
    lost_entry: float = 0.0
    lost_far: float = 0.0
    gone: float = 0.0
    measured: bool = True
    missing: bool = False
    cracked: bool = False
    weld: bool = False

    @property
    def to_work(self) -> bool:
        """There is something to do on it; an old weld alone is left as it is."""
        return bool(self.lost or self.gone or self.missing or self.cracked or not (self.measured or self.weld))

    @property
    def lost(self) -> float:
        """Face gone at both ends together [mm]."""
        return self.lost_entry + self.lost_far


def left_of_tooth(tooth: DamagedTooth, m_n: float, b: float | None, lead: float) -> Range:
    """What is left of a tooth once its entry end has a lead-in.

    Parameters
    ----------
    tooth : DamagedTooth
        As marked
    m_n : float
        Normal module [mm]
    b : float or None
        Face width; None where nobody measured it [mm]
    lead : float
        Length of the lead-in along the face [mm]

    Returns
    -------
    Range
        Low end 0 where an amount, the face width or the strength of a weld is not known; 0 to 0 for a missing tooth
    """
    if tooth.missing:
        return Range(0.0, 0.0)
    wear = left_after_wear(min(1.0, tooth.gone / (pi * m_n / 2)))
    if b is None:
        return Range(0.0, wear.high)
    entry = min(b, max(lead, tooth.lost_entry))
    face = left_of_face(b, entry, min(b - entry, tooth.lost_far))
    both = wear * face
    return Range(both.low if tooth.measured and not tooth.weld else 0.0, both.high)


def worst(found: list[Range]) -> Range:
    """The worst of several teeth; a sound tooth where there are none."""
    return (
        Range(min((r.low for r in found), default=1.0), min((r.high for r in found), default=1.0)) if found else SOUND
    )
