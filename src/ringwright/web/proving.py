"""Prove: is it right? What was looked at and measured after the cut, against its tolerance; and the hand-over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, get_args

from fastapi import APIRouter, Request, Response

from ringwright.job.document import Check, JobDocument, Prove
from ringwright.paper.hand_over_words import RoundCut, cautions_back, teeth_words
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.web import ring
from ringwright.web.desk import job_of, keep, store_of, tooth_asked
from ringwright.web.forms import Sent, Typed, length_mm, number_or_text, shown_again_by, whole
from ringwright.web.hand_back import (
    LOOKS,
    PLACES,
    WHATS,
    back_steps,
    check_words,
    duty_words,
    rounds_cut,
    superseded,
    why_not_signed,
)
from ringwright.web.pages import Choice, Line, frame, go, length, number, render, unit_of
from ringwright.web.samples import NEAR, SPREAD, Aim, Wanted, aim_at, aims, verdict_of, wanted
from ringwright.words import N_, _, ngettext_

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/prove")

for _code, _what, _allowed, _do in (
    ("name_missing", N_("Nobody signs yet."), N_("A name."), N_("Put the name of who stands for it in.")),
    (
        "what_missing",
        N_("It is not said what was looked at."),
        N_("One of the checks on this page."),
        N_("Choose what it was first."),
    ),
    (
        "verdict_missing",
        N_("Nobody has said whether it passed."),
        N_("Passed, did not pass, or to be judged later."),
        N_("Say which. Nothing is taken as passed by itself."),
    ),
    ("value_missing", N_("There is no reading."), N_("A number."), N_("Put in what the instrument said.")),
    (
        "by_missing",
        N_("It is not said who looked or measured."),
        N_("A name or a mark."),
        N_("Put it in: the paper says who stands for each line."),
    ),
):
    phrases.learn(_code, _what, _allowed, _do)

_SAID = {"yes": True, "no": False, "later": None}
#: letters under "not warranted", as the document keeps them
_MOST_WORDS = 600
_SCALES = ("HB", "HRC", "HV")


@dataclass(frozen=True, slots=True)
class CheckLine:
    """One check, with its verdict in a word."""

    index: int
    words: str
    value: str
    unit: str
    verdict: str
    why: str
    open: bool
    against: bool
    said: bool
    measures: str
    remark: str


@dataclass(frozen=True, slots=True)
class WantedLine:
    """What is still to be looked at, with its places."""

    what: str
    words: str
    said: str
    teeth: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class CheckForm:
    """The form for one check; ``looked`` has no reading, ``aimed`` has its figure from the plan."""

    what: str
    words: str
    tooth: str
    looked: bool
    unit: str
    scales: tuple[str, ...]
    aim: str


@dataclass(frozen=True, slots=True)
class RoundLine:
    """What the log says about one round."""

    title: str
    count: str
    state: str
    open: tuple[str, ...]
    sheet: str


@dataclass(frozen=True, slots=True)
class ProvePage:
    """Is it right?"""

    ring: ring.Views | None
    headline: str
    beneath: tuple[str, ...]
    rounds: tuple[RoundLine, ...]
    aims: tuple[Line, ...]
    wanted: tuple[WantedLine, ...]
    once: tuple[Choice, ...]
    practice: str
    checks: tuple[CheckLine, ...]
    whats: tuple[Choice, ...]
    form: CheckForm | None
    at: int | None
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    papers: tuple[tuple[str, str], ...]


def page(request: Request, job_id: str) -> Response:
    """The stage's page; ?what=lead&tooth=17 opens the form for that check."""
    job, version = job_of(request, job_id)
    unit = unit_of(request)
    cut = rounds_cut(store_of(request), job_id)
    found = aims(job)
    left = wanted(job, cut)
    typed = getattr(request.state, "typed", {})
    at = tooth_asked(request) or _typed_tooth(typed)
    what = typed.get("what") or request.query_params.get("what", "")
    headline, beneath = _said(job, sum(len(w.open) or 1 for w in left))
    shown = ProvePage(
        ring=ring.views(job, at, frozenset(t for one in cut for t in one.done)),
        headline=headline,
        beneath=beneath,
        rounds=tuple(_round(one) for one in cut),
        aims=tuple(_aim_lines(found, unit)),
        wanted=tuple(
            WantedLine(w.what, _(WHATS[w.what]), _("{n} of {of} still wanted", n=len(w.open), of=w.of), w.open)
            for w in left
            if w.open
        ),
        once=tuple(Choice(w.what, _(WHATS[w.what])) for w in left if not w.open),
        practice=_(
            "{n} teeth evenly round the ring and the middle of each hard or welded stretch; {places} places on the "
            "machine and each stop. A reading up to {near} teeth away in the same zone counts. "
            "Common practice, no source.",
            n=SPREAD,
            places=PLACES,
            near=NEAR,
        ),
        checks=tuple(_line(job.prove.checks, i, unit) for i in range(len(job.prove.checks))),
        whats=tuple(Choice(value, _(word), value == what) for value, word in WHATS.items()),
        form=_form(what, at, found, unit) if what in WHATS else None,
        at=at,
        steps=back_steps(job),
        cautions=(*duty_words(job), *cautions_back()),
        papers=tuple(_papers(job)),
    )
    return render("prove.html", shown, frame(request, _("Prove"), job=job, version=version, section="prove"))


