"""Whether a device can take the ring at all: swing, load, and how it has to stand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SetUp = Literal["flat", "upright"]


@dataclass(frozen=True, slots=True)
class Room:
    """What a device takes; None is not known.

    Attributes
    ----------
    centre_height : float or None
        Spindle's axis above the machine table when the ring stands upright [mm]
    load_flat, load_upright : float or None
        Greatest load, the ring lying flat or standing upright [kg]
    lies_flat, stands_upright : bool or None
        Whether the device can hold the ring so.
    """

    centre_height: float | None = None
    load_flat: float | None = None
    load_upright: float | None = None
    lies_flat: bool | None = None
    stands_upright: bool | None = None


@dataclass(frozen=True, slots=True)
class WhyNot:
    """Why not: "swing", "load", "does_not_lie" or "does_not_stand", with what there is and what is needed."""

    code: str
    have: float | None = None
    need: float | None = None


def why_not(
    room: Room, outside: float | None, mass: float | None, set_up: SetUp | None, clearance: float
) -> WhyNot | None:
    """Why a device cannot take the ring, or None; what is not known refuses nothing.

    Parameters
    ----------
    room : Room
        What the device takes.
    outside : float or None
        Outside diameter of the ring [mm]
    mass : float or None
        Mass of ring and fixture [kg]
    set_up : "flat", "upright" or None
        How the ring has to stand; None: either will do.
    clearance : float
        Air wanted between the ring and the machine table [mm]

    Examples
    --------
    >>> why_not(Room(centre_height=130), 645, 44, "upright", 5)
    WhyNot(code='swing', have=130, need=327.5)
    """
    if set_up is None:
        upright = why_not(room, outside, mass, "upright", clearance)
        return upright and why_not(room, outside, mass, "flat", clearance) and upright
    able = room.lies_flat if set_up == "flat" else room.stands_upright
    if able is False:
        return WhyNot("does_not_lie" if set_up == "flat" else "does_not_stand")
    if set_up == "upright" and outside is not None and room.centre_height is not None:
        need = outside / 2 + clearance
        if need > room.centre_height:
            return WhyNot("swing", room.centre_height, need)
    load = room.load_flat if set_up == "flat" else room.load_upright
    if mass is not None and load is not None and mass > load:
        return WhyNot("load", load, mass)
    return None
