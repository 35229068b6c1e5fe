"""The real ring against the plate: follow its own teeth or the plate, and what the joint is left with.

E_k is where tooth k really stands, in the direction of counting, against N equal divisions; only differences matter.
Lengths are arcs at the pitch circle in micrometres.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import atan2, hypot, pi, sin

import numpy as np

from ringwright.errors import Refusal


def from_pitches(N: int, f: Mapping[int, float]) -> tuple[dict[int, float], float | None]:
    """Positions from pitch deviations, and what they miss in closing.

    Parameters
    ----------
    N : int
        Teeth [-]
    f : mapping
        Tooth k -> deviation of the pitch from tooth k to k + 1, same flank [um]

    Returns
    -------
    E, closing
        Positions [um], the first tooth of the chain at 0. When all N pitches are there their sum must be nought; it is
        the bias of the gauge, is shared out evenly and returned [um]; else None.

    Raises
    ------
    Refusal
        ``pitch_chain_broken`` when the pitches do not follow one another without a gap.

    Examples
    --------
    >>> from_pitches(4, {1: 10.0, 2: -6.0, 3: 2.0, 4: -2.0})
    ({1: 0.0, 2: 9.0, 3: 2.0, 4: 3.0}, 4.0)

    References
    ----------
    .. [1] Closure of a full circle: the deviations of all its intervals sum to nought (NBSIR 75-750, abstract).
    """
    closing = sum(f.values()) if len(f) == N else None
    bias = 0.0 if closing is None else closing / N
    starts = [min(f)] if closing is not None else [k for k in f if k not in {j % N + 1 for j in f}]
    if len(starts) != 1:
        raise Refusal("pitch_chain_broken", "pitch")
    k, E, found = starts[0], 0.0, {starts[0]: 0.0}
    for _ in range(len(f) if closing is None else N - 1):
        E += f[k] - bias
        k = k % N + 1
        found[k] = E
    return found, closing


def of_stretch(N: int, first: int, last: int, shrunk: float) -> dict[int, float]:
    """Positions of a ring whose pitches from tooth ``first`` to tooth ``last`` have shrunk by ``shrunk`` [um] in all.

    The circle stays one turn, so all other pitches are a little wide in angle.

    >>> E = of_stretch(100, 11, 21, 100.0)
    >>> round(E[11], 3), round(E[21], 3), round(E[1], 3)
    (10.0, -80.0, 0.0)
    """
    pitches = (last - first) % N
    inside = {(first - 1 + j) % N + 1 for j in range(pitches)}
    return from_pitches(N, {k: -shrunk / pitches if k in inside else 0.0 for k in range(1, N + 1)})[0]


@dataclass(frozen=True, slots=True)
class Round:
    """Off centre and oval: amplitudes [um] and the tooth at the high place (a fraction of a tooth is dropped)."""

    off_centre: float
    off_centre_tooth: int
    oval: float
    oval_tooth: int


def roundness(N: int, run_out: Mapping[int, float]) -> tuple[Round, dict[int, float]]:
    """Off centre and oval from radial readings, and where both put the teeth.

    Parameters
    ----------
    N : int
        Teeth [-]
    run_out : mapping
        Tooth -> radial reading, outward positive, five teeth at least and well spread [um]

    Returns
    -------
    Round, E
        A ring that is bent without being stretched and stands out by a cos n theta moves along the circle by
        -(a / n) sin n theta; n = 1 is a ring off centre, n = 2 an oval one [um].

    Raises
    ------
    Refusal
        ``run_out_too_few`` when the readings do not tell the two apart.

    References
    ----------
    .. [1] Ring bent without stretch (textbook of elasticity, from memory); n = 1 is a shift, exactly.
    """
    teeth = np.array(sorted(run_out))
    theta = 2 * pi * (teeth - 1) / N
    columns = [np.ones(len(teeth))] + [g(n * theta) for n in (1, 2) for g in (np.cos, np.sin)]
    found, _, rank, _ = np.linalg.lstsq(np.stack(columns, axis=1), np.array([run_out[int(k)] for k in teeth]))
    if rank < 5:
        raise Refusal("run_out_too_few", "run_out")
    waves = [(hypot(found[2 * n - 1], found[2 * n]), atan2(found[2 * n], found[2 * n - 1]) / n) for n in (1, 2)]
    at = [round(high % (2 * pi / n) / (2 * pi) * N) % N + 1 for n, (_, high) in enumerate(waves, 1)]
    E = {
        k: -sum(a / n * sin(n * (2 * pi * (k - 1) / N - high)) for n, (a, high) in enumerate(waves, 1))
        for k in range(1, N + 1)
    }
    return Round(waves[0][0], at[0], waves[1][0], at[1]), E


@dataclass(frozen=True, slots=True)
class Joint:
    """A pitch from an old tooth to a new one or back, and its error [um] by the plate and by the teeth."""

    tooth: int
    next: int
    plate: float
    teeth: float


@dataclass(frozen=True, slots=True)
class Followed:
    """What following the plate and following the teeth leave.

    ``phase`` is where the plate is best set against E = 0 (mean of the sound teeth); ``off`` the furthest that a cut by
    the plate stands from its own tooth; ``*_pitch`` the largest error of a pitch with a new tooth in it [um].
    """

    phase: float
    off: float | None
    plate_pitch: float
    teeth_pitch: float
    joints: tuple[Joint, ...]

    @property
    def seam(self) -> float:
        """Largest error at a joint by the plate [um]."""
        return max((abs(j.plate) for j in self.joints), default=0.0)


def on_own_teeth(E: Mapping[int, float], sound: Sequence[int], cut: Sequence[int]) -> Followed:
    """Work on teeth that are there and stay: how far a cut by the plate stands from the tooth it belongs to.

    Raises
    ------
    Refusal
        ``no_sound_tooth`` or ``tooth_not_measured``.
    """
    phase = _phase(E, sound)
    missing = next((k for k in cut if k not in E), None)
    if missing is not None:
        raise Refusal("tooth_not_measured", "measured", missing)
    return Followed(phase, max(abs(E[k] - phase) for k in cut), 0.0, 0.0, ())


def _phase(E: Mapping[int, float], sound: Sequence[int]) -> float:
    known = [E[k] for k in sound if k in E]
    if not known:
        raise Refusal("no_sound_tooth", "sound")
    return sum(known) / len(known)


def among_old_teeth(N: int, E: Mapping[int, float], sound: Sequence[int], cut: Sequence[int]) -> Followed:
    """New teeth among old ones: the joints by the plate, set to the sound teeth, and shared out between the neighbours.

    By the teeth, n new ones between old teeth a and b take (E_b - E_a) / (n + 1) each, so no joint stands out.

    Raises
    ------
    Refusal
        ``no_sound_tooth``, or ``tooth_not_measured`` for an old tooth beside new ones.
    """
    phase, new = _phase(E, sound), set(cut)
    joints: list[Joint] = []
    if len(new) < N:
        for before, after, n in _gaps(N, new):
            missing = next((k for k in (before, after) if k not in E), None)
            if missing is not None:
                raise Refusal("tooth_not_measured", "measured", missing)
            share = (E[after] - E[before]) / (n + 1)
            joints.append(Joint(before, before % N + 1, phase - E[before], share))
            joints.append(Joint((after - 2) % N + 1, after, E[after] - phase, share))
    plate = max((abs(j.plate) for j in joints), default=0.0)
    return Followed(phase, None, plate, max((abs(j.teeth) for j in joints), default=0.0), tuple(joints))


def _gaps(N: int, new: set[int]) -> list[tuple[int, int, int]]:
    """Old tooth before, old tooth after, new teeth between, for every run of new teeth."""
    found = []
    for first in sorted(k for k in new if (k - 2) % N + 1 not in new):
        n = next(n for n in range(1, N) if (first - 1 + n) % N + 1 not in new)
        found.append(((first - 2) % N + 1, (first - 1 + n) % N + 1, n))
    return found
