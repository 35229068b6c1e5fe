"""Turning a ring on its seat so that sound teeth stand where the pinion enters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.errors import Refusal, require


@dataclass(frozen=True, slots=True)
class Stop:
    """What stands at one stop: its place on the ring (1 to N, may lie between teeth) and the damage near it."""

    place: Fraction
    damage: float


@dataclass(frozen=True, slots=True)
class Position:
    """The ring turned by ``turn`` teeth in counting direction; damage near all stops and near the worst one.

    ``room``: teeth from the nearest stop to the nearest damaged tooth; N/2 on a sound ring.
    """

    turn: Fraction
    stops: tuple[Stop, ...]
    damage: float
    worst: float
    room: float


def damage_near(damage: NDArray[np.float64], place: Fraction, window: int) -> float:
    """Damage of the teeth that the pinion can meet when a place of the ring stands at a stop.

    Parameters
    ----------
    damage : array, shape (N,)
        Weight of each tooth, tooth 1 first [-]
    place : Fraction
        Place on the ring, tooth n at n, between teeth in fractions [teeth]
    window : int
        Teeth that the pinion can meet, 1 to N, the place in their middle [-]

    Returns
    -------
    float
        Sum of the weights of all teeth within half the window of the place (its edge included)
    """
    N = len(damage)
    low, high = place - Fraction(window, 2), place + Fraction(window, 2)
    first, last = ceil(low), floor(high)
    near = float(damage[np.arange(first - 1, last) % N].sum())
    # a tooth on either edge counts half, so that a window of w always weighs w teeth
    edges = [t for t, edge in ((first, low), (last, high)) if t == edge]
    return near - 0.5 * sum(float(damage[(t - 1) % N]) for t in edges)


def position(damage: ArrayLike, stops_at: Sequence[int], turn: Fraction, window: int) -> Position:
    """What stands at each stop when the ring has been turned by ``turn`` teeth in counting direction.

    Turning in counting direction carries tooth n to where tooth n + turn stood. So where tooth s stood before, tooth
    s - turn stands then.

    Parameters
    ----------
    damage : array, shape (N,)
        Weight of each tooth, 0 or more [-]
    stops_at : integers
        Teeth that stand where the pinion enters when the machine comes to rest now, 1 to N
    turn : Fraction
        Teeth turned, in counting direction; negative against it
    window : int
        Teeth that the pinion can meet, 1 to N [-]

    Returns
    -------
    Position

    Raises
    ------
    OutOfRange
        A stop is no tooth of the ring, a weight is negative, or the window is wider than the ring.
    Refusal
        ``no_stops`` when none is given.
    """
    weights = np.asarray(damage, dtype=np.float64)
    N = len(weights)
    require("damage", weights, 0, 1e6)
    require("window", window, 1, N)
    if not stops_at:
        raise Refusal("no_stops", "stops_at")
    require("stops_at", np.asarray(stops_at), 1, N)
    stops = []
    for s in stops_at:
        place = (Fraction(s) - turn - 1) % N + 1
        stops.append(Stop(place, damage_near(weights, place, window)))
    room = _room(weights, np.array([float(s.place) for s in stops]))
    return Position(turn, tuple(stops), sum(s.damage for s in stops), max(s.damage for s in stops), room)


def _room(weights: NDArray[np.float64], places: NDArray[np.float64]) -> float:
    N = len(weights)
    hit = np.flatnonzero(weights) + 1
    if not len(hit):
        return N / 2
    round_and_round = np.concatenate([hit[-1:] - N, hit, hit[:1] + N])
    after = np.searchsorted(round_and_round, places)  # places lie in [1, N + 1): a tooth stands on either side
    off = np.minimum(round_and_round[after] - places, places - round_and_round[after - 1])
    return round(float(off.min()), 9)


def signed(turn: Fraction, N: int) -> Fraction:
    """The same turn, the short way round: above -N/2, up to N/2.

    >>> signed(Fraction(100), 127), signed(Fraction(63), 126)
    (Fraction(-27, 1), Fraction(63, 1))
    """
    turn = turn % N
    return turn - N if turn > Fraction(N, 2) else turn


def bolt_turns(N: int, holes: int) -> tuple[Fraction, ...]:
    """Turns in teeth that an even circle of bolt holes allows, as it stands left out.

    >>> bolt_turns(127, 4)
    (Fraction(127, 4), Fraction(127, 2), Fraction(381, 4))
    """
    require("holes", holes, 1, 1000)
    return tuple(Fraction(N * i, holes) for i in range(1, holes))


def step_turns(N: int, step: int) -> tuple[Fraction, ...]:
    """Turns of whole steps of teeth once round, as it stands left out.

    >>> step_turns(10, 4)
    (Fraction(4, 1), Fraction(8, 1))
    """
    require("step", step, 1, N)
    return tuple(Fraction(t) for t in range(step, N, step))


def best_positions(
    damage: ArrayLike, stops_at: Sequence[int], turns: Sequence[Fraction], window: int
) -> tuple[Position, ...]:
    """Every allowed position, best first: least damage at the stops, at the worst stop, most room, shortest turn.

    Parameters as in `position`; ``turns`` are those that the seat allows, brought to the short way round.
    """
    N = len(np.asarray(damage))
    allowed = {signed(Fraction(t), N) for t in turns}
    found = [position(damage, stops_at, t, window) for t in allowed if t != 0]
    return tuple(sorted(found, key=lambda p: (p.damage, p.worst, -p.room, abs(p.turn), -p.turn)))
