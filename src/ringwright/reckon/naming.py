"""What gear is it? Readings of a worn ring in the shop's units, ranked rings out."""

from __future__ import annotations

from math import cos, degrees
from typing import Any, Literal

from ringwright import identify as core
from ringwright.errors import Refusal
from ringwright.reckon.base import Came, Operation
from ringwright.reckon.naming_models import (
    UNMEASURED,
    CandidateShown,
    IdentifyAnswered,
    IdentifyAsked,
    MateAsked,
    MateFound,
    NextShown,
    ResidualShown,
    RingFound,
    Suspect,
    Telling,
)
from ringwright.reckon.naming_notes import Told, notes_of
from ringwright.reckon.naming_words import how_to, label_of, settling, suspicion, why, working_of
from ringwright.words import N_


def identify(asked: IdentifyAsked) -> IdentifyAnswered:
    """Rank the rings and say what to read next."""
    told = _told(asked)
    ranked = core.identify(
        told.s,
        asked.teeth,
        told.readings,
        z_sure=asked.teeth_sure is not False,
        prior=told.prior,
        segments=told.segments,
        tried=told.tried,
        mate=told.mate,
    )
    can_read = None if asked.can_read is None else frozenset(asked.can_read)
    coming = core.next_reading(ranked, can_read)
    return IdentifyAnswered(
        candidates=tuple(_shown(asked, told, c) for c in ranked.candidates),
        other_probability=ranked.other_probability,
        next_reading=None if coming is None else _next(coming),
        suspect=_suspect(told, ranked),
        settles=settling(ranked, coming, can_read),
        notes=notes_of(asked, told, ranked),
        sources=("iso-21771", "iso-54", "tooth-proportions", "common-practice"),
        working=working_of(told.readings, ranked) if asked.working else None,
    )


def _told(asked: IdentifyAsked) -> Told:
    """The request in core terms."""
    places = tuple(n for n, r in enumerate(asked.readings) if r.what not in UNMEASURED)
    pieces = [r for r in asked.readings if r.what == "segment_teeth"]
    origin = None if asked.origin is None else asked.origin.as_core()
    return Told(
        s=1 if asked.kind == "external" else -1,
        readings=tuple(asked.readings[n].as_core() for n in places),
        places=places,
        tried=tuple(r.rack.as_core(r.worn) for r in asked.readings if r.rack is not None),
        segments=core.Segments(pieces[0].segments or 1, int(pieces[0].value)) if pieces and pieces[0].value else None,
        mate=None if asked.mate is None else _mate(asked.mate),
        prior=asked.prior.as_core(origin) if asked.prior else core.Prior(origin=origin),
    )


def _mate(asked: MateAsked) -> core.Mate:
    mate = core.Mate(-1 if asked.kind == "internal" else 1, asked.teeth, tuple(r.as_core() for r in asked.readings))
    try:
        core.check(mate.readings, mate.s, mate.z)
    except Refusal as refused:  # the same refusals, at the mate's own fields
        at = (refused.at, refused.facts)
        raise Refusal(
            refused.code, f"mate.{refused.symbol}", refused.value, refused.low, refused.high, at=at[0], facts=at[1]
        ) from None
    return mate


def _pitch_of(name: core.Named) -> dict[str, Any]:
    """The pitch as the system counts it, in the normal plane."""
    c = cos(name.beta) if name.transverse else 1.0
    system = core.SYSTEMS[name.system]
    if system == "module":
        return {"module_mm": name.pitch * c}
    if system == "circular_pitch":
        return {"circular_pitch_mm": name.pitch * c}
    return {"diametral_pitch": name.pitch / c}


