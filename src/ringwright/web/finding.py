"""Find out: what gear is it? Readings go in one at a time; the odds and the reading to take next come out."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request, Response

from ringwright import reckon
from ringwright.job.document import FindOut, JobDocument, Reading
from ringwright.reckon import answers, asking, phrases
from ringwright.reckon.base import Problems
from ringwright.web import mating as pair
from ringwright.web import odds as drawn
from ringwright.web import readings as read
from ringwright.web import ring
from ringwright.web.desk import job_of, keep, store_of, tooth_asked
from ringwright.web.forms import Sent, Typed, given, length_mm, shown_again_by, whole
from ringwright.web.pages import Choice, Line, frame, go, in_hundred, number, render, signed, unit_of
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/find-out")

phrases.learn(
    "no_such_candidate",
    N_("That ring is not among the ones that fit the readings any more."),
    N_("One of the rings shown."),
    N_("Look at the list again and take one."),
)


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """One reading as typed, and what the likeliest ring makes of it."""

    words: str
    typed: str
    unit: str
    remark: str
    index: int


@dataclass(frozen=True, slots=True)
class CandidateLine:
    """One ring that fits, with its odds and why."""

    index: int
    label: str
    odds: str
    names: str
    why: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class FindPage:
    """What gear is it?"""

    ring: ring.Views | None
    headline: str
    odds: str
    beneath: str
    teeth: int | None
    teeth_sure: bool
    kind: str
    readings: tuple[ReadingLine, ...]
    candidates: tuple[CandidateLine, ...]
    drawn: drawn.Odds | None
    other: str
    at_reading: bool
    next_reading: str
    next_how: str
    next_what: str
    next_extra: str
    whats: tuple[Choice, ...]
    extras: str
    settled_lines: tuple[Line, ...]
    warns: tuple[str, ...]
    notes: tuple[Any, ...]
    cannot: tuple[Any, ...]
    mate: dict[str, Any]
    mate_readings: tuple[ReadingLine, ...]
    origin: dict[str, Any]
    made_in: tuple[Choice, ...]
    sizes: tuple[Choice, ...]
    enters: tuple[Choice, ...]
    loaded: tuple[Choice, ...]
    pair: pair.Mating | None


def candidates(found: FindOut, can_read: list[str] | None = None) -> Any:
    """The answer of `identify`; None while there is nothing to reckon with."""
    if not (found.teeth and found.readings):
        return None
    return answers.answer("identify", asking.identify_of(found, can_read))


def page(request: Request, job_id: str) -> Response:
    """The stage's page."""
    job, version = job_of(request, job_id)
    return render(
        "find_out.html",
        _page(request, job),
        frame(request, _("Find out"), job=job, version=version, section="find_out"),
    )


def _page(request: Request, job: JobDocument) -> FindPage:
    found, unit = job.find_out, unit_of(request)
    can_read = read.can_read(store_of(request).kit()[0])
    cannot: tuple[Any, ...] = ()
    answer = None
    try:
        answer = candidates(found, can_read)
    except Problems as problems:  # kept readings that no ring can have: shown on the page, the readings stay
        cannot = problems.problems
    best = answer.candidates[0] if answer is not None and answer.candidates else None
    following = answer.next_reading if answer is not None else None
    headline, odds, beneath = _said(found, answer, best)
    return FindPage(
        ring=ring.views(job, tooth_asked(request)),
        headline=headline,
        odds=odds,
        beneath=beneath,
        teeth=found.teeth,
        teeth_sure=found.teeth_sure,
        kind=found.kind,
        readings=tuple(_reading(i, r, best) for i, r in enumerate(found.readings)),
        candidates=tuple(
            _candidate(i, c, unit)
            for i, c in enumerate(answer.candidates[:6] if answer is not None else ())
            if i == 0 or c.probability >= 0.005
        ),
        drawn=drawn.odds(found, answer, unit, can_read) if answer is not None else None,
        other=in_hundred(answer.other_probability) if answer is not None else "",
        at_reading=request.query_params.get("put") == "yes",
        next_reading=_(read.WHATS.get(following.what, following.what)) if following is not None else "",
        next_how=following.how if following is not None else "",
        next_what=following.what if following is not None else "span",
        next_extra=_extra(following),
        whats=tuple(Choice(name, word) for name, word in read.kinds(found.kind).items()),
        extras=json.dumps(read.further()),
        settled_lines=_settled(found.ring, unit),
        warns=_warns(answer),
        notes=answer.notes if answer is not None else (),
        cannot=cannot,
        mate_readings=tuple(_reading(i, r, None) for i, r in enumerate(found.mate_readings)),
        origin=found.origin or {},
        made_in=tuple(Choice(name, _(word)) for name, word in read.MADE_IN.items()),
        sizes=tuple(Choice(name, _(word)) for name, word in read.SIZES.items()),
        mate=found.mate or {},
        enters=(
            Choice("thrown", _("thrown in along its shaft, at rest")),
            Choice("thrown_turning", _("thrown in, turning")),
            Choice("slid", _("slid in at rest")),
            Choice("always", _("always in mesh")),
        ),
        loaded=tuple(Choice(name, _(word)) for name, word in pair.FLANKS.items()),
        pair=pair.mating(found, unit),
    )