def _said(job: JobDocument, left: int) -> tuple[str, tuple[str, ...]]:
    checks = job.prove.checks
    against = sum(c.passed is False and not superseded(checks, i) for i, c in enumerate(checks))
    unjudged = sum(c.passed is None for c in checks)
    if job.prove.signed_by:
        return _("Signed"), (_("{name}, {day}", name=job.prove.signed_by, day=job.prove.signed_on),)
    if against:
        return ngettext_("{n} against", "{n} against", against), (_("did not pass; see the lines"),)
    if not any(c.passed for c in checks):
        return _("Nothing proved"), (_("Put in what you looked at and measured."),)
    if unjudged or left:
        beneath = []
        if unjudged:
            beneath.append(ngettext_("{n} line not judged", "{n} lines not judged", unjudged))
        if left:
            beneath.append(ngettext_("{n} place still wanted", "{n} places still wanted", left))
        return _("Not yet"), tuple(beneath)
    return _("All passed"), (_("Ready to be signed."),)


def _typed_tooth(typed: Mapping[str, str]) -> int | None:
    tooth = typed.get("tooth", "").strip()
    return int(tooth) if tooth.isdecimal() and len(tooth) < 5 else None


def _left_words(left: Wanted) -> str:
    teeth = _(" at {teeth}", teeth=teeth_words(left.open)) if left.open else ""
    return _(WHATS[left.what]) + teeth


def _round(one: RoundCut) -> RoundLine:
    parts = []
    for teeth, words in (
        (one.skipped, N_("Passed over")),
        (one.trouble, N_("Trouble")),
        (one.untouched, N_("Not cut")),
    ):
        without = tuple(t for t in teeth if not one.reasons.get(t))
        said = {one.reasons[t] for t in teeth if one.reasons.get(t)}
        if teeth:
            why = "; ".join(sorted(said)) if said else _("no reason given")
            if said and without:
                why += "; " + _("no reason given for {teeth}", teeth=teeth_words(without))
            parts.append(f"{_(words)}: {teeth_words(teeth)} ({why})")
    if one.state.contested:
        parts.append(_("Two stations disagree about {teeth}", teeth=teeth_words(one.state.contested)))
    if any(not slip.settled for slip in one.state.slips):
        parts.append(_("A witness did not agree and none has agreed since"))
    return RoundLine(
        title=one.sheet.title,
        count=f"{len(one.done)} / {len(one.sheet.rows)}",
        state=_("closed and finished") if one.state.phase == "finished" else _("not finished at the machine"),
        open=tuple(parts),
        sheet=_("revision {n}, sheet {digest}", n=one.sheet.revision, digest=one.sheet.digest[:12]),
    )


def _aim_lines(found: Sequence[Aim], unit: str) -> Iterable[Line]:
    """What the cut was to give, reckoned again for the eye."""
    for aim in found:
        for label, (value, band), symbols in (
            (_("Lead"), aim.of("lead"), ("L",)),
            (_("Flat left on the end"), aim.of("end_land"), ("land",)),
        ):
            if value is None or band is None:
                continue
            why = _("true to {band} {unit}; {round}", band=length(band, unit), unit=unit, round=aim.plan.title)
            if aim.flanks and label == _("Lead"):
                plus, minus = (length(x, unit) for x in aim.flanks)
                why += ". " + _("Flank plus {plus}, minus {minus}: the smaller is wanted.", plus=plus, minus=minus)
            sums = tuple(line for line in aim.working if line.symbol.startswith(symbols)) or aim.working
            yield Line(label, length(value, unit), unit, why, sums)


def _form(what: str, tooth: int | None, found: Sequence[Aim], unit: str) -> CheckForm:
    aim = aim_at(found, tooth)
    value, band = aim.of(what) if aim is not None else (None, None)
    said = ""
    if value is not None and band is not None:
        said = _("Left empty: {wanted} ± {band} {unit}, from the plan.",
                 wanted=length(value, unit), band=length(band, unit), unit=unit)  # fmt: skip
    return CheckForm(
        what=what,
        words=_(WHATS[what]),
        tooth=str(tooth or ""),
        looked=what in LOOKS,
        unit="" if what in LOOKS or what == "hardness" else unit,
        scales=_SCALES if what == "hardness" else (),
        aim=said,
    )


