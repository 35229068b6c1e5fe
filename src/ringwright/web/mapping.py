"""Map: what is wrong, where? Teeth are marked by touch, drag or key; hardness, stretches and stops beside them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, get_args

from fastapi import APIRouter, Request, Response

from ringwright.job.document import Condition, End, Flank, Hardness, JobDocument, Map, Mark, Stretch
from ringwright.reckon import answers, asking, phrases
from ringwright.reckon.base import Problems
from ringwright.web import mapfile, measured, ring
from ringwright.web.desk import job_of, keep, tooth_asked
from ringwright.web.forms import Sent, Typed, length_mm, number_or_text, shown_again_by, whole
from ringwright.web.pages import Choice, Line, frame, go, length, number, render, unit_of
from ringwright.words import N_, _, ngettext_

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/map")

phrases.learn(
    "teeth_not_counted",
    N_("The teeth are not counted yet."),
    N_("A count of 5 to 1000."),
    N_("Count them first, under Find out."),
)

CONDITIONS: dict[str, str] = {
    "worn": N_("worn"),
    "chewed": N_("chewed end"),
    "chipped": N_("chipped"),
    "cracked": N_("cracked"),
    "missing": N_("gone"),
    "weld": N_("old weld"),
}
ENDS: dict[str, str] = {"entry": N_("entry end"), "whole": N_("whole face"), "far": N_("far end")}
FLANKS: dict[str, str] = {"both": N_("both flanks"), "plus": N_("clockwise flank"), "minus": N_("other flank")}
LOOKED: dict[str, str] = {
    "no": N_("not looked for"),
    "eye": N_("by eye"),
    "dye": N_("with dye"),
    "magnetic": N_("with magnet"),
}
PLACES: dict[str, str] = {
    "flank": N_("flank"),
    "tip": N_("tip"),
    "root": N_("root"),
    "rim": N_("rim"),
    "end": N_("end face"),
}
KINDS: dict[str, str] = {"hard": N_("hard"), "soft": N_("soft"), "weld": N_("weld")}
_NEXT = (*CONDITIONS, "sound")


@dataclass(frozen=True, slots=True)
class MapPage:
    """What is wrong, where?"""

    ring: ring.Views | None
    headline: str
    beneath: tuple[str, ...]
    tooth: int
    last: int
    teeth: int
    tooth_lines: tuple[Line, ...]
    round_lines: tuple[Line, ...]
    hardness: tuple[tuple[int, str], ...]
    stretches: tuple[tuple[int, str], ...]
    stops: tuple[int, ...]
    stops_here: bool
    conditions: tuple[Choice, ...]
    ends: tuple[Choice, ...]
    flanks: tuple[Choice, ...]
    places: tuple[Choice, ...]
    kinds: tuple[Choice, ...]
    looked: tuple[Choice, ...]
    end: str
    flank: str
    measured: measured.MeasuredShown
    figures: tuple[Choice, ...]
    can_undo: bool


def choices(words: dict[str, str]) -> tuple[Choice, ...]:
    """A dictionary of values and words, to choose from."""
    return tuple(Choice(value, _(word)) for value, word in words.items())


def page(request: Request, job_id: str) -> Response:
    """The stage's page; ?tooth=83 puts the scriber there, &to=86 makes it a stretch."""
    job, version = job_of(request, job_id)
    return render(
        "map.html", _page(request, job, version), frame(request, _("Map"), job=job, version=version, section="map")
    )


def teeth_of(job: JobDocument) -> int | None:
    """The number of teeth as settled, else as counted."""
    found = job.find_out
    return int(found.ring["teeth"]) if found.ring else found.teeth


