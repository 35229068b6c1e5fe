"""What a lead-in answer says besides lead and land: turns of the handwheel, bevels, touch-offs, ways of turning."""

from __future__ import annotations

from collections.abc import Iterable
from math import degrees, isfinite
from typing import Any

from ringwright.cutting.lead_in import Cut
from ringwright.cutting.nod_setting import TRAM_SWING, TRAM_WITHIN, nod_setting, tram_error
from ringwright.cutting.touching import Datum
from ringwright.cutting.turning import FlankCut
from ringwright.job.kit import Axis
from ringwright.reckon.leading_answer import (
    BetterTouch,
    Bevels,
    Copied,
    FlankTurning,
    HeadSetting,
    Pair,
    PartGap,
    Pass,
    Solved,
    Turning,
    WornTooth,
)
from ringwright.reckon.leading_models import AskedAxis, LeadInRequest
from ringwright.reckon.leading_targets import head_radians, locked_axis
from ringwright.reckon.leading_words import Sums
from ringwright.reckon.round_words import head_says, infeed_words
from ringwright.words import N_, _

#: Push below this share of the cut's motion is called none; lengths below this count as nothing [mm].
_NO_PUSH, _NOTHING = 0.05, 0.005


def more(asked: LeadInRequest, sums: Sums) -> dict[str, Any]:
    """The further fields of the answer."""
    cut, side = sums.aim.cut, sums.beside
    found: dict[str, Any] = {
        "head_setting": tuple(_head(asked, sums)),
        "tram_back": _tram(asked),
        "solved": _solved(asked, sums),
    }
    if cut is None or side is None:
        return found
    return {
        **found,
        "turned": turned(asked, cut.infeed),
        "bevel": Bevels(tip_mm=_pair(side.tip), root_mm=_pair(side.root)),
        "sharp_edge_mm": Pair(plus=side.sharp_plus, minus=side.sharp_minus),
        "root_nick_mm": side.nick,
        "neighbour_cut_mm": side.neighbour,
        "neighbour_removed_mm3": sums.beyond,
        "removed_mm3": sums.removed[-1],
        "passes": tuple(_passes(asked, sums)),
        "better_touch_off": tuple(_better(asked, d) for d in sums.datums),
        "behind": tuple(_behind(sums)),
        "worn_teeth": tuple(_worn(asked, sums, cut)),
        "turning": _turning(asked, sums),
        "hand_finish": tuple(_hand_finish(sums, cut)),
        "copied": _copied(asked, cut),
    }


def diameter_says(sums: Sums) -> Iterable[str]:
    """Where the infeed does not change the land: what does."""
    if sums.constant != "land":
        return
    if sums.diameter is None:
        yield _("The infeed does not change the land here, and no diameter of this cutter leaves it.")
    else:
        d = f"{sums.diameter:.3f}"
        yield _("The infeed does not change the land here: the cutter's diameter sets it. {d} mm leaves it.", d=d)


def turned(asked: LeadInRequest, mm: float) -> str | None:
    """An infeed as it is turned on the axis of the request, None without one."""
    if asked.axis is None:
        return None
    motion = asked.pose.depth_by or (None if asked.pose.depth is not None else asked.pose.feed_by) or ""
    return on_axis(asked.axis, mm, motion)


def on_axis(axis: AskedAxis, mm: float, motion: str) -> str:
    """A way as it is turned on an axis; ``motion`` is the slide of POSE, or "" where the axis says its own sense."""
    per_turn = axis.mm_per_turn or 1.0
    kept = Axis(
        name="knee",
        travel_mm=1.0,
        readout=axis.readout,
        readout_step_mm=axis.readout_step_mm,
        mm_per_turn=per_turn,
        mm_per_division=per_turn / (axis.divisions or 100),
    )
    said = infeed_words(kept, mm, motion)
    return said if motion or not axis.sense else f"{said}, {axis.sense}"


def _pair(both: Any) -> Pair:
    return Pair(plus=both.plus, minus=both.minus)


def _passes(asked: LeadInRequest, sums: Sums) -> Iterable[Pass]:
    before = 0.0
    for infeed, metal in zip(sums.passes, sums.removed, strict=True):
        yield Pass(infeed_mm=infeed, removed_mm3=metal - before, turned=turned(asked, infeed))
        before = metal


_ON = {
    ("end_face", True): N_("Touch the end face: from there on {offset} mm to the first contact, {infeed} mm in all."),
    ("end_face", False): N_("Touch the end face: the cutter's place is {offset} mm from there, {way}."),
    ("tip", True): N_("Touch a sound tip: from there on {offset} mm to the first contact, {infeed} mm in all."),
    ("tip", False): N_("Touch a sound tip: the cutter's place is {offset} mm from there, {way}."),
    ("root", True): N_("Touch the root: from there on {offset} mm to the first contact, {infeed} mm in all."),
    ("root", False): N_("Touch the root: the cutter's place is {offset} mm from there, {way}."),
}