def _line(checks: Sequence[Check], index: int, unit: str) -> CheckLine:
    c = checks[index]
    in_mm = c.unit == "mm"

    def shown(value: float | None) -> str:
        return length(value, unit) if in_mm else number(value, 1)

    later = c.passed is False and superseded(checks, index)
    verdict = {True: _("passed"), False: _("did not pass"), None: _("not judged")}[c.passed]
    why = []
    if c.wanted is not None:
        band = f" ± {shown(c.tolerance)}" if c.tolerance is not None else ""
        why.append(_("wanted {wanted}", wanted=shown(c.wanted)) + band)
    why += [part for part in (c.instrument, c.by, c.remark) if part]
    if later:
        why.append(_("passed when it was looked at again"))
    return CheckLine(
        index=index,
        words=check_words(c),
        value=shown(c.value) if c.value is not None else "",
        unit=(unit if in_mm else c.unit) if c.value is not None else "",
        verdict=verdict,
        why="; ".join(why),
        open=c.passed is None,
        against=c.passed is False and not later,
        said=c.what in LOOKS or c.wanted is None or c.tolerance is None,
        measures="" if c.what in LOOKS else (unit if in_mm else c.unit or unit),
        remark=c.remark,
    )


def _papers(job: JobDocument) -> Iterable[tuple[str, str]]:
    base = f"/jobs/{job.job_id}"
    if job.set_out.rounds:
        yield _("Set-up sheet"), f"{base}/papers/set-up-sheet.pdf"
        yield _("Division table"), f"{base}/papers/division-table.pdf"
        yield _("Tooth sheet"), f"{base}/papers/tooth-sheet.pdf"
    yield _("Hand-over report"), f"{base}/papers/hand-over.pdf"
    yield _("The whole job as one file"), f"{base}/job.zip"


# -- acts -------------------------------------------------------------------------------------------------------------


@router.get("")
def prove(request: Request, job_id: str) -> Response:
    """The stage's page."""
    return page(request, job_id)


@router.post("/check", dependencies=[shown_again_by(page)])
def check(request: Request, job_id: str, form: Sent) -> Response:
    """One more thing looked at or measured; judged by its figures where it has them, else by the person."""
    job, _version = job_of(request, job_id)
    unit, what = unit_of(request), form["what"]
    if what not in WHATS:
        raise Problems([phrases.problem("what_missing", "what", {})])
    N = int((job.find_out.ring or {}).get("teeth") or job.find_out.teeth or 1000)
    tooth = whole(form["tooth"], "tooth", 1, N) if form.text("tooth") else None
    if not form.text("by"):
        raise Problems([phrases.problem("by_missing", "by", {})])
    record: dict[str, Any] = {
        "what": what,
        "tooth": tooth,
        "by": form.text("by")[:60],
        "instrument": form.text("instrument")[:80],
        "remark": form.text("remark")[:300],
    }
    if what in LOOKS:
        record["passed"] = _verdict(form)
    else:
        measured_in = (form["scale"] if form["scale"] in _SCALES else "HB") if what == "hardness" else "mm"
        record |= _measured(form, what, measured_in, unit, aim_at(aims(job), tooth))
    return _keep(request, job, form, checks=(*job.prove.checks, Check.model_validate(record)))


def _measured(form: Typed, what: str, measured_in: str, unit: str, aim: Aim | None) -> dict[str, Any]:
    value, goal, band = (_figure(form, name, measured_in, unit) for name in ("value", "wanted", "tolerance"))
    if value is None:
        raise Problems([phrases.problem("value_missing", "value", {})])
    planned = aim.of(what) if aim is not None else (None, None)
    if goal is None:
        goal = planned[0]
    if band is None:
        band = planned[1]
    judged = verdict_of(value, goal, band)
    passed = judged if judged is not None else _verdict(form)
    return {"unit": measured_in, "value": value, "wanted": goal, "tolerance": band, "passed": passed}


def _verdict(form: Typed) -> bool | None:
    """What the person said; saying nothing is refused."""
    if form["passed"] not in _SAID:
        raise Problems([phrases.problem("verdict_missing", "passed", {})])
    return _SAID[form["passed"]]