def _page(request: Request, job: JobDocument, version: int) -> MapPage:
    teeth, of, query = teeth_of(job) or 0, job.map, request.query_params
    typed = getattr(request.state, "typed", {})
    asked = typed.get("first", "")
    tooth = tooth_asked(request) or (int(asked) if asked.isdecimal() and len(asked) < 5 else 1)
    tooth = min(max(tooth, 1), max(teeth, 1))
    to = query.get("to", "")
    last = int(to) if to.isdecimal() and len(to) < 5 and 1 <= int(to) <= teeth else tooth
    hurt = {m.tooth for m in of.marks}
    mine = [m for m in of.marks if m.tooth == tooth]
    unit = unit_of(request)
    return MapPage(
        ring=ring.views(job, tooth),
        headline=_("{hurt} of {teeth}", hurt=len(hurt), teeth=teeth) if teeth else _("Count first"),
        beneath=tuple(_beneath(job, teeth)),
        tooth=tooth,
        last=last,
        teeth=teeth,
        tooth_lines=(*(_mark_line(m, unit) for m in mine), *_hardness_lines(of, tooth)),
        round_lines=_round(of),
        hardness=tuple((i, _hardness_words(h)) for i, h in enumerate(of.hardness)),
        stretches=tuple((i, _stretch_words(s)) for i, s in enumerate(of.stretches)),
        stops=of.stops_at,
        stops_here=tooth in of.stops_at,
        conditions=choices({**CONDITIONS, "sound": N_("sound")}),
        ends=choices(ENDS),
        flanks=choices(FLANKS),
        places=choices(PLACES),
        kinds=choices(KINDS),
        looked=choices(LOOKED),
        end=query.get("end", "entry"),
        flank=query.get("flank", "both"),
        measured=measured.shown(job, unit),
        figures=choices(measured.FIGURE_WORDS),
        can_undo=(job.job_id, version) in _undo(request),
    )


def _beneath(job: JobDocument, teeth: int) -> Iterable[str]:
    of = job.map
    if not of.marks:
        yield _("Nothing marked yet. Touch a tooth, or drag along the ring.")
        return
    yield _("teeth are hurt")
    if of.stops_at:
        yield _("It stops at {teeth}.", teeth=_and(of.stops_at))
        pattern = _pattern(job, teeth)
        if pattern is not None:
            yield pattern.says


def _pattern(job: JobDocument, teeth: int) -> Any:
    """What the damage round the ring says of its cause; None when it cannot be reckoned yet."""
    request = {
        "teeth": teeth,
        "marks": asking.marks_of(job.map),
        "stops_at": list(job.map.stops_at),
        "seat": {"turns": "no"},
    }
    try:
        return answers.answer("reclock", request).pattern
    except Problems:
        return None


def _and(teeth: Iterable[int]) -> str:
    *most, last = [str(n) for n in teeth]
    return _("{some} and at {last}", some=", ".join(most), last=last) if most else last


def _mark_line(mark: Mark, unit: str) -> Line:
    where = [_(ENDS[mark.end]), _(FLANKS[mark.flank])]
    left = [mark.thickness_tip_mm, mark.thickness_mm, mark.thickness_root_mm]
    why = ", ".join(where)
    if any(x is not None for x in left):
        why += "; " + _("thickness left, tip, pitch line, root: {left}", left=" / ".join(length(x, unit) for x in left))
    if mark.remark:
        why += "; " + mark.remark
    amount = length(mark.amount_mm, unit) if mark.amount_mm is not None else _("seen")
    return Line(_(CONDITIONS[mark.condition]), amount, unit if mark.amount_mm is not None else "", why)


def _hardness_lines(of: Map, tooth: int) -> Iterable[Line]:
    return (
        Line(_("Hardness, {place}", place=_(PLACES[h.place])), number(h.value, 1), h.scale, h.method)
        for h in of.hardness
        if h.tooth == tooth
    )


def _hardness_words(h: Hardness) -> str:
    return _(
        "tooth {tooth}, {place}: {value} {scale}",
        tooth=h.tooth,
        place=_(PLACES[h.place]),
        value=number(h.value, 1),
        scale=h.scale,
    )


def _stretch_words(s: Stretch) -> str:
    return _("{kind} from {first} to {last}", kind=_(KINDS[s.kind]), first=s.first, last=s.last)


def _round(of: Map) -> tuple[Line, ...]:
    per: Counter[str] = Counter(c for c, _tooth in {(m.condition, m.tooth) for m in of.marks})
    lines = [Line(_(word), str(per[name])) for name, word in CONDITIONS.items() if per[name]]
    if of.hardness:
        known = len({h.tooth for h in of.hardness})
        lines.append(Line(_("Hardness known at"), str(known), ngettext_("tooth", "teeth", known)))
    return tuple(lines)