def _better(asked: LeadInRequest, d: Datum) -> BetterTouch:
    way = _("away from the metal") if d.offset >= 0 else _("into the metal")
    shown = d.offset if d.sets_infeed else abs(d.offset)
    infeed = "" if d.infeed is None else f"{d.infeed:.3f}"
    says = _(_ON[d.on, d.sets_infeed], offset=f"{shown:.3f}", infeed=infeed, way=way)
    if asked.gauge_mm:
        says += " " + _("The {g:g} mm gauge lies between and is reckoned in.", g=asked.gauge_mm)
    return BetterTouch(
        on=d.on,
        sets="infeed" if d.sets_infeed else "place",
        gauge_mm=asked.gauge_mm,
        offset_mm=d.offset,
        infeed_mm=d.infeed,
        turned=None if d.infeed is None or d.infeed < 0 else turned(asked, d.infeed),
        says=says,
    )


def _behind(sums: Sums) -> Iterable[PartGap]:
    for gap in sums.gaps:
        if isfinite(gap.gap):
            r, t, a = (float(x) + 0.0 for x in gap.point)
            strikes = None if gap.strikes_at is None else gap.strikes_at - sums.at.zero
            yield PartGap(part=gap.part, gap_mm=gap.gap, point=(r, t, a), strikes_at_mm=strikes)


def _worn(asked: LeadInRequest, sums: Sums, cut: Cut) -> Iterable[WornTooth]:
    starts = dict(sums.worn)
    for lost in asked.lost:
        start = starts[lost.model_copy(update={"tooth": 1})]
        air = start is None or start >= cut.infeed
        says = ""
        if start is not None and start < -_NOTHING:
            says = _(
                "Tooth {tooth} is met {mm} mm before the zero of a sound one: come up to it gently, the first pass is "
                "heavier.",
                tooth=lost.tooth,
                mm=f"{-start:.2f}",
            )
        elif air:
            says = _("Tooth {tooth} will cut air: dress or build it up first, or leave it.", tooth=lost.tooth)
        yield WornTooth(tooth=lost.tooth, corner_mm=lost.corner_mm, starts_at_mm=start, cuts_air=air, says=says)


def _flank(cut: FlankCut | None) -> FlankTurning | None:
    return None if cut is None else FlankTurning(cuts=cut.sense, burr=cut.burr)


def _turning(asked: LeadInRequest, sums: Sums) -> Turning | None:
    found = sums.turning
    if found is None:
        return None
    push = "none" if abs(found.push) < _NO_PUSH else "clockwise" if found.push > 0 else "anticlockwise"
    if sums.pushed in ("clockwise", "anticlockwise"):
        push = sums.pushed
    seats = None if sums.pushed in (None, "both") else push == asked.worm_seats
    return Turning(
        hand_of_cutter=asked.hand_of_cutter,
        plus=_flank(found.plus),
        minus=_flank(found.minus),
        push=push,
        push_share=found.push,
        pushed_by_chips=sums.pushed,
        seats_worm=seats,
        says=tuple(_turning_says(asked, sums, push, seats)),
    )


def _turning_says(asked: LeadInRequest, sums: Sums, push: str, seats: bool | None) -> Iterable[str]:
    if asked.hand_of_cutter == "right":
        yield _("Spindle clockwise, seen from the spindle down onto the work, for a right-hand cutter.")
    else:
        yield _("Spindle anticlockwise, seen from the spindle down onto the work, for a left-hand cutter.")
    yield from _senses(sums)
    if sums.pushed == "both":
        yield _("The chips push the ring now one way, now the other: the worm rattles in its backlash, lock the table.")
    elif push != "none":
        way = _("clockwise") if push == "clockwise" else _("anticlockwise")
        if sums.pushed is None:
            yield _("The edges drag the ring {way}, seen on the entry face; the chips may still push it back.", way=way)
        else:
            yield _("The cut pushes the ring {way}, seen on the entry face.", way=way)
    if seats:
        yield _("That push seats the worm: it holds the ring on the worm's flank. Lock the table all the same.")
    if asked.worm_seats is None and push != "none":
        yield _("It is not said which push seats the worm: trust the lock alone.")
    if seats is False:
        yield _("That push unseats the worm: the lock alone holds it. Take it up the other way round, or lock twice.")
    yield from _burrs(sums)
    yield _("Lock every slide that does not feed, the quill and the head; snug the gib of the one that does.")


_SENSES = {
    "climb": N_("Tooth {side} of the space: it climbs there and pulls itself in: take up the play, feed gently."),
    "conventional": N_("Tooth {side} of the space: it cuts conventional there."),
    "across": N_("Tooth {side} of the space: it cuts neither clearly against nor with the feed there."),
}


