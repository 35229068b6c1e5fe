"""The lead-in cut: infeed for a wanted lead or land, and what that cut does to the teeth.

All infeeds here are counted from touch-off. The swept cutter only grows with infeed, so leads never fall and lands
never rise; where one of them jumps or stands still, the wanted value may lie where no infeed reaches it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.cutter import EndMill
from ringwright.cutting.field import infeed_field
from ringwright.cutting.pose import Pose
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.touch_off import TouchOff, touch_off

Array = NDArray[np.float64]
_HALVINGS = 48
#: An infeed beyond every other [mm].
EVER = 1e9
#: A wanted lead or land is met when the cut has it within this [mm].
MET = 1e-5
_FEWEST, _MOST_SPACES = 3, 100


@dataclass(frozen=True, slots=True)
class Leads:
    """Depth in a [mm] to which the reference line of the flanks at +t and -t is cut."""

    plus: float
    minus: float

    @property
    def least(self) -> float:
        """The smaller of the two [mm]."""
        return min(self.plus, self.minus)


@dataclass(frozen=True, slots=True)
class Cut:
    """What a cut of ``infeed`` [mm] does; lengths in mm, see CONTRACT for the fields."""

    infeed: float
    leads: Leads
    land_plus: float
    land_minus: float
    land_finished: float


@dataclass(frozen=True, slots=True)
class Aim:
    """The answer to a target: the cut, or what lies just below and above where the target is passed over."""

    cut: Cut | None
    below: Cut | None
    above: Cut | None


@dataclass(frozen=True)
class LeadIn:
    """One set-up, touched off: ask it for cuts and targets."""

    body: ToothedRing
    mill: EndMill
    pose: Pose
    touch: TouchOff

    @property
    def spaces(self) -> Array:
        """Turns [rad] of the spaces whose cuts are laid over each other for the finished ring."""
        reach = int(3 * self.mill.R / (self.body.r * self.body.pitch)) + 1
        n = min(max(reach, _FEWEST), _MOST_SPACES, self.body.ring.z // 2)
        return np.asarray(np.arange(-n, n + 1) * self.body.pitch)

    @property
    def zero(self) -> float:
        """Infeed of the touch-off from the pose's tip [mm]."""
        return self.touch.first.s

    @property
    def tip_at_touch_off(self) -> Array:
        """The pose's tip moved along the infeed to touch-off, (r, t, a) [mm]."""
        return np.asarray(self.pose.tip + self.zero * self.pose.infeed)

    def field(self, points: Array) -> Array:
        """Infeed from touch-off at which each point is reached, inf where never [mm]."""
        return infeed_field(points, self.mill, self.pose) - self.zero

    def flank_line(self, side: int) -> Callable[[Array], Array]:
        """Field along the reference line of the flank at +t (side 1) or -t (side -1), as a function of a."""
        j = 0 if side > 0 else -1
        r = np.array(self.body.r)
        theta = self.body.middle(j) - side * self.body.half_angle(r)
        return lambda a: self.field(self.body.point(r, theta, a))

    def opens_to_the_face(self, infeed: float) -> bool:
        """Whether the reference lines of both flanks are cut right from the entry face on."""
        return all(float(self.flank_line(side)(np.array(0.0))) <= infeed for side in (1, -1))

    def leads(self, infeed: float) -> Leads:
        """Both leads at an infeed [mm]."""
        grid = _graded(self.body.b)
        return Leads(*(max(_last_reached(self.flank_line(side), grid, infeed), 0.0) for side in (1, -1)))

    def land(self, infeed: float, side: int = 0) -> float:
        """Arc of tooth left at a = 0 on the reference circle [mm].

        ``side`` 1 or -1: the tooth at +t or -t after this space only; 0: after every space has had the same cut.
        """
        half = float(self.body.half_angle(np.array(self.body.r)))
        middle = self.body.middle(-1 if side < 0 else 0)
        offsets = np.array([0.0]) if side else self.spaces

        def reached(theta: Array) -> Array:
            at = self.body.point(np.array(self.body.r), theta[..., None] + offsets, np.array(0.0))
            return np.asarray(self.field(at).min(axis=-1))

        return self.body.r * _left(reached, middle - half, middle + half, infeed)

    def cut(self, infeed: float) -> Cut:
        """Everything about the cut at one infeed [mm]."""
        return Cut(infeed, self.leads(infeed), self.land(infeed, 1), self.land(infeed, -1), self.land(infeed))

    def full_face(self, infeed: float) -> float:
        """Face width on which the flanks are untouched at every height, after every space has had the cut [mm]."""
        shares = np.linspace(0, 1, 41)
        depths: list[tuple[Array, Array]] = []
        for side in (1, -1):
            depths.append(self._cut_depths(side, shares, infeed))
            for _ in range(5):  # close in on the height that is cut deepest
                deepest = shares[int(np.argmax(depths[-1][1]))]
                if depths[-1][1].max() <= 0:
                    break
                step = shares[1] - shares[0]
                shares = np.clip(deepest + step * np.linspace(-1, 1, 17), 0, 1)
                depths.append(self._cut_depths(side, shares, infeed))
            shares = np.linspace(0, 1, 41)
        runs = sorted((float(lo), float(hi)) for firsts, lasts in depths for lo, hi in zip(firsts, lasts) if hi >= lo)
        best, done = 0.0, 0.0
        for lo, hi in runs:
            best, done = max(best, lo - done), max(done, hi)
        return max(best, self.body.b - done)

    def _cut_depths(self, side: int, shares: Array, infeed: float) -> tuple[Array, Array]:
        """First and last a that is reached on each height of the involute, (inf, -inf) where none."""
        body = self.body
        rho = body.r_form + shares * (body.r_a - body.r_form)
        j = 0 if side > 0 else -1
        turns = self.spaces[:, None, None]
        theta = body.middle(j) - side * body.half_angle(rho)

        def reached(a: Array) -> Array:
            return np.asarray(self.field(body.point(rho[:, None], theta[:, None] + turns, a)).min(axis=0))

        grid = _graded(body.b, 120)
        inside = reached(np.broadcast_to(grid, (len(rho), len(grid)))) <= infeed
        some = inside.any(axis=1)
        first, last = np.argmax(inside, axis=1), len(grid) - 1 - np.argmax(inside[:, ::-1], axis=1)
        lo = _cross(reached, grid[first], grid[np.maximum(first - 1, 0)], infeed)
        hi = _cross(reached, grid[last], grid[np.minimum(last + 1, len(grid) - 1)], infeed)
        return np.where(some, lo, np.inf), np.where(some, hi, -np.inf)

    def saturation(self) -> Cut | None:
        """The cut from which on the smaller lead grows no more, or None when it grows to the far end."""
        grid = _graded(self.body.b)
        infeeds = []
        for side in (1, -1):
            line = self.flank_line(side)
            end = _last_reached(line, grid, EVER)
            if end >= self.body.b - MET:
                return None
            if end > -np.inf:
                infeeds.append((end, _least_beyond(line, grid, end - MET / 10, end)))
        if len(infeeds) < 2:
            return None
        least = min(end for end, _ in infeeds)
        return self.cut(max(s for end, s in infeeds if end <= least + MET))

    def aim_lead(self, lead: float, *, best: bool = True) -> Aim:
        """Least infeed at which the smaller lead is ``lead`` [mm]; ``best``: tell what lies around it if it is not."""
        grid = _graded(self.body.b)
        s = max(_least_beyond(self.flank_line(side), grid, lead, self.body.b) for side in (1, -1))
        s = max(s, 0.0)
        if not np.isfinite(s):
            return Aim(None, self.saturation() if best else None, None)
        cut = self.cut(s + 1e-9)
        if cut.leads.least <= lead + MET:
            return Aim(cut, None, None)
        return Aim(None, self.cut(max(s - MET, 0.0)), cut)

    def aim_land(self, land: float, *, best: bool = True) -> Aim:
        """Least infeed at which the finished land is no larger than ``land`` [mm]; ``best`` as in `aim_lead`."""
        if self.land(0.0) <= land:
            return Aim(self.cut(0.0), None, None)
        most = self._most()
        floor = self.land(most)
        if floor > land + MET / 10:
            if not best:
                return Aim(None, None, None)
            return Aim(None, self.cut(self._least_for_land(floor + MET / 10, most)[1]), None)
        low, high = self._least_for_land(land, most)
        cut = self.cut(high)
        if cut.land_finished >= land - MET:
            return Aim(cut, None, None)
        return Aim(None, self.cut(max(low - MET, 0.0)), cut)

    def _least_for_land(self, land: float, most: float) -> tuple[float, float]:
        """Infeeds just short of and at the finished land [mm], by halving between touch-off and ``most``."""
        low, high = 0.0, most
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            low, high = (low, middle) if self.land(middle) <= land else (middle, high)
            if high - low < 1e-9:
                break
        return low, high

    def _most(self) -> float:
        """An infeed beyond which the land at the entry face surely stands still [mm]."""
        theta = np.linspace(self.spaces[0], self.spaces[-1], 3001)
        s = self.field(self.body.point(np.array(self.body.r), theta, np.array(0.0)))
        reached = s[np.isfinite(s)]
        return float(max(reached.max(), 0.0)) + 1.0 if len(reached) else 0.0


