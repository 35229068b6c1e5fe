"""The ring beside the plate: devices that cannot take it, and whether to follow its teeth or the plate."""

from __future__ import annotations

from collections.abc import Iterator

from ringwright.dividing.follow import (
    Followed,
    Round,
    among_old_teeth,
    from_pitches,
    of_stretch,
    on_own_teeth,
    roundness,
)
from ringwright.dividing.taking import WhyNot, why_not
from ringwright.errors import Refusal
from ringwright.reckon import phrases
from ringwright.reckon.base import Note
from ringwright.reckon.indexing_models import (
    AtTooth,
    CannotTake,
    DivideAsked,
    Following,
    JointOf,
    MeasuredRing,
    RealRing,
)
from ringwright.words import N_, _

phrases.learn(
    "pitch_chain_broken",
    N_("The pitches do not follow one another without a gap."),
    N_("Pitches of neighbouring teeth in one chain, or all of them."),
    N_("Measure what is missing, or give positions."),
)
phrases.learn(
    "run_out_too_few",
    N_("These readings of run-out do not tell off centre from oval."),
    N_("Five teeth at least, spread round the ring."),
    N_("Read a few more places."),
)
phrases.learn(
    "no_sound_tooth",
    N_("None of the sound teeth was measured."),
    N_("At least one tooth that is both sound and measured."),
    N_("Measure a sound tooth, better several spread round the ring."),
)
phrases.learn(
    "tooth_not_measured",
    N_("Tooth {value} was not measured, and it is needed here."),
    N_("Every tooth that is worked on, or every old tooth beside new ones."),
    N_("Measure that tooth too."),
)
phrases.learn(
    "read_twice",
    N_("Tooth {value} is given twice."),
    N_("{low} to {high}, each once."),
    N_("Leave one reading."),
)

#: Air between ring and machine table, as in the fit check (common practice) [mm].
CLEARANCE = 10.0


def cannot_take(asked: DivideAsked) -> Iterator[tuple[int, CannotTake]]:
    """Devices that cannot take the ring, with their place in the list and why."""
    for at, device in enumerate(asked.shelf):
        why = why_not(device.room(), asked.outside_diameter_mm, asked.mass_kg, asked.set_up, CLEARANCE)
        if why is not None:
            name = device.name or _("device {n}", n=at + 1)
            unit = {"swing": "mm", "load": "kg"}.get(why.code, "")
            yield (
                at,
                CannotTake(device=name, code=why.code, have=why.have, need=why.need, unit=unit, why=_why(why)),
            )


def _why(why: WhyNot) -> str:
    if why.code == "swing":
        return _(
            "The ring does not swing: centre height {have:.0f} mm, {need:.0f} wanted with air. Raise the device by "
            "{short:.0f} mm, or lay the ring flat on another.",
            have=why.have,
            need=why.need,
            short=(why.need or 0) - (why.have or 0),
        )
    if why.code == "load":
        return _(
            "Too heavy: it carries {have:.0f} kg, and ring with fixture weigh {need:.0f}.", have=why.have, need=why.need
        )
    if why.code == "does_not_lie":
        return _("It cannot hold the ring lying flat.")
    return _("It cannot hold the ring standing upright.")


def real_ring(asked: DivideAsked) -> tuple[RealRing, list[Note]] | None:
    """What the measured ring says to follow; None when nothing was measured."""
    if asked.measured is None:
        return None
    N, measured = asked.divisions, asked.measured
    E, closing, round_ = _positions(N, measured)
    cut = sorted(asked.teeth) if asked.teeth is not None else list(range(1, N + 1))
    new = asked.work in (None, "flank")
    sound = _each_on_ring(N, measured.sound, "sound") if measured.sound else [k for k in E if not new or k not in cut]
    followed = among_old_teeth(N, E, sound, cut) if new else on_own_teeth(E, sound, cut)
    return _answer(asked, followed, closing, round_, new), list(_ring_notes(measured, closing, new))


def _each_on_ring(N: int, teeth: tuple[int, ...], symbol: str) -> list[int]:
    for i, tooth in enumerate(teeth):
        if tooth > N or tooth in teeth[:i]:
            raise Refusal("read_twice" if tooth <= N else "no_such_tooth", symbol, tooth, 1, N, at=(i,))
    return list(teeth)


def _readings(N: int, readings: tuple[AtTooth, ...], symbol: str) -> dict[int, float]:
    _each_on_ring(N, tuple(r.tooth for r in readings), symbol)
    return {r.tooth: r.um for r in readings}


