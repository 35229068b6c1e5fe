"""The lead-in cut: infeed for a wanted lead or land, and what that cut does to the teeth.

All infeeds here are counted from touch-off. The swept cutter only grows with infeed, so leads never fall and lands
never rise; where one of them jumps or stands still, the wanted value may lie where no infeed reaches it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ringwright.cutting.closing_in import (
    STEPS,
    Line,
    crossing,
    graded,
    last_reached,
    least_beyond,
    length_left,
    line_over,
)
from ringwright.cutting.cutter import Cutter
from ringwright.cutting.field import infeed_field
from ringwright.cutting.pose import Pose
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.touch_off import Grids, TouchOff, touch_off

Array = NDArray[np.float64]
#: Width at which a depth of the face left untouched is known [mm].
_CLOSE = 1e-8
#: An infeed beyond every other [mm].
EVER = 1e9
#: A wanted lead or land is met when the cut has it within this [mm].
MET = 1e-5
#: Infeeds past the first contact beyond the lead at which that contact is looked for [mm].
_SEEN = (1e-9, 1e-6, 1e-5, 1e-4, 1e-3, 1e-2)
_FEWEST, _MOST_SPACES = 3, 100


class Leads(NamedTuple):
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
    mill: Cutter
    pose: Pose
    touch: TouchOff
    grids: Grids | None = None

    @cached_property
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

    def reached_by(self, pose: Pose, points: Array) -> Array:
        """The field of this cutter in another pose, from that pose's own tip [mm]."""
        return infeed_field(points, self.mill, pose)

    @property
    def grids_kept(self) -> Grids:
        """Points to look for first contacts at, kept where they are known."""
        return self.grids or Grids(self.body)

    def flankline_over(self, side: int, rho: float | None = None) -> Line:
        """Line of the flank at +t (side 1) or -t (side -1) on radius ``rho``, the reference one left out, by a."""
        key = (side, self.body.r if rho is None else rho)
        if key not in self._lines:
            self._lines[key] = self._flank_line(*key)
        return self._lines[key]

    @cached_property
    def _lines(self) -> dict[tuple[int, float], Line]:
        return {}

    def _flank_line(self, side: int, rho: float) -> Line:
        j = 0 if side > 0 else -1
        r = np.array(rho)
        theta = self.body.middle(j) - side * self.body.half_angle(r)
        return line_over(lambda a: self.field(self.body.point(r, theta, a)), graded(self.body.b))

    def opens_to_the_face(self, infeed: float) -> tuple[bool, bool]:
        """Whether the reference lines of the flanks at +t and -t are cut right from the entry face on."""
        plus, minus = (float(self.flankline_over(side).s[0]) <= infeed for side in (1, -1))
        return plus, minus

    def leads(self, infeed: float, rho: float | None = None) -> Leads:
        """Both leads at an infeed [mm], on the reference circle or at the radius ``rho`` [mm]."""
        return Leads(*(max(last_reached(self.flankline_over(side, rho), infeed), 0.0) for side in (1, -1)))

    @cached_property
    def _arcs(self) -> dict[int, Line]:
        """The reference circle of a tooth at a = 0: +-1 the tooth at +-t under this space, 0 under every space."""
        return {side: self._arc(side) for side in (1, -1, 0)}

    def _arc(self, side: int) -> Line:
        r = np.array(self.body.r)
        half = float(self.body.half_angle(r))
        middle = self.body.middle(-1 if side < 0 else 0)
        grid = np.linspace(middle - half, middle + half, 241)

        def under(offsets: Array, theta: Array) -> Array:
            return np.asarray(self.field(self.body.point(r, theta + offsets[:, None, None], np.array(0.0))))

        offsets = np.array([0.0]) if side else self.spaces
        s = under(offsets, grid[None])
        near = offsets[np.isfinite(s).any(axis=(1, 2))] if side == 0 else offsets
        if not len(near):
            near = offsets
        return Line(lambda theta: under(near, np.atleast_2d(theta)).min(axis=0), grid, s.min(axis=0)[0])

    def land(self, infeed: float, side: int = 0) -> float:
        """Arc of tooth left at a = 0 on the reference circle [mm].

        ``side`` 1 or -1: the tooth at +t or -t after this space only; 0: after every space has had the same cut.
        """
        return self.body.r * length_left(self._arcs[side], infeed)

    def cut(self, infeed: float) -> Cut:
        """Everything about the cut at one infeed [mm]."""
        return Cut(infeed, self.leads(infeed), self.land(infeed, 1), self.land(infeed, -1), self.land(infeed))

    def full_face(self, infeed: float) -> float:
        """Face width on which the flanks are untouched at every height, after every space has had the cut [mm]."""
        runs: list[tuple[float, float]] = []
        for side in (1, -1):
            shares, spaces, step = np.linspace(0, 1, 41), self.spaces, 1 / 40
            for _ in range(6):  # close in on the height that is cut deepest
                firsts, lasts, spaces = self._cut_depths(side, shares, infeed, spaces)
                runs += [(float(lo), float(hi)) for lo, hi in zip(firsts, lasts) if hi >= lo]
                if lasts.max() <= 0:
                    break
                shares = np.clip(shares[int(np.argmax(lasts))] + step * np.linspace(-1, 1, 17), 0, 1)
                step /= 8
        best, done = 0.0, 0.0
        for lo, hi in sorted(runs):
            best, done = max(best, lo - done), max(done, hi)
        return max(best, self.body.b - done)

    def _cut_depths(self, side: int, shares: Array, infeed: float, spaces: Array) -> tuple[Array, Array, Array]:
        """First and last a reached on each height of the involute, (inf, -inf) where none; which spaces cut there."""
        body = self.body
        rho = (body.r_form + shares * (body.r_a - body.r_form))[:, None]
        theta = body.middle(0 if side > 0 else -1) - side * body.half_angle(rho)
        grid = graded(body.b, 120)
        near: NDArray[np.bool_] = self.field(body.point(rho, theta + spaces[:, None, None], grid)) <= infeed
        cutting = spaces[np.any(near, axis=(1, 2))]
        if not len(cutting):
            return np.full(len(rho), np.inf), np.full(len(rho), -np.inf), spaces

        def reached(a: Array) -> Array:
            return np.asarray(self.field(body.point(rho, theta + cutting[:, None, None], a)).min(axis=0))

        inside = np.any(near, axis=0)
        some = inside.any(axis=1)
        first, last = np.argmax(inside, axis=1), len(grid) - 1 - np.argmax(inside[:, ::-1], axis=1)
        lo = crossing(reached, grid[first], grid[np.maximum(first - 1, 0)], infeed, _CLOSE)
        hi = crossing(reached, grid[last], grid[np.minimum(last + 1, len(grid) - 1)], infeed, _CLOSE)
        return np.where(some, lo, np.inf), np.where(some, hi, -np.inf), cutting

    def saturation(self, rho: float | None = None) -> Cut | None:
        """The cut from which on the smaller lead grows no more, or None when it grows to the far end."""
        infeeds = []
        for side in (1, -1):
            line = self.flankline_over(side, rho)
            end = last_reached(line, EVER)
            if end >= self.body.b - MET:
                return None
            if end > -np.inf:
                infeeds.append((end, least_beyond(line, end - MET / 10, end)))
        if len(infeeds) < 2:
            return None
        least = min(end for end, _ in infeeds)
        return self.cut(max(s for end, s in infeeds if end <= least + MET))

    def aim_lead(self, lead: float, *, rho: float | None = None, best: bool = True) -> Aim:
        """Least infeed at which the smaller lead is ``lead`` [mm], on the reference circle or at radius ``rho`` [mm].

        ``best``: tell what lies around it if it is not reached.
        """
        s = max(least_beyond(self.flankline_over(side, rho), lead, self.body.b) for side in (1, -1))
        s = max(s, 0.0)
        if not np.isfinite(s):
            return Aim(None, self.saturation(rho) if best else None, None)
        # a line that is met in its middle first is met at a point; a little more is needed to see how deep that is
        cut = self.cut(s + next((d for d in _SEEN if self.leads(s + d, rho).least >= lead - MET), _SEEN[-1]))
        if lead - MET <= self.leads(cut.infeed, rho).least <= lead + MET:
            return Aim(cut, None, None)
        return Aim(None, self.cut(max(s - MET, 0.0)), cut)

    def aim_land(self, land: float, *, best: bool = True) -> Aim:
        """Least infeed at which the finished land is no larger than ``land`` [mm]; ``best`` as in `aim_lead`."""
        if self.land(-MET) <= land:
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
        """Infeeds just short of and at the finished land [mm], between touch-off and ``most``.

        False position with the end that stays taken at half its weight; a halving wherever that does not narrow
        enough, so that a jump is closed in on as surely as a slope.
        """
        low, high = -MET / 10, most
        over, under = self.land(low) - land, self.land(high) - land
        for _ in range(2 * STEPS):
            width = high - low
            if width < 1e-9:
                break
            for middle in (low + width * _between(over, under), (low + high) / 2):
                value = self.land(middle) - land
                if value <= 0:
                    high, under, over = middle, value, over / 2
                else:
                    low, over, under = middle, value, under / 2
                if high - low <= width / 2:
                    break
        return low, high

    def _most(self) -> float:
        """An infeed beyond which the land at the entry face surely stands still [mm]."""
        theta = np.linspace(self.spaces[0], self.spaces[-1], 3001)
        s = self.field(self.body.point(np.array(self.body.r), theta, np.array(0.0)))
        reached = s[np.isfinite(s)]
        return float(max(reached.max(), 0.0)) + 1.0 if len(reached) else 0.0


def _between(over: float, under: float) -> float:
    """Where a straight line from ``over`` > 0 to ``under`` <= 0 meets nought, as a share, kept off both ends."""
    return min(max(over / max(over - under, 1e-300), 1e-3), 1 - 1e-3)


def touched(body: ToothedRing, mill: Cutter, pose: Pose, *, shift: bool = True, grids: Grids | None = None) -> LeadIn:
    """A set-up with its touch-off found; refuses as `touch_off` does. ``grids`` kept from the same ring save time."""
    grids = grids or Grids(body)
    return LeadIn(body, mill, pose, touch_off(body, mill, pose, shift=shift, grids=grids), grids)


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