@router.post("/answer", dependencies=[shown_again_by(page)])
def fill_in(request: Request, job_id: str, form: Sent) -> Response:
    """The verdict or reading of a line that was not judged; or a remark on one that was."""
    job, _version = job_of(request, job_id)
    checks = list(job.prove.checks)
    at = whole(form["index"], "index", 0, max(len(checks) - 1, 0))
    old = checks[at]
    changed: dict[str, Any] = {"remark": form.text("remark")[:300] or old.remark, "by": form.text("by")[:60] or old.by}
    if old.passed is None and form["only"] != "remark":
        if old.what not in LOOKS:
            changed["value"] = _figure(form, "value", old.unit or "mm", unit_of(request))
            if changed["value"] is None:
                raise Problems([phrases.problem("value_missing", "value", {})])
            changed["unit"] = old.unit or "mm"
        judged = verdict_of(changed.get("value"), old.wanted, old.tolerance)
        changed["passed"] = judged if judged is not None else _verdict(form)
        if not changed["by"]:
            raise Problems([phrases.problem("by_missing", "by", {})])
    checks[at] = Check.model_validate({**old.model_dump(), **changed})
    return _keep(request, job, form, checks=tuple(checks))


@router.post("/take-off", dependencies=[shown_again_by(page)])
def take_off(request: Request, job_id: str, form: Sent) -> Response:
    """Take a line off the list."""
    job, _version = job_of(request, job_id)
    gone = whole(form["index"], "index", 0, max(len(job.prove.checks) - 1, 0))
    return _keep(request, job, form, checks=tuple(c for i, c in enumerate(job.prove.checks) if i != gone))


@router.post("/words", dependencies=[shown_again_by(page)])
def words(request: Request, job_id: str, form: Sent) -> Response:
    """Keep how it goes back on and what is not warranted, without signing."""
    job, _version = job_of(request, job_id)
    return _keep(request, job, form, **_told(form))


@router.post("/sign", dependencies=[shown_again_by(page)])
def sign(request: Request, job_id: str, form: Sent) -> Response:
    """Sign the repair off; refused while something stands against it, with everything that does."""
    job, _version = job_of(request, job_id)
    told = _told(form)
    cut = rounds_cut(store_of(request), job_id)
    left = [_left_words(w) for w in wanted(job, cut)]
    if left and form["unseen"] == "yes":
        said = _("Not looked at: {what}.", what="; ".join(left))
        told["not_warranted"], left = "\n".join(part for part in (told["not_warranted"], said) if part), []
    against = why_not_signed(job, cut, told["not_warranted"], left)
    if len(told["not_warranted"]) > _MOST_WORDS:
        facts = {"value": "", "limit": _("at most {n} letters, what was not looked at included", n=_MOST_WORDS)}
        against.append(phrases.problem("wrong_length", "not_warranted", facts))
    name = form.text("signed_by")[:80]
    if not name:
        against.append(phrases.problem("name_missing", "signed_by", {}))
    if against:
        raise Problems(against)
    day = date.today().isoformat()  # noqa: DTZ011  the shop's own day
    _changed(request, job, form, "done", **told, signed_by=name, signed_on=day)
    return go(f"/jobs/{job_id}/prove")


@router.post("/open", dependencies=[shown_again_by(page)])
def open_again(request: Request, job_id: str, form: Sent) -> Response:
    """Not signed after all."""
    job, _version = job_of(request, job_id)
    _changed(request, job, form, "open", signed_by="", signed_on="")
    return go(f"/jobs/{job_id}/prove")


def _told(form: Typed) -> dict[str, str]:
    return {"back_on": form.text("back_on")[:300], "not_warranted": form.text("not_warranted")[:_MOST_WORDS]}


def _figure(form: Typed, name: str, measured_in: str, unit: str) -> float | None:
    if measured_in == "mm":
        return length_mm(form[name], unit, name)
    if not form.text(name):
        return None
    value = number_or_text(form[name])
    if isinstance(value, str):
        raise Problems([phrases.problem("not_a_number", name, {"value": value[:40]})])
    return value


def _keep(request: Request, job: JobDocument, form: Typed, **changed: Any) -> Response:
    """Save, unless it is signed: what somebody signed stays as it was signed."""
    if job.prove.signed_by:
        raise Problems([phrases.problem("signed_already", "", {"value": job.prove.signed_by})])
    _changed(request, job, form, job.state, **changed)
    return go(f"/jobs/{job.job_id}/prove")


def _changed(request: Request, job: JobDocument, form: Typed, state: str, **changed: Any) -> None:
    stage = {name: getattr(job.prove, name) for name in Prove.model_fields}
    keep(request, job, form.seen_version, prove=Prove.model_validate({**stage, **changed}), state=state)


phrases.learn(
    "signed_already",
    N_("This is signed by {value}; nothing on it changes."),
    N_("A job that is not signed."),
    N_("Take the signature back first, if something has to change."),
)
assert set(WHATS) == set(get_args(Check.model_fields["what"].annotation))