def touched(body: ToothedRing, mill: EndMill, pose: Pose, *, shift: bool = True) -> LeadIn:
    """A set-up with its touch-off found; refuses as `touch_off` does."""
    return LeadIn(body, mill, pose, touch_off(body, mill, pose, shift=shift))


def end_face_profile(
    at: LeadIn, infeed: float, depths: Array, heights: int = 60, across: int = 81
) -> tuple[Array, Array, Array]:
    """Sections of the tooth at +t with what every space's cut takes away, for drawing.

    Parameters
    ----------
    at : LeadIn
        The set-up
    infeed : float
        From touch-off [mm]
    depths : array (k,)
        Depths a of the sections [mm]
    heights, across : int
        Points of each section from root to tip and from flank to flank

    Returns
    -------
    r, t : arrays (k, heights, across)
        Points of the tooth in its own frame: r through the middle of the tooth, its twist taken out [mm]
    gone : array (k, heights, across) of bool
        Whether the cutter has been there
    """
    body = at.body
    rho = np.linspace(body.r_f, body.r_a, heights)[:, None]
    theta = body.half_angle(rho) * np.linspace(-1, 1, across)
    a = np.asarray(depths, dtype=float)[:, None, None]
    gone = np.zeros((len(a), heights, across), dtype=bool)
    for turn in at.spaces:
        gone |= at.field(body.point(rho, body.middle(0) + theta + turn, a)) <= infeed
    shape = gone.shape
    return np.broadcast_to(rho * np.cos(theta), shape), np.broadcast_to(rho * np.sin(theta), shape), gone


