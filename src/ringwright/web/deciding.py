"""Decide: save it? How? The ways side by side, each with strength left, hours, price, risk and what could hurt."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from fastapi import APIRouter, Request, Response

from ringwright import reckon
from ringwright.job.document import Decide, JobDocument
from ringwright.reckon import answers, asking, phrases
from ringwright.reckon.base import Problems
from ringwright.web import ring
from ringwright.web.desk import job_of, keep, store_of
from ringwright.web.forms import Sent, Typed, given, length_mm, number_or_text, shown_again_by, whole_or_text
from ringwright.web.mapping import choices
from ringwright.web.pages import Choice, Line, frame, go, number, render, sums, unit_of
from ringwright.words import N_, _, ngettext_

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/decide")

phrases.learn(
    "way_closed",
    N_("This way is not open for this ring."),
    N_("One of the open ways."),
    N_("Read what closes it; take another, or put right what closes it."),
)

SEATS: dict[str, str] = {
    "": N_("not known yet"),
    "any": N_("any way round"),
    "step": N_("by steps of some teeth"),
    "bolts": N_("by its bolt holes"),
    "no": N_("one way only"),
}
MATERIALS: dict[str, str] = {
    "unknown": N_("not known"),
    "steel": N_("steel"),
    "cast_steel": N_("cast steel"),
    "cast_iron": N_("cast iron"),
}
WELDABLE: dict[str, str] = {"unknown": N_("not known"), "yes": N_("yes, tried or analysed"), "no": N_("no")}


@dataclass(frozen=True, slots=True)
class WayLine:
    """One way to save the ring."""

    name: str
    title: str
    open: bool
    taken: bool
    lines: tuple[Line, ...]
    closed_by: tuple[Any, ...]
    needs: tuple[Any, ...]
    risks: tuple[Any, ...]
    cautions: tuple[Any, ...]
    why: str
    preheat: str


@dataclass(frozen=True, slots=True)
class DecidePage:
    """Save it? How?"""

    ring: ring.Views | None
    headline: str
    beneath: tuple[str, ...]
    says: str
    who_decides: str
    look_first: bool
    open_ways: tuple[WayLine, ...]
    closed_ways: tuple[WayLine, ...]
    unknowns: tuple[Any, ...]
    notes: tuple[Any, ...]
    cannot: tuple[Any, ...]
    asked: dict[str, Any]
    seat: str
    seat_count: str
    seats: tuple[Choice, ...]
    materials: tuple[Choice, ...]
    weldables: tuple[Choice, ...]
    rates_shown: str


def asked_of(request: Request, job: JobDocument) -> dict[str, Any] | None:
    """What `ways_to_save` is asked for this job; None while the ring is not settled."""
    if job.find_out.ring is None:
        return None
    kit, _version = store_of(request).kit()
    return asking.ways_to_save_of(job, kit)


def page(request: Request, job_id: str) -> Response:
    """The stage's page."""
    job, version = job_of(request, job_id)
    shown = _page(request, job)
    return render("decide.html", shown, frame(request, _("Decide"), job=job, version=version, section="decide"))


def _page(request: Request, job: JobDocument) -> DecidePage:
    asked, answer = asked_of(request, job), None
    cannot: tuple[Any, ...] = ()
    if asked is not None:
        try:
            answer = answers.answer("ways_to_save", {**asked, "working": True})
        except Problems as problems:  # the map and the ring do not go together: said on the page
            cannot = problems.problems
    ways = tuple(_way(w, answer, job) for w in answer.ways) if answer is not None else ()
    taken = next((w for w in ways if w.name == job.decide.taken), None)
    headline, beneath = _said(answer, taken, ways, asked is None)
    kept = job.decide.asked
    seat = kept.get("seat") or {}
    rates = store_of(request).kit()[0].rates
    return DecidePage(
        ring=ring.views(job),
        headline=headline,
        beneath=beneath,
        says=answer.says if answer is not None else "",
        who_decides=(answer.who_decides or "") if answer is not None else "",
        look_first=bool(answer is not None and answer.look_first),
        open_ways=tuple(w for w in ways if w.open),
        closed_ways=tuple(w for w in ways if not w.open),
        unknowns=answer.unknowns if answer is not None else (),
        notes=answer.notes if answer is not None else (),
        cannot=cannot,
        asked=kept,
        seat=str(seat.get("turns", "")),
        seat_count=str(seat.get("step_teeth") or seat.get("bolt_holes") or ""),
        seats=choices(SEATS),
        materials=choices(MATERIALS),
        weldables=choices(WELDABLE),
        rates_shown=f"{number(rates.hour, 2)} {rates.currency}",
    )


