"""What the mate asks of the ring's entry ends: which flank to bevel, how long, and what bears afterwards.

Flanks are named as on the tooth map: "plus" is the clockwise flank of a tooth, seen on the entry face. Nothing here
has a printed source; it is the practice of the trade, and `chance_of_butting` needs the lands that come out.
"""

from __future__ import annotations

from typing import Literal

from ringwright.errors import require

How = Literal["thrown_at_rest", "thrown_turning", "slid", "always"]
Flank = Literal["plus", "minus"]

#: Land to leave on the ends, in parts of the pitch: less makes a thin corner. Common practice, no source.
LEAST_LAND = 0.02
#: Longest lead in parts of the face in mesh: where only idle flanks are bevelled, and where a loaded one is too.
MOST_LEAD_IDLE, MOST_LEAD_LOADED = 0.5, 0.25


def flanks_to_bevel(how: How, loaded: Literal["plus", "minus", "both"] | None) -> tuple[Flank, ...]:
    """Flanks of the ring's teeth that take the lead-in.

    A pinion that is thrown in moves on, against the ring, the way it drives, and slips off a tooth's end over that
    tooth's idle flank: the bevel belongs there, and the loaded flank keeps its whole length. Driven both ways, or slid
    in by hand, both flanks take it; always in mesh, none. ``loaded`` None is not known: both.

    >>> flanks_to_bevel("thrown_at_rest", "plus"), flanks_to_bevel("slid", "plus"), flanks_to_bevel("always", None)
    (('minus',), ('plus', 'minus'), ())
    """
    if how == "always":
        return ()
    if how == "slid" or loaded in (None, "both"):
        return ("plus", "minus")
    return ("minus",) if loaded == "plus" else ("plus",)


def engaged_face(
    throw: float | None, gap: float | None, face_ring: float | None, face_mate: float | None
) -> float | None:
    """Face in mesh when the pinion is in: throw less the gap to the ring's face, or the narrower face [mm].

    All in mm; None for what is not known, and None when nothing is. ``gap`` None counts as nought.
    """
    known = [face for face in (face_ring, face_mate) if face is not None]
    if throw is not None:
        known.append(throw - (gap or 0.0))
    return min(known) if known else None


def land_left(land: float, lead: float, slope: float, flanks: int) -> float:
    """Land left on a tooth end by bevels of length ``lead`` on so many flanks: land - flanks lead slope, at least 0.

    land, lead in mm, along the reference circle and along the tooth; ``slope`` is the tangent of the bevel's angle to
    the tooth, 0.05 to 20 [-] -> [mm].

    >>> land_left(7.854, 2.0, 1.0, 2)
    3.854
    """
    require("land", land, 0, 400)
    require("lead", lead, 0, 1000)
    require("slope", slope, 0.05, 20)
    return max(0.0, land - flanks * lead * slope)


def lead_for_land(land: float, wanted: float, slope: float, flanks: int) -> float:
    """Length of the bevels that leave a land ``wanted``: (land - wanted) / (flanks slope), at least 0 [mm].

    Arguments as in `land_left`; flanks 1 or 2.
    """
    require("land", land, 0, 400)
    require("slope", slope, 0.05, 20)
    require("flanks", flanks, 1, 2)
    return max(0.0, land - wanted) / (flanks * slope)


def most_lead(engaged: float, flanks: tuple[Flank, ...], loaded: Literal["plus", "minus", "both"] | None) -> float:
    """Longest lead that leaves enough face to work: half the face in mesh on idle flanks, a quarter on a loaded one.

    ``engaged`` > 0 [mm] -> [mm]. Common practice, no source.
    """
    idle = loaded in ("plus", "minus") and loaded not in flanks
    return engaged * (MOST_LEAD_IDLE if idle else MOST_LEAD_LOADED)


def bearing_face(
    engaged: float,
    lead: float,
    bevel_mate: float,
    flanks: tuple[Flank, ...],
    loaded: Literal["plus", "minus", "both"] | None,
) -> float:
    """Face on which the loaded flanks really touch: what is in mesh, less the bevels at both ends of it [mm].

    The ring's bevel counts where it is on a loaded flank (not known: it is); the mate's counts always. All in mm.

    >>> bearing_face(40, 3, 2, ("minus",), "plus"), bearing_face(40, 3, 2, ("plus", "minus"), "plus")
    (38.0, 35.0)
    """
    takes = loaded in (None, "both") or loaded in flanks
    return max(0.0, float(engaged - bevel_mate - (lead if takes and flanks else 0.0)))