def _graded(b: float, n: int = 400) -> Array:
    """Depths from 0 to b, close together near the entry face."""
    return np.asarray(b * np.linspace(0, 1, n) ** 2)


def _cross(reached: Callable[[Array], Array], inside: Array, outside: Array, infeed: float) -> Array:
    """Where reached passes ``infeed`` between a point inside and its neighbour outside, by halving; shapes (n,)."""
    inside, outside = inside.copy(), outside.copy()
    for _ in range(_HALVINGS):
        middle = (inside + outside) / 2
        within = reached(middle[:, None])[:, 0] <= infeed
        inside, outside = np.where(within, middle, inside), np.where(within, outside, middle)
    return inside


def _last_reached(line: Callable[[Array], Array], grid: Array, infeed: float) -> float:
    """Largest parameter whose field is at most ``infeed``, -inf when none is."""
    inside = np.flatnonzero(line(grid) <= infeed)
    if len(inside) == 0:
        return -np.inf
    at = int(inside[-1])
    if at + 1 == len(grid):
        return float(grid[-1])
    return float(_cross(lambda a: line(a), grid[at : at + 1], grid[at + 1 : at + 2], infeed)[0])


def _least_beyond(line: Callable[[Array], Array], grid: Array, low: float, high: float) -> float:
    """Least field between two parameters, both ends counted."""
    low, high = min(low, high), max(low, high)
    points = np.concatenate([[low], grid[(grid > low) & (grid < high)], [high]])
    s = line(points)
    for _ in range(30):
        at = int(np.argmin(s))
        one, two = points[max(at - 1, 0)], points[min(at + 1, len(points) - 1)]
        if two - one < 1e-10:
            break
        points = np.linspace(one, two, 17)
        s = line(points)
    return float(s.min())


def _left(reached: Callable[[Array], Array], low: float, high: float, infeed: float) -> float:
    """Length between low and high where the field is above ``infeed``."""
    grid = np.linspace(low, high, 241)
    cut = reached(grid) <= infeed
    changes = np.flatnonzero(cut[1:] != cut[:-1])
    inside = np.where(cut[changes], grid[changes], grid[changes + 1])
    outside = np.where(cut[changes], grid[changes + 1], grid[changes])
    ends = _cross(lambda x: reached(x), inside, outside, infeed)
    marks = np.concatenate([[low], ends, [high]])
    state, total = bool(cut[0]), 0.0
    for one, two in pairwise(marks):
        total += 0.0 if state else two - one
        state = not state
    return float(total)