#: notes that are said beside the odds, not under them
_LOUD = frozenset(
    {
        "tip_above_standard",
        "thicker_than_standard",
        "deeper_than_standard",
        "module_for_pitch",
        "rack_against_first",
        "counts_disagree",
        "none_fits",
    }
)


def _warns(answer: Any) -> tuple[str, ...]:
    """A reading that looks bad, contradictions, and what would settle a tie."""
    if answer is None:
        return ()
    suspect = (answer.suspect.says,) if answer.suspect is not None else ()
    loud = tuple(note.text for note in answer.notes if note.code in _LOUD)
    return (*suspect, *loud, *((answer.settles,) if answer.settles else ()))


def _extra(following: Any) -> str:
    """The figure that the next reading needs besides: teeth spanned, pin or tongue height."""
    if following is None:
        return ""
    told = (following.span_teeth, following.over_teeth, following.pin_diameter_mm, following.height_mm)
    return next((number(float(x), 3) for x in told if x is not None), "")


def _said(found: FindOut, answer: Any, best: Any) -> tuple[str, str, str]:
    """What stands in the middle of the ring."""
    if found.ring is not None:
        odds = in_hundred(found.ring_probability) if found.ring_probability is not None else ""
        return found.ring_label or _("Settled"), odds, _("Settled. Everything after this stands on it.")
    if found.teeth is None:
        return _("How many teeth?"), "", _("Count them twice, in tens, with a mark at each ten.")
    if best is None:
        return _("{n} teeth", n=found.teeth), "", _("Take a reading: the depth of a tooth, or a span over several.")
    rest = _("Another ring: {odds}.", odds=in_hundred(1 - best.probability))
    if len(best.names) > 1:
        differ = ", ".join(_differing(best))
        return (
            _short(best, bool(differ)),
            in_hundred(best.probability),
            _("Not told apart yet: {differ}.", differ=differ) + " " + rest,
        )
    return _short(best, False), in_hundred(best.probability), rest


#: a system's word before its size
_SYSTEMS = {
    "module": N_("Module {size}"),
    "diametral_pitch": N_("{size} DP"),
    "circular_pitch": N_("Circular pitch {size}"),
}


def _short(best: Any, tied: bool) -> str:
    """The ring in few words: its pitch, and its pressure angle when the readings tell it."""
    pitch = _(_SYSTEMS.get(best.system, "{size}"), size=best.size)
    return pitch if tied else f"{pitch}, {number(best.ring.pressure_angle_deg, 2)}°"


def _differing(best: Any) -> list[str]:
    """What the names of one candidate do not agree in: its own part first, then the others'."""
    own = best.label.split(", ")
    others = [name.split(", ") for name in best.names if name != best.label]
    parts = [part for name in others for part in name if part not in own]
    return list(dict.fromkeys([*(p for p in own if any(p not in name for name in others)), *parts]))


def _reading(index: int, kept: Reading, best: Any) -> ReadingLine:
    asked = kept.asked
    words = read.said(asked)
    remark = ""
    for residual in best.residuals if best is not None else ():
        if residual.reading == index:
            remark = _(
                "{label} wants {predicted}: {difference} {unit} off",
                label=_short(best, len(best.names) > 1),
                predicted=f"{residual.predicted:.3f}",
                difference=signed(residual.difference),
                unit=residual.unit,
            )
    value = asked.get("value")
    bare = not isinstance(value, str)
    return ReadingLine(words, kept.typed or str(value), str(asked.get("unit", "mm")) if bare else "", remark, index)


def _candidate(index: int, found: Any, unit: str) -> CandidateLine:
    lines = tuple(
        Line(
            _("Reading {n}", n=r.reading + 1),
            signed(r.difference),
            r.unit,
            _(
                "wanted {predicted}, {sigmas} times its uncertainty off",
                predicted=f"{r.predicted:.3f}",
                sigmas=f"{abs(r.sigmas):.1f}",
            ),
        )
        for r in found.residuals
    )
    names = ", ".join(_differing(found)) if len(found.names) > 1 else ""
    return CandidateLine(index, found.label, in_hundred(found.probability), names, found.why, lines)