def _senses(sums: Sums) -> Iterable[str]:
    """Climb or conventional in words, from the edges that are on each flank at the end of the cut."""
    found = sums.turning
    if found is None:
        return
    for name, flank in ((_("clockwise"), found.plus), (_("anticlockwise"), found.minus)):
        if flank is not None:
            yield _(_SENSES[flank.sense], side=name)


_BURRS = {
    "entry_face": N_("Burr at the entry face."),
    "flank": N_("Burr at the inner end of the cut, on the flank."),
    "tip": N_("Burr over the tip."),
    "root": N_("Burr in the root."),
}


def _burrs(sums: Sums) -> Iterable[str]:
    found = sums.turning
    if found is None:
        return
    for name, flank in ((_("clockwise"), found.plus), (_("anticlockwise"), found.minus)):
        if flank is not None and flank.burr:
            yield _("Tooth {side} of the space: {burrs}", side=name, burrs=" ".join(_(_BURRS[b]) for b in flank.burr))


def _head(asked: LeadInRequest, sums: Sums) -> Iterable[HeadSetting]:
    pose = asked.pose
    if sums.solved is not None and asked.solve_for in ("nod_deg", "tilt_deg"):
        pose = pose.model_copy(update={asked.solve_for: sums.solved.value})
    angles = head_radians(pose)
    for name, angle in angles.items():
        if abs(angle) > 1.05:
            continue
        first = name == "tilt" and len(angles) > 1
        s = nod_setting(angle, asked.indicator_travel_mm)
        yield HeadSetting(
            angle=name,
            angle_deg=degrees(angle),
            travel_mm=s.travel,
            indicator_mm=s.indicator,
            per_tenth_degree_mm=s.per_tenth,
            first=first,
            says=head_says(name, s.travel, s.indicator, s.per_tenth, first, "mm"),
        )


def _tram(asked: LeadInRequest) -> str:
    if not head_radians(asked.pose):
        return ""
    return _(
        "Afterwards tram the head back: swing an indicator of {swing:g} mm over the table, front to back and side to "
        "side within {within:g} mm ({angle:.4f} degrees).",
        swing=TRAM_SWING,
        within=TRAM_WITHIN,
        angle=degrees(tram_error(TRAM_WITHIN)),
    )


def _hand_finish(sums: Sums, cut: Cut) -> Iterable[str]:
    side = sums.beside
    assert side is not None  # more() asked
    for name, sharp in (("+t", side.sharp_plus), ("-t", side.sharp_minus)):
        if sharp > _NOTHING:
            mm = f"{sharp:.1f}"
            yield _("Tooth at {side}: {mm} mm of the flank's edge stays sharp: break it by hand.", side=name, mm=mm)
    if cut.land_finished > _NOTHING:
        yield _("The edges between land and cut are new and sharp: draw a file over them.")
    if side.nick > _NOTHING:
        mm = f"{side.nick:.2f}"
        yield _("The cutter goes {mm} mm below the root: blend the nick, it is where a crack begins.", mm=mm)
    if side.neighbour > _NOTHING:
        yield _(
            "A flank of another space is cut {mm} mm deep and loses {metal} mm3: a smaller cutter, or less infeed.",
            mm=f"{side.neighbour:.2f}",
            metal=f"{sums.beyond:.1f}",
        )


def _copied(asked: LeadInRequest, cut: Cut) -> Copied | None:
    read = asked.target.given
    if read is None:
        return None
    lead, land = read.lead_length_mm, read.end_land_finished_mm
    return Copied(
        lead_off_mm=None if lead is None else cut.leads.least - lead,
        land_off_mm=None if land is None else cut.land_finished - land,
    )


def _solved(asked: LeadInRequest, sums: Sums) -> Solved | None:
    if asked.solve_for == "infeed":
        return None
    unit = "" if asked.solve_for == "cutter" else "deg" if asked.solve_for.endswith("_deg") else "mm"
    found = sums.solved
    if found is None:
        says = (
            _("No cutter of the kit reaches it.") if asked.solve_for == "cutter" else _("No value near it does both.")
        )
        return Solved(unknown=asked.solve_for, value=None, unit=unit, infeed_mm=None, says=says)
    value: float | str = found.value
    if sums.cutter is not None:
        value = sums.cutter.name or f"{sums.cutter.kind} {sums.cutter.diameter_mm:g} mm"
    shown = value if isinstance(value, str) else f"{value:.3f} {unit}"
    names = {
        "cutter": N_("Cutter: {value}."),
        "nod_deg": N_("Nod the head to {value}."),
        "tilt_deg": N_("Tilt the head to {value}."),
        "tip_offset_t": N_("Stand the cutter at t = {value}."),
        "locked_position_mm": N_("Lock the cutter's place at r = {value}.")
        if locked_axis(sums.at.pose) == 0
        else N_("Lock the cutter's place at a = {value}."),
    }
    says = _(names[asked.solve_for], value=shown)
    return Solved(unknown=asked.solve_for, value=value, unit=unit, infeed_mm=found.cut.infeed, says=says)