def _said(answer: Any, taken: WayLine | None, ways: tuple[WayLine, ...], early: bool) -> tuple[str, tuple[str, ...]]:
    """What stands in the middle of the ring."""
    if early:
        return _("Not yet"), (_("Settle the ring first, under Find out."),)
    if answer is None:
        return _("No answer"), (_("The map and the ring do not go together."),)
    hurt = ngettext_("{n} tooth to work on", "{n} teeth to work on", answer.damaged_teeth)
    if answer.who_decides:
        return _("Not ours to say"), (hurt,)
    if taken is not None:
        return taken.title, (_("Taken."), hurt)
    if answer.look_first:
        return _("Look first"), (hurt,)
    best = next((w for w in ways if w.name == answer.best), None)
    return (best.title if best is not None else _("No open way")), (answer.says, hurt)


def _way(way: Any, answer: Any, job: JobDocument) -> WayLine:
    hundred = _("in 100")
    lines: list[Line] = []
    strength = way.strength_at_stops or way.strength
    if strength is not None:
        label = (
            _("Strength left where it stops") if way.strength_at_stops is not None else _("Strength left, worst tooth")
        )
        shown = _("{low} to {high}", low=round(100 * strength.low), high=round(100 * strength.high))
        lines.append(Line(label, shown, hundred, _("sound tooth = 100"), _sums(answer, way, "strength")))
    elif way.look_first:
        lines.append(
            Line(_("Strength left"), _("look first"), "", _("a crack, or cracks not looked for, gives no figure"))
        )
    p50, p80 = number(way.hours.p50, 1), number(way.hours.p80, 1)
    lines.append(Line(_("Hours"), p50, _("P50"), _("{h} at P80", h=p80), _sums(answer, way, "hours")))
    if way.price is not None:
        worse = _("{p} {currency} at P80", p=number(way.price.p80, 0), currency=answer.currency)
        lines.append(Line(_("Price"), number(way.price.p50, 0), answer.currency, worse, _sums(answer, way, "price")))
    if way.weeks is not None:
        lines.append(Line(_("Waiting"), number(way.weeks, 1), _("weeks")))
    if way.chance_of_butting is not None:
        before, after = (round(100 * x) for x in (way.chance_of_butting.before, way.chance_of_butting.after))
        lines.append(
            Line(_("Chance of butting on entry"), f"{before} → {after}", hundred, "", _sums(answer, way, "butting"))
        )
    if way.turn_teeth is not None:
        turn = Fraction(way.turn_teeth)
        word = _("Turned back by") if turn < 0 else _("Turned on by")
        lines.append(Line(word, number(float(abs(turn)), 1), _("teeth"), _("exactly {k} teeth", k=abs(turn))))
    if way.teeth_touched:
        lines.append(Line(_("Teeth touched"), str(way.teeth_touched)))
    return WayLine(
        name=way.way,
        title=way.title,
        open=way.open,
        taken=way.way == job.decide.taken,
        lines=tuple(lines),
        closed_by=way.closed_by,
        needs=way.needs,
        risks=way.risks,
        cautions=way.cautions,
        why=way.why_ranked,
        preheat=way.preheat.says if way.preheat is not None else "",
    )


_SUMS = {
    "strength": ("strength", "Y", "left"),
    "hours": ("hour", "time"),
    "price": ("price", "cost"),
    "butting": ("butt",),
}