def _positions(N: int, of: MeasuredRing) -> tuple[dict[int, float], float | None, Round | None]:
    round_, by_shape = None, dict.fromkeys(range(1, N + 1), 0.0)
    if of.run_out_um is not None:
        round_, by_shape = roundness(N, _readings(N, of.run_out_um, "run_out"))
    if of.position_um is not None:
        return _readings(N, of.position_um, "position"), None, round_
    if of.pitch_um is not None:
        E, closing = from_pitches(N, _readings(N, of.pitch_um, "pitch"))
        return E, closing, round_
    if of.stretch is not None:
        first, last = of.stretch.from_tooth, of.stretch.to_tooth
        _each_on_ring(N, (first, last), "stretch")
        shrunk = of_stretch(N, first, last, of.stretch.shrunk_um)
        by_shape = {k: by_shape[k] + shrunk[k] for k in by_shape}
    return by_shape, None, round_


def _answer(asked: DivideAsked, followed: Followed, closing: float | None, round_: Round | None, new: bool) -> RealRing:
    allowed = asked.allowed_um
    by_plate = followed.plate_pitch if new else followed.off or 0.0
    by_teeth = followed.teeth_pitch if new else 0.0
    plate_serves = by_plate <= allowed or by_plate <= by_teeth
    return RealRing(
        follow="plate" if plate_serves else "teeth",
        why=_follow_words(by_plate, by_teeth, allowed, new),
        set_plate_by_um=followed.phase,
        plate=Following(
            off_tooth_um=followed.off, worst_pitch_um=by_plate if new else None, within_tolerance=by_plate <= allowed
        ),
        teeth=Following(
            off_tooth_um=None if new else 0.0,
            worst_pitch_um=by_teeth if new else None,
            within_tolerance=by_teeth <= allowed,
        ),
        seam_um=followed.seam if new else None,
        joints=tuple(JointOf(tooth=j.tooth, next=j.next, plate_um=j.plate, teeth_um=j.teeth) for j in followed.joints),
        centre_off_um=round_.off_centre if round_ else None,
        centre_high_tooth=round_.off_centre_tooth if round_ else None,
        oval_um=round_.oval if round_ else None,
        oval_high_tooth=round_.oval_tooth if round_ else None,
        closing_um=closing,
    )


def _follow_words(plate: float, teeth: float, allowed: float, new: bool) -> str:
    said = {"plate": plate, "teeth": teeth, "allowed": allowed}
    if new and plate <= allowed:
        return _("By the plate: no joint is out by more than {plate:.0f} µm, {allowed:.0f} allowed.", **said)
    if new and plate <= teeth:
        return _("By the plate: {plate:.0f} µm at a joint; shared out it would be {teeth:.0f}, no better.", **said)
    if new:
        return _(
            "By the teeth: the plate leaves {plate:.0f} µm at a joint, {allowed:.0f} allowed. Shared out between the "
            "old neighbours no pitch is out by more than {teeth:.0f}.",
            **said,
        )
    if plate <= allowed:
        return _("By the plate: no tooth is further off it than {plate:.0f} µm, {allowed:.0f} allowed.", **said)
    return _(
        "By the teeth: some tooth stands {plate:.0f} µm off the plate, {allowed:.0f} allowed. Pick up each space by "
        "both flanks, or by a detent in a sound one.",
        **said,
    )


def _ring_notes(of: MeasuredRing, closing: float | None, new: bool) -> Iterator[Note]:
    if closing is not None:
        text = _("The pitches miss closing by {um:.0f} µm, the gauge's own bias; it is shared out evenly.", um=closing)
        yield Note(code="pitches_closed", text=text)
    if of.sound is None:
        text = _("Sound teeth not named: all measured ones that stay set the plate's place.")
        yield Note(code="default_sound", text=text)
    if of.run_out_um is not None:
        text = _("Off centre goes away with clocking; oval does not. Both move teeth along the circle as well.")
        yield Note(code="centre_first", text=text)
        if of.pitch_um is not None or of.position_um is not None:
            text = _("Positions are those measured; run-out is shown beside and not added to them.")
            yield Note(code="run_out_beside", text=text)
    if new:
        text = _("Pitch errors of new teeth only; what plate, worm or detent are out comes on top.")
    else:
        text = _("How far the cut stands from its own tooth; what plate, worm or detent are out comes on top.")
    yield Note(code="ring_alone", text=text)