def _settled(settled: dict[str, Any] | None, unit: str) -> tuple[Line, ...]:
    """What the settled ring measures, each figure with its sum."""
    if settled is None:
        return ()
    try:
        gear = answers.answer("gear", {"ring": settled, "working": True})
    except Problems:
        return ()
    return gear_lines(gear, unit)


def gear_lines(gear: Any, unit: str) -> tuple[Line, ...]:
    """The measures of a ring as ledger lines."""
    by_symbol: dict[str, list[Any]] = {}
    for sum_ in gear.working or ():
        by_symbol.setdefault(sum_.symbol, []).append(sum_)

    def line(label: str, mm: float | None, why: str, *symbols: str) -> Line | None:
        if mm is None:
            return None
        found = tuple(s for symbol in symbols for s in by_symbol.get(symbol, ()))
        digits = 3 if unit == "mm" else 4
        return Line(label, f"{mm / (25.4 if unit == 'in' else 1):.{digits}f}", unit, why, found)

    span, pins, chordal = gear.span, gear.pins, gear.chordal
    lines = [
        line(_("Reference diameter"), gear.reference_diameter_mm, "", "d"),
        line(_("Tip diameter"), gear.tip_diameter_mm, "", "d_a"),
        line(_("Root diameter"), gear.root_diameter_mm, "", "d_f"),
        line(_("Base diameter"), gear.base_diameter_mm, "", "d_b"),
        line(_("Whole depth"), gear.whole_depth_mm, _("half of tip less root diameter"), "d_a", "d_f"),
        line(_("Tooth thickness"), gear.tooth_thickness_mm, _("arc on the reference circle"), "s_n", "s"),
        line(_("Base pitch"), gear.base_pitch_mm, _("what one tooth more adds to the span"), "p_bn", "p_b", "p_bt"),
    ]
    if span is not None:
        lines.append(
            line(_("Span over {n} teeth", n=span.teeth), span.length_mm, _("between flat anvils"), "W_k", "d_M")
        )
    if pins is not None:
        size = number(pins.diameter_mm, 3)
        over = getattr(pins, "over_mm", None)
        lines.append(line(_("Over pins of {size} mm", size=size), over, "", "inv α_K", "M_dK"))
        lines.append(
            line(_("Between pins of {size} mm", size=size), getattr(pins, "between_mm", None), "", "inv α_K", "M_dK")
        )
    if chordal is not None:
        lines.append(line(_("Tooth caliper, thickness"), chordal.thickness_mm, "", "s_c"))
        lines.append(line(_("Tooth caliper, height"), chordal.height_mm, "", "d_a", "s_c"))
    return tuple(x for x in lines if x is not None)


# -- acts -------------------------------------------------------------------------------------------------------------


@router.get("")
def find_out(request: Request, job_id: str) -> Response:
    """The stage's page."""
    return page(request, job_id)


@router.post("/count", dependencies=[shown_again_by(page)])
def count(request: Request, job_id: str, form: Sent) -> Response:
    """The number of teeth, how sure, and which way they look."""
    job, _version = job_of(request, job_id)
    kind = "internal" if form["kind"] == "internal" else "external"
    changed = {"teeth": whole(form["teeth"], "teeth", 5, 1000), "teeth_sure": form["teeth_sure"] == "yes", "kind": kind}
    return _keep(request, job, form, **changed)


@router.post("/reading", dependencies=[shown_again_by(page)])
def put_in(request: Request, job_id: str, form: Sent) -> Response:
    """One more reading, kept as typed."""
    job, _version = job_of(request, job_id)
    found, unit = job.find_out, unit_of(request)
    asked = read.asked_of(form, unit, store_of(request).kit()[0])
    reading = Reading(asked=asked, typed=form.text("value")[:60], by=form.text("by")[:60])
    more = found.model_copy(update={"readings": (*found.readings, reading), "teeth": found.teeth or 100})
    reckon.identify(asking.identify_of(more))  # refused here, in the user's words, before it is kept
    _keep(request, job, form, readings=(*found.readings, reading))
    return go(f"/jobs/{job.job_id}/find-out?put=yes#f-value")  # its field has the focus


@router.post("/rack", dependencies=[shown_again_by(page)])
def rack(request: Request, job_id: str, form: Sent) -> Response:
    """A rack or hob that was rolled in the ring: smooth or bumping."""
    job, _version = job_of(request, job_id)
    found = job.find_out
    reading = Reading(asked=read.rack_of(form), typed=_(read.ROLLED[form["rolled"]]), by=form.text("by")[:60])
    more = found.model_copy(update={"readings": (*found.readings, reading), "teeth": found.teeth or 100})
    reckon.identify(asking.identify_of(more))
    return _keep(request, job, form, readings=(*found.readings, reading))


@router.post("/origin", dependencies=[shown_again_by(page)])
def origin(request: Request, job_id: str, form: Sent) -> Response:
    """Where the machine comes from: a weight before the readings, taken off again when nothing is said."""
    job, _version = job_of(request, job_id)
    return _keep(request, job, form, origin=read.origin_of(form))


