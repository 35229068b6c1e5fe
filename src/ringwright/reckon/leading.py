"""The lead-in: how far to feed, where the cutter touches first, and what the cut leaves of the teeth."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from math import radians
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ringwright.cutting.as_it_is import EndLoss, Step, Tooth
from ringwright.cutting.beside import beside, meets_at, starts_at
from ringwright.cutting.holder import Gap, least_gaps, ring_points, stacked, teeth_beside
from ringwright.cutting.lead_in import Aim, Cut, LeadIn, touched
from ringwright.cutting.passes import beyond, equal_passes, removed
from ringwright.cutting.pose import (
    Pose,
    frame_in_machine,
    machine_direction,
    pose,
    right_angle_axis,
    slide_direction,
    tool_axis_of,
)
from ringwright.cutting.push import pushed_by_chips
from ringwright.cutting.surface import ToothedRing
from ringwright.cutting.touch_off import Contact, Grids
from ringwright.cutting.touching import better_touch_offs
from ringwright.cutting.turning import turning
from ringwright.cutting.unknown import Solved
from ringwright.cutting.what_if import diameter_for_land, effects, would_reach
from ringwright.errors import Refusal
from ringwright.reckon.base import Came, Operation
from ringwright.reckon.leading_answer import (
    Alternative,
    Best,
    GivenPose,
    GivenTouchOff,
    LeadInAnswer,
    Opens,
    Pair,
    Saturation,
)
from ringwright.reckon.leading_cutters import CUTTER_CAME, Cutter, core_cutter
from ringwright.reckon.leading_models import AskedPose, LeadInRequest, LostCorner, Target
from ringwright.reckon.leading_more import diameter_says, more
from ringwright.reckon.leading_targets import could, second_unknown, seeker, stands_still
from ringwright.reckon.leading_words import Sums, change, notes, sensitivity, working
from ringwright.reckon.measuring import core_ring
from ringwright.reckon.ring import Ring
from ringwright.words import N_


def core_pose(asked: AskedPose) -> Pose:
    """The pose of a request in the frame, directions of unit length."""
    if asked.tool_axis is not None:
        assert asked.feed is not None  # _once holds
        return pose(asked.tool_axis, asked.feed, asked.tip, asked.depth)
    assert asked.entry_face_looks is not None
    assert asked.work_at is not None
    frame = frame_in_machine(asked.entry_face_looks, asked.work_at)
    nod, tilt = radians(asked.nod_deg or 0.0), radians(asked.tilt_deg or 0.0)
    axis = quill = tool_axis_of(nod, tilt)
    if asked.right_angle_head_looks is not None:  # it hangs on the quill, which goes on along its own way
        axis = right_angle_axis(asked.right_angle_head_looks, nod, tilt, radians(asked.swing_deg or 0.0))
    feed: ArrayLike
    if asked.feed is not None:
        feed = asked.feed
    else:
        assert asked.feed_by is not None  # _once holds
        feed = frame @ slide_direction(asked.feed_by, quill)
    depth = frame @ slide_direction(asked.depth_by, quill) if asked.depth_by is not None else asked.depth
    return pose(frame @ axis, feed, asked.tip, depth, nod_about=frame @ machine_direction("+x"))


def set_up(asked: LeadInRequest, *, shift: bool = True) -> LeadIn:
    """Ring, cutter and pose of a request in core units, touched off; drawings start here too, without ``shift``."""
    if asked.ring.face_width_mm is None:
        raise Refusal("face_width_for_lead", "b")
    grids = _grids(asked.ring)
    mill = core_cutter(asked.cutter, grids.body.ring)
    return touched(grids.body, mill, core_pose(asked.pose), shift=shift, grids=grids)


@lru_cache(maxsize=8)
def _grids(ring: Ring) -> Grids:
    """The points of one ring, kept from request to request."""
    assert ring.face_width_mm is not None  # set_up asked
    return Grids(ToothedRing(core_ring(ring), ring.face_width_mm))


def stood(asked: LeadInRequest, *, shift: bool = True) -> tuple[LeadIn, Aim, Solved | None, Cutter | None]:
    """The set-up as it is to stand and what the target comes to there; a second unknown, the cutter from the kit."""
    if asked.solve_for == "infeed":
        at = set_up(asked, shift=shift)
        return at, seeker(asked.target)(at, True), None, None
    chosen, solved = second_unknown(asked, core_pose)
    if solved is None:
        return set_up(asked, shift=shift), Aim(None, None, None), None, None
    at = touched(solved.at.body, solved.at.mill, solved.at.pose, shift=shift, grids=solved.at.grids)
    return at, Aim(solved.cut, None, None), solved, chosen


@lru_cache(maxsize=64)
def _reckoned(asked: LeadInRequest) -> Sums:
    """All sums of a request; kept, since the pages, the sheet and the papers of a round ask the same again."""
    at, aim, solved, chosen = stood(asked)
    cut = aim.cut
    found = Sums(
        at=at,
        aim=aim,
        saturation=at.saturation(),
        full_face=at.full_face(cut.infeed) if cut else None,
        effects=tuple(effects(at, cut)) if cut else None,
        would_reach=()
        if cut or asked.solve_for != "infeed"
        else tuple(would_reach(at, could(asked.target), lambda here: seeker(asked.target)(here, False))),
        solved=solved,
        cutter=chosen,
        constant=stands_still(at, asked.target, cut),
    )
    if found.constant == "land" and asked.target.land is not None:
        found = replace(found, diameter=diameter_for_land(at, asked.target.land))
    return found if cut is None else _besides(asked, found, cut)


def _besides(asked: LeadInRequest, sums: Sums, cut: Cut) -> Sums:
    at = sums.at
    passes = equal_passes(at, cut.infeed, asked.passes)
    side = beside(at, cut.infeed)
    return replace(
        sums,
        beside=side,
        beyond=beyond(at, cut.infeed) if side.neighbour > 0 else 0.0,
        turning=turning(at, cut.infeed, 1 if asked.hand_of_cutter == "right" else -1),
        pushed=_pushed(asked, at, cut.infeed),
        passes=passes,
        removed=tuple(float(v) for v in removed(at, np.array(passes))),
        datums=tuple(better_touch_offs(at, cut.infeed, asked.gauge_mm)),
        gaps=tuple(_gaps(asked, sums.cutter or asked.cutter, at, cut)),
        worn=tuple((worn, _meets(at, worn)) for worn in dict.fromkeys(map(_shape, asked.lost))),
    )


def _pushed(asked: LeadInRequest, at: LeadIn, infeed: float) -> Literal["clockwise", "anticlockwise", "both"] | None:
    """Asked of the chips only where the worm hangs on it: it takes longer than all the rest."""
    if asked.worm_seats is None or asked.hand_of_cutter != "right" or infeed < 1e-3:
        return None
    return pushed_by_chips(at, infeed)


def _shape(worn: LostCorner) -> LostCorner:
    """What a tooth is like, whichever it is."""
    return worn.model_copy(update={"tooth": 1})


def _meets(at: LeadIn, worn: LostCorner) -> float | None:
    """Where the cutter meets a tooth as it is; with lost corners only, a ring of such teeth."""
    flanks, tip, end, corner = worn.flanks_lost_mm, worn.tip_lost_mm, worn.end_back_mm, worn.corner_mm
    if flanks == tip == end == 0:
        return starts_at(at, corner)
    steps = (Step(0.0, 1e6, flanks),) if flanks else ()
    slope = EndLoss(corner, corner)
    return meets_at(at, Tooth(steps, steps, tip, end, slope, slope, slope))


def _gaps(asked: LeadInRequest, cutter: Cutter, at: LeadIn, cut: Cut) -> list[Gap]:
    """Nearest approach of what stands behind the edges, at the infeed of the cut."""
    if not asked.behind or cutter.top is None:
        return []
    parts = stacked(
        cutter.top,
        *((b.name, b.length_mm, b.diameter_mm, b.upper_diameter_mm or b.diameter_mm) for b in asked.behind),
    )
    widest = max(max(p.r0, p.r1) for p in parts) + parts[-1].h1
    points = ring_points(at.body, teeth_beside(at.body, widest))
    return least_gaps(points, at.mill, parts, at.pose, at.zero + cut.infeed)


def lead_in(asked: LeadInRequest) -> LeadInAnswer:
    """Touch-off, infeed for the target, and what that cut leaves."""
    sums = _reckoned(asked.model_copy(update={"working": False}))
    at, aim, cut = sums.at, sums.aim, sums.aim.cut
    return LeadInAnswer(
        reachable=cut is not None,
        infeed_mm=cut.infeed if cut else None,
        pose=GivenPose(
            tool_axis=_three(at.pose.u),
            feed=_three(at.pose.f),
            tip=_three(at.pose.tip),
            depth=None if at.pose.d is None else _three(at.pose.d),
        ),
        tip_at_touch_off=_three(at.tip_at_touch_off),
        touch_off=_touch_off(at),
        lead_length_mm=Pair(plus=cut.leads.plus, minus=cut.leads.minus) if cut else None,
        opens_to_face=_opens(at, cut.infeed) if cut else None,
        end_land_mm=Pair(plus=cut.land_plus, minus=cut.land_minus) if cut else None,
        end_land_finished_mm=cut.land_finished if cut else None,
        full_face_mm=sums.full_face,
        saturation=_short(sums.saturation),
        sensitivity=tuple(map(sensitivity, sums.effects)) if sums.effects is not None else None,
        best=None if cut else Best(below=_short(aim.below), above=_short(aim.above)),
        would_reach=(*diameter_says(sums), *map(change, sums.would_reach)),
        constant=sums.constant,
        **more(asked, sums),
        notes=tuple(notes(asked, at, cut)),
        sources=("iso-21771", "own-arithmetic"),
        working=tuple(working(asked, sums)) if asked.working else None,
    )


def aimed(at: LeadIn, target: Target) -> Aim:
    """The target sought in a set-up, and what lies around it when it is not reached."""
    return seeker(target)(at, True)


def _three(v: NDArray[np.float64]) -> tuple[float, float, float]:
    r, t, a = (float(x) + 0.0 for x in v)
    return r, t, a


def _opens(at: LeadIn, infeed: float) -> Opens:
    plus, minus = at.opens_to_the_face(infeed)
    return Opens(plus=plus, minus=minus)


def _touch_off(at: LeadIn) -> GivenTouchOff:
    touch = at.touch

    def later(contact: Contact) -> Alternative:
        return Alternative(
            point=_three(contact.point), surface=contact.surface, later_mm=max(contact.s - touch.first.s, 0.0)
        )

    return GivenTouchOff(
        point=_three(touch.first.point),
        surface=touch.first.surface,
        shift_per_mm_of_corner_lost=touch.shift,
        grazing=touch.grazing,
        alternatives=tuple(map(later, touch.others)),
    )


def _short(cut: Cut | None) -> Saturation | None:
    if cut is None:
        return None
    return Saturation(
        infeed_mm=cut.infeed,
        lead_length_mm=Pair(plus=cut.leads.plus, minus=cut.leads.minus),
        end_land_finished_mm=cut.land_finished,
    )


LEAD_IN = Operation(
    name="lead_in",
    purpose=N_("How far to feed for a lead-in, where the cutter touches first, and what is left of the teeth."),
    asked=LeadInRequest,
    answered=LeadInAnswer,
    do=lead_in,
    came_from={
        "z": Came("ring.teeth"),
        "m_n": Came("ring.module_mm", "mm"),
        "alpha_n": Came("ring.pressure_angle_deg", "deg"),
        "beta": Came("ring.helix_angle_deg", "deg"),
        "x": Came("ring.profile_shift"),
        "h_a": Came("ring.addendum_coef"),
        "h_f": Came("ring.dedendum_coef"),
        "rho_f": Came("ring.root_radius_coef"),
        "s_n": Came("ring.thickness_allowance_mm", "mm"),
        "allowance": Came("ring.thickness_allowance_mm", "mm"),
        "d_a": Came("ring.tip_diameter_mm", "mm"),
        "d_f": Came("ring.root_diameter_mm", "mm"),
        "b": Came("ring.face_width_mm", "mm"),
        **CUTTER_CAME,
        "u": Came("pose.tool_axis"),
        "f": Came("pose.feed"),
        "d": Came("pose.depth"),
        "tip": Came("pose.tip"),
        "work_at": Came("pose.work_at"),
    },
)