def _shown(asked: IdentifyAsked, told: Told, c: core.Candidate) -> CandidateShown:
    first = c.names[0]
    system = core.SYSTEMS[first.system]
    ring = RingFound(
        kind=asked.kind,
        teeth=first.z,
        **_pitch_of(first),
        pressure_angle_deg=round(degrees(first.alpha), 9),
        helix_angle_deg=round(degrees(first.beta), 9),
        hand=asked.hand if first.beta else None,
        profile_shift=c.x,
        addendum_coef=first.ha,
        dedendum_coef=first.hf,
    )
    return CandidateShown(
        label=label_of(first),
        system=system,
        size=first.size,
        ring=ring,
        probability=c.probability,
        names=tuple(label_of(n) for n in c.names[:40]),
        tied_with=c.tied_with,
        residuals=_residuals(told.readings, told.places, c.residuals),
        why=why(told.readings, told.s, c, told.tried, told.mate),
        suspect=told.places[c.bad[0]] if c.bad else None,
        plane="transverse" if first.transverse else "normal",
        mate=_mate_found(told.mate, c),
    )


def _residuals(
    readings: tuple[core.Reading, ...], places: tuple[int, ...], found: tuple[core.Residual, ...]
) -> tuple[ResidualShown, ...]:
    shown = []
    for n, reading, r in zip(places, readings, found, strict=True):
        predicted, difference = (degrees(v) if reading.is_angle else v for v in (r.predicted, r.difference))
        unit: Literal["mm", "deg"] = "deg" if reading.is_angle else "mm"
        shown.append(ResidualShown(reading=n, predicted=predicted, difference=difference, unit=unit, sigmas=r.sigmas))
    return tuple(shown)


def _mate_found(mate: core.Mate | None, c: core.Candidate) -> MateFound | None:
    if mate is None:
        return None
    residuals = _residuals(mate.readings, tuple(range(len(mate.readings))), c.mate_residuals)
    return MateFound(profile_shift=c.mate_x, residuals=residuals, suspect=c.mate_bad[0] if c.mate_bad else None)


def _suspect(told: Told, ranked: core.Ranked) -> Suspect | None:
    """The reading most likely bad, if that is more likely than not."""
    on_mate = max(ranked.mate_bad, default=0.0) > max(ranked.bad, default=0.0)
    chances = ranked.mate_bad if on_mate else ranked.bad
    n = max(range(len(chances)), key=chances.__getitem__)
    if chances[n] <= 0.5:
        return None
    reading = told.mate.readings[n] if on_mate and told.mate else told.readings[n]
    place = n if on_mate else told.places[n]
    says = suspicion(reading, place, on_mate, chances[n])
    return Suspect(on="mate" if on_mate else "ring", reading=place, chance=chances[n], says=says)


def _next(coming: core.Next) -> NextShown:
    reading = coming.reading
    k, D_M, h = reading.k, reading.D_M, reading.h
    return NextShown(
        what=reading.what,
        how=how_to(reading),
        span_teeth=k or None,
        pin_diameter_mm=D_M or None,
        height_mm=h or None,
        over_teeth=reading.n or None,
        worth_bits=coming.bits,
        tells_apart=tuple(
            Telling(candidate=n, name=label_of(b.name), predicted_mm=mean, spread_mm=sd)
            for n, b, mean, sd in coming.tells
        ),
    )


IDENTIFY = Operation(
    name="identify",
    purpose=N_("What gear is it? Readings of a worn ring to ranked rings, and the reading to take next"),
    asked=IdentifyAsked,
    answered=IdentifyAnswered,
    do=identify,
    came_from={
        "z": Came("teeth"),
        "what": Came("readings[{0}].what"),
        "k": Came("readings[{0}].span_teeth"),
        "z_mate": Came("readings[{0}].mate_teeth"),
        "n": Came("readings[{0}].over_teeth"),
        "prior": Came("prior"),
        "mate.z": Came("mate.teeth"),
        "mate.what": Came("mate.readings[{0}].what"),
        "mate.k": Came("mate.readings[{0}].span_teeth"),
        "mate.n": Came("mate.readings[{0}].over_teeth"),
        "mate.readings": Came("mate.readings"),
        "readings": Came("readings"),
    },
)