# -- acts -------------------------------------------------------------------------------------------------------------


def _undo(request: Request) -> dict[tuple[str, int], tuple[Map, ...]]:
    """Maps as they stood before, latest last, for this run of the program: (job, version now) -> maps."""
    kept: dict[tuple[str, int], tuple[Map, ...]] = request.app.state.undo
    return kept


def _keep(request: Request, job: JobDocument, form: Typed, at: str, **changed: Any) -> Response:
    stage = {name: getattr(job.map, name) for name in Map.model_fields}
    seen = form.seen_version
    keep(request, job, seen, map=Map.model_validate({**stage, **changed}))
    kept = _undo(request)
    kept[job.job_id, seen + 1] = (*kept.pop((job.job_id, seen), ())[-99:], job.map)
    while len(kept) > 20:
        del kept[next(iter(kept))]
    return go(f"/jobs/{job.job_id}/map?{at}")


def _stretch_asked(job: JobDocument, form: Typed) -> tuple[int, int, int]:
    teeth = teeth_of(job)
    if teeth is None:
        raise Problems([phrases.problem("teeth_not_counted", "", {})])
    first = whole(form["first"], "first", 1, teeth)
    last = whole(form["last"], "last", 1, teeth) if form.text("last") else first
    return teeth, first, last


def _at(form: Typed, first: int) -> str:
    end = form["end"] if form["end"] in get_args(End) else "entry"
    flank = form["flank"] if form["flank"] in get_args(Flank) else "both"
    return f"tooth={first}&end={end}&flank={flank}"


@router.get("")
def the_map(request: Request, job_id: str) -> Response:
    """The stage's page."""
    return page(request, job_id)


@router.post("/mark", dependencies=[shown_again_by(page)])
def mark(request: Request, job_id: str, form: Sent) -> Response:
    """Mark one tooth or a stretch; "sound" takes its marks off, "next" goes on to the condition after the present."""
    job, _version = job_of(request, job_id)
    teeth, first, last = _stretch_asked(job, form)
    unit = unit_of(request)
    condition = form["condition"]
    if condition == "next":
        now = [m.condition for m in job.map.marks if m.tooth == first]
        condition = _NEXT[(_NEXT.index(now[-1]) + 1) % len(_NEXT)] if now else _NEXT[0]
    end = form["end"] if form["end"] in get_args(End) else "entry"
    flank = form["flank"] if form["flank"] in get_args(Flank) else "both"
    if condition in ("missing", "weld"):
        end, flank = "whole", "both"
    told = [(first - 1 + k) % teeth + 1 for k in range((last - first) % teeth + 1)]
    marks = [
        m for m in job.map.marks if m.tooth not in told or not _replaced(m, condition, end, flank, form["condition"])
    ]
    if condition in get_args(Condition):
        sizes = {
            name: length_mm(form[name], unit, name)
            for name in ("amount_mm", "thickness_mm", "thickness_tip_mm", "thickness_root_mm")
        }
        record = {"condition": condition, "end": end, "flank": flank, "remark": form.text("remark")[:200], **sizes}
        marks += [Mark.model_validate({"tooth": n, **record}) for n in told]
    marks.sort(key=lambda m: m.tooth)
    return _keep(request, job, form, _at(form, first), marks=tuple(marks))


def _replaced(m: Mark, condition: str, end: str, flank: str, pressed: str) -> bool:
    """Whether a mark that stands goes when this one comes."""
    if pressed == "next" or condition in ("sound", "missing") or m.condition == "missing":
        return True
    return (m.condition, m.end, m.flank) == (condition, end, flank)


@router.post("/undo", dependencies=[shown_again_by(page)])
def undo(request: Request, job_id: str, form: Sent) -> Response:
    """Take the last change back."""
    job, version = job_of(request, job_id)
    at = _at(form, whole(form["first"], "first", 1, 1000))
    before = _undo(request).get((job_id, version), ())
    if before and form.seen_version == version:
        keep(request, job, version, map=before[-1])
        del _undo(request)[job_id, version]
        if before[:-1]:
            _undo(request)[job_id, version + 1] = before[:-1]
    return go(f"/jobs/{job_id}/map?{at}")