@router.post("/mate-reading", dependencies=[shown_again_by(page)])
def mate_reading(request: Request, job_id: str, form: Sent) -> Response:
    """A size measured on the mate itself."""
    job, _version = job_of(request, job_id)
    found, unit = job.find_out, unit_of(request)
    asked = read.asked_of(form, unit, store_of(request).kit()[0])
    more = (*found.mate_readings, Reading(asked=asked, typed=form.text("value")[:60], by=form.text("by")[:60]))
    if found.readings and found.teeth:
        reckon.identify(asking.identify_of(found.model_copy(update={"mate_readings": more})))
    return _keep(request, job, form, mate_readings=more)


@router.post("/mate-take-out", dependencies=[shown_again_by(page)])
def mate_take_out(request: Request, job_id: str, form: Sent) -> Response:
    """Take one of the mate's readings out again."""
    job, _version = job_of(request, job_id)
    gone = whole(form["index"], "index", 0, 1000)
    left = tuple(r for i, r in enumerate(job.find_out.mate_readings) if i != gone)
    return _keep(request, job, form, mate_readings=left)


@router.post("/take-out", dependencies=[shown_again_by(page)])
def take_out(request: Request, job_id: str, form: Sent) -> Response:
    """Take one reading out again."""
    job, _version = job_of(request, job_id)
    gone = whole(form["index"], "index", 0, 1000)
    return _keep(request, job, form, readings=tuple(r for i, r in enumerate(job.find_out.readings) if i != gone))


@router.post("/settle", dependencies=[shown_again_by(page)])
def settle(request: Request, job_id: str, form: Sent) -> Response:
    """Take one of the rings that fit; the whole job stands on it."""
    job, _version = job_of(request, job_id)
    answer = candidates(job.find_out)
    fitting = [c for c in (answer.candidates if answer is not None else ()) if c.label == form["label"]]
    if not fitting:
        raise Problems([phrases.problem("no_such_candidate", "label", {})])
    best = fitting[0]
    taken = best.ring.model_dump(mode="json", exclude_none=True)
    if form.text("face"):
        taken["face_width_mm"] = _face(form["face"], unit_of(request))
    return _keep(
        request, job, form, ring=taken, ring_label=_short(best, False)[:120], ring_probability=best.probability
    )


@router.post("/face", dependencies=[shown_again_by(page)])
def face(request: Request, job_id: str, form: Sent) -> Response:
    """The face width of the settled ring."""
    job, _version = job_of(request, job_id)
    settled = {**(job.find_out.ring or {}), "face_width_mm": _face(form["face"], unit_of(request))}
    return _keep(request, job, form, ring=settled if job.find_out.ring else None)


@router.post("/open", dependencies=[shown_again_by(page)])
def open_again(request: Request, job_id: str, form: Sent) -> Response:
    """Not settled after all."""
    job, _version = job_of(request, job_id)
    return _keep(request, job, form, ring=None, ring_label="", ring_probability=None)


@router.post("/mate", dependencies=[shown_again_by(page)])
def mate(request: Request, job_id: str, form: Sent) -> Response:
    """The pinion: its teeth, the land on its ends, how it comes in."""
    job, _version = job_of(request, job_id)
    told = given(
        [
            ("teeth", whole(form["mate_teeth"], "mate_teeth", 5, 1000) if form.text("mate_teeth") else None),
            ("end_land_mm", length_mm(form["mate_land"], unit_of(request), "mate_land")),
            ("centre_distance_mm", length_mm(form["mate_centres"], unit_of(request), "mate_centres")),
            ("bevel_mm", length_mm(form["mate_bevel"], unit_of(request), "mate_bevel")),
            ("throw_mm", length_mm(form["mate_throw"], unit_of(request), "mate_throw")),
            ("loaded_flank", form["loaded_flank"] if form["loaded_flank"] in ("plus", "minus", "both") else None),
            ("enters", form["enters"] if form["enters"] in pair.HOW else None),
        ]
    )
    asked = pair.mesh_of(job.find_out.model_copy(update={"mate": told}))
    if asked is not None:
        reckon.mesh(asked)  # refused here, in the user's words, before it is kept
    return _keep(request, job, form, mate=told)


def _face(text: str, unit: str) -> float | None:
    return length_mm(text, unit, "face")


def _keep(request: Request, job: JobDocument, form: Typed, **changed: Any) -> Response:
    whole_stage = {name: getattr(job.find_out, name) for name in FindOut.model_fields}
    keep(request, job, form.seen_version, find_out=FindOut.model_validate({**whole_stage, **changed}))
    return go(f"/jobs/{job.job_id}/find-out")