def _sums(answer: Any, way: Any, what: str) -> tuple[Any, ...]:
    """The lines of working that speak of this figure of this way; those of no way in particular are shared."""
    wanted = _SUMS[what]
    lines = [line for line in sums(answer) if any(w in line.name.lower() or w == line.symbol for w in wanted)]
    own = [line for line in lines if way.title.lower() in line.name.lower()]
    return tuple(own or [line for line in lines if not any(w.title.lower() in line.name.lower() for w in answer.ways)])


# -- acts -------------------------------------------------------------------------------------------------------------


@router.get("")
def decide(request: Request, job_id: str) -> Response:
    """The stage's page."""
    return page(request, job_id)


@router.post("/asked", dependencies=[shown_again_by(page)])
def asked(request: Request, job_id: str, form: Sent) -> Response:
    """What the ways depend on besides ring and map: the seat, the ends, a new ring, the steel."""
    job, _version = job_of(request, job_id)
    unit = unit_of(request)
    turns = form["seat"]
    seat = None
    if turns in ("any", "step", "bolts", "no"):
        count = whole_or_text(form["seat_count"]) if form.text("seat_count") else None
        field = {"step": "step_teeth", "bolts": "bolt_holes"}.get(turns)
        seat = given([("turns", turns), (field or "turns", count if field else turns)])
    lead = given(
        [
            ("lead_length_mm", length_mm(form["lead_mm"], unit, "lead_mm")),
            ("end_land_finished_mm", length_mm(form["land_mm"], unit, "land_mm")),
        ]
    )
    price = given(
        [
            ("price", number_or_text(form["new_price"]) if form.text("new_price") else None),
            ("weeks", number_or_text(form["new_weeks"]) if form.text("new_weeks") else None),
        ]
    )
    told = given(
        [
            ("seat", seat),
            ("end_land_mm", length_mm(form["end_land_mm"], unit, "end_land_mm")),
            ("lead", lead or None),
            ("new_ring", price or None),
            ("material", form["material"] if form["material"] in MATERIALS else None),
            ("weldable", form["weldable"] if form["weldable"] in WELDABLE else None),
        ]
    )
    kept = {k: v for k, v in job.decide.asked.items() if k not in _ASKED_HERE}
    trial = job.model_copy(update={"decide": job.decide.model_copy(update={"asked": {**kept, **told}})})
    request_then = asked_of(request, trial)
    if request_then is not None:
        reckon.ways_to_save(request_then)  # refused here, in the user's words, before it is kept
    return _keep(request, job, form, asked={**kept, **told})


_ASKED_HERE = ("seat", "end_land_mm", "lead", "new_ring", "material", "weldable")


@router.post("/take", dependencies=[shown_again_by(page)])
def take(request: Request, job_id: str, form: Sent) -> Response:
    """Take one of the open ways, with the reason."""
    job, _version = job_of(request, job_id)
    request_now = asked_of(request, job)
    answer = reckon.ways_to_save(request_now) if request_now is not None else None
    way = next((w for w in (answer.ways if answer is not None else ()) if w.way == form["way"] and w.open), None)
    if way is None:
        raise Problems([phrases.problem("way_closed", "way", {})])
    turn = str(way.turn_teeth or "")
    turned = round(Fraction(turn)) if turn else None
    return _keep(request, job, form, taken=way.way, reclock_by_teeth=turned, why=form.text("why")[:400])


@router.post("/open", dependencies=[shown_again_by(page)])
def open_again(request: Request, job_id: str, form: Sent) -> Response:
    """Not decided after all."""
    job, _version = job_of(request, job_id)
    return _keep(request, job, form, taken=None, reclock_by_teeth=None)


def _keep(request: Request, job: JobDocument, form: Typed, **changed: Any) -> Response:
    stage = {name: getattr(job.decide, name) for name in Decide.model_fields}
    keep(request, job, form.seen_version, decide=Decide.model_validate({**stage, **changed}))
    return go(f"/jobs/{job.job_id}/decide")