@router.post("/stop", dependencies=[shown_again_by(page)])
def stop(request: Request, job_id: str, form: Sent) -> Response:
    """It always stops here; or it does not after all."""
    job, _version = job_of(request, job_id)
    _teeth, first, _last = _stretch_asked(job, form)
    standing = set(job.map.stops_at) ^ {first}
    return _keep(request, job, form, _at(form, first), stops_at=tuple(sorted(standing)))


@router.post("/hardness", dependencies=[shown_again_by(page)])
def hardness(request: Request, job_id: str, form: Sent) -> Response:
    """One hardness reading, in the scale it was read."""
    job, _version = job_of(request, job_id)
    _teeth, first, _last = _stretch_asked(job, form)
    value = number_or_text(form["value"])
    if not isinstance(value, float) or not 0 < value <= 2000:
        raise Problems([phrases.problem("not_a_number", "value", {"value": form.text("value")[:40]})])
    scale = form["scale"] if form["scale"] in ("HB", "HRC", "HV", "HLD") else "HB"
    place = form["place"] if form["place"] in PLACES else "flank"
    reading = {"tooth": first, "value": value, "scale": scale, "place": place, "method": form.text("method")[:60]}
    readings = (*job.map.hardness, Hardness.model_validate(reading))
    return _keep(request, job, form, _at(form, first), hardness=readings)


@router.post("/stretch", dependencies=[shown_again_by(page)])
def stretch(request: Request, job_id: str, form: Sent) -> Response:
    """Mark a run of teeth as hard, soft or weld."""
    job, _version = job_of(request, job_id)
    _teeth, first, last = _stretch_asked(job, form)
    kind = form["kind"] if form["kind"] in KINDS else "hard"
    run = Stretch.model_validate({"first": first, "last": last, "kind": kind, "remark": form.text("remark")[:200]})
    return _keep(request, job, form, _at(form, first), stretches=(*job.map.stretches, run))


@router.post("/take-off", dependencies=[shown_again_by(page)])
def take_off(request: Request, job_id: str, form: Sent) -> Response:
    """Take a hardness reading or a stretch off the map."""
    job, _version = job_of(request, job_id)
    index = whole(form["index"], "index", 0, 10_000)
    at = _at(form, whole(form["first"], "first", 1, 1000))
    if form["list"] == "hardness":
        return _keep(request, job, form, at, hardness=tuple(h for i, h in enumerate(job.map.hardness) if i != index))
    return _keep(request, job, form, at, stretches=tuple(s for i, s in enumerate(job.map.stretches) if i != index))


@router.post("/round", dependencies=[shown_again_by(page)])
def gone_round(request: Request, job_id: str, form: Sent) -> Response:
    """Where counting starts, whether cracks were looked for, whether every tooth was looked at."""
    job, _version = job_of(request, job_id)
    looked = form["cracks_looked_for"] if form["cracks_looked_for"] in LOOKED else "no"
    return _keep(
        request,
        job,
        form,
        _at(form, 1),
        tooth_one=form.text("tooth_one")[:120],
        looking_at=form.text("looking_at")[:120],
        cracks_looked_for=looked,
        gone_round=form["gone_round"] == "yes",
    )


@router.get("/marks.csv")
def marks_out(request: Request, job_id: str) -> Response:
    """The map as CSV."""
    job, _version = job_of(request, job_id)
    name = f"map-{job.number or job.job_id}.csv".encode("ascii", "ignore").decode().replace('"', "")
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(mapfile.written(job.map), media_type="text/csv; charset=utf-8", headers=headers)


@router.post("/csv", dependencies=[shown_again_by(page)])
def marks_in(request: Request, job_id: str, form: Sent) -> Response:
    """Take in a CSV: all of it, or nothing with every fault and its line."""
    job, _version = job_of(request, job_id)
    teeth = teeth_of(job)
    if teeth is None:
        raise Problems([phrases.problem("teeth_not_counted", "", {})])
    marks, readings = mapfile.read(form["csv"], teeth)
    return _keep(request, job, form, "tooth=1", marks=marks, hardness=readings)
