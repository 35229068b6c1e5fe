"""Prove: is it right? What was looked at and measured after the cut, against its tolerance; and the hand-over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, get_args

from fastapi import APIRouter, Request, Response

from ringwright.job.document import Check, JobDocument, Prove
from ringwright.reckon import phrases
from ringwright.reckon.base import Problems
from ringwright.web import answers, ring
from ringwright.web.desk import job_of, keep, store_of
from ringwright.web.forms import Sent, Typed, length_mm, number_or_text, shown_again_by, whole
from ringwright.web.mapping import choices
from ringwright.web.pages import Choice, Line, frame, go, length, number, render, unit_of
from ringwright.words import N_, _, ngettext_

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/prove")

phrases.learn(
    "not_all_passed",
    N_("Something did not pass, or was not looked at."),
    N_("Every check with a verdict, none of them against."),
    N_("Measure what is open; what did not pass goes back to the machine or into “not warranted”."),
)
phrases.learn("name_missing", N_("Nobody signs yet."), N_("A name."), N_("Put the name of who stands for it in."))

WHATS: dict[str, str] = {
    "lead": N_("Lead on the tooth end"),
    "end_land": N_("Flat left on the end"),
    "span": N_("Span"),
    "pins": N_("Over or between pins"),
    "burrs": N_("Burrs off, both ends"),
    "engagement": N_("Pinion goes in all round"),
    "cracks": N_("Looked for cracks"),
    "hardness": N_("Hardness"),
    "run_out": N_("Run-out"),
    "backlash": N_("Backlash"),
    "reclocked": N_("Turned to its new place"),
    "seated": N_("Seated, no gap"),
    "marked": N_("Marked across ring and seat"),
}
#: what is looked at and not measured: passed or not, by eye and hand
LOOKS = ("burrs", "engagement", "cracks", "reclocked", "seated", "marked")


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
    looked: bool
    measured: str


@dataclass(frozen=True, slots=True)
class ProvePage:
    """Is it right?"""

    ring: ring.Views | None
    headline: str
    beneath: tuple[str, ...]
    checks: tuple[CheckLine, ...]
    wanted: tuple[Line, ...]
    whats: tuple[Choice, ...]
    rounds: tuple[str, ...]
    still_open: int
    against: int


def page(request: Request, job_id: str) -> Response:
    """The stage's page."""
    job, version = job_of(request, job_id)
    unit = unit_of(request)
    checks = job.prove.checks
    still_open = sum(c.passed is None for c in checks)
    against = sum(c.passed is False for c in checks)
    headline, beneath = _said(job, still_open, against)
    shown = ProvePage(
        ring=ring.views(job),
        headline=headline,
        beneath=beneath,
        checks=tuple(_line(i, c, unit) for i, c in enumerate(checks)),
        wanted=tuple(_wanted(job, unit)),
        whats=choices(WHATS),
        rounds=tuple(_rounds(request, job)),
        still_open=still_open,
        against=against,
    )
    return render("prove.html", shown, frame(request, _("Prove"), job=job, version=version, section="prove"))


def _said(job: JobDocument, still_open: int, against: int) -> tuple[str, tuple[str, ...]]:
    if job.prove.signed_by:
        return _("Signed"), (_("{name}, {day}", name=job.prove.signed_by, day=job.prove.signed_on),)
    if not job.prove.checks:
        return _("Nothing proved"), (_("Put in what you looked at and measured."),)
    if against:
        return ngettext_("{n} against", "{n} against", against), (_("did not pass; see the lines"),)
    if still_open:
        return ngettext_("{n} open", "{n} open", still_open), (_("still to be looked at or measured"),)
    return _("All passed"), (_("Ready to be signed."),)


def verdict_of(value: float | None, wanted: float | None, tolerance: float | None) -> bool | None:
    """Passed when the value lies within the tolerance of what was wanted, both ends included; None without all three.

    >>> verdict_of(1.2, 1.0, 0.3), verdict_of(1.31, 1.0, 0.3), verdict_of(1.2, None, 0.3)
    (True, False, None)
    """
    if value is None or wanted is None or tolerance is None:
        return None
    return abs(value - wanted) <= tolerance + 1e-9


def _line(index: int, c: Check, unit: str) -> CheckLine:
    in_mm = c.unit == "mm"

    def shown(value: float | None) -> str:
        return length(value, unit) if in_mm else number(value, 1)

    words = _(WHATS[c.what]) + (_(", tooth {tooth}", tooth=c.tooth) if c.tooth else "")
    verdict = {True: _("passed"), False: _("did not pass"), None: _("open")}[c.passed]
    why = []
    if c.wanted is not None:
        band = shown(c.tolerance) if c.tolerance is not None else "?"
        why.append(_("wanted {wanted} ± {band}", wanted=shown(c.wanted), band=band))
    why += [part for part in (c.instrument, c.by, c.remark) if part]
    return CheckLine(
        index=index,
        words=words,
        value=shown(c.value) if c.value is not None else "",
        unit=(unit if in_mm else c.unit) if c.value is not None else "",
        verdict=verdict,
        why="; ".join(why),
        open=c.passed is None,
        looked=c.what in LOOKS,
        measured=unit if in_mm else c.unit,
    )


def _wanted(job: JobDocument, unit: str) -> Iterable[Line]:
    """What the cut was to give, reckoned again for the eye: lead, flat, span."""
    for plan in job.set_out.rounds:
        if plan.lead_in is None:
            continue
        try:
            cut = answers.answer("lead_in", {**plan.lead_in, "working": True})
        except Problems:
            continue
        if cut.lead_length_mm is not None:
            lead = min(cut.lead_length_mm.plus, cut.lead_length_mm.minus)
            band = _("true to {mm} {unit}", mm=length(plan.tolerances.lead_mm, unit), unit=unit)
            yield Line(_("{round}: lead", round=plan.title), length(lead, unit), unit, band)
        if cut.end_land_finished_mm is not None:
            band = _("true to {mm} {unit}", mm=length(plan.tolerances.end_land_mm, unit), unit=unit)
            yield Line(_("{round}: flat left", round=plan.title), length(cut.end_land_finished_mm, unit), unit, band)


def _rounds(request: Request, job: JobDocument) -> Iterable[str]:
    for sheet in store_of(request).rounds(job.job_id):
        rows = ngettext_("{n} space", "{n} spaces", len(sheet.rows))
        yield _(
            "{title}, revision {n}, sheet {digest}: {rows}",
            title=sheet.title,
            n=sheet.revision,
            digest=sheet.digest[:12],
            rows=rows,
        )


# -- acts -------------------------------------------------------------------------------------------------------------


@router.get("")
def prove(request: Request, job_id: str) -> Response:
    """The stage's page."""
    return page(request, job_id)


@router.post("/check", dependencies=[shown_again_by(page)])
def check(request: Request, job_id: str, form: Sent) -> Response:
    """One more thing looked at or measured."""
    job, _version = job_of(request, job_id)
    unit = unit_of(request)
    what = form["what"] if form["what"] in WHATS else "lead"
    measured_in = {"hardness": form["scale"] if form["scale"] in ("HB", "HRC", "HV") else "HB"}.get(what, "mm")
    looked = what in LOOKS
    value, wanted, band = (
        None if looked else _figure(form, name, measured_in, unit) for name in ("value", "wanted", "tolerance")
    )
    record = {
        "what": what,
        "tooth": whole(form["tooth"], "tooth", 1, 1000) if form.text("tooth") else None,
        "unit": "" if looked else measured_in,
        "value": value,
        "wanted": wanted,
        "tolerance": band,
        "passed": _looked(form["passed"]) if looked else verdict_of(value, wanted, band),
        "by": form.text("by")[:60],
        "instrument": form.text("instrument")[:80],
        "remark": form.text("remark")[:300],
    }
    return _keep(request, job, form, checks=(*job.prove.checks, Check.model_validate(record)))


@router.post("/answer", dependencies=[shown_again_by(page)])
def fill_in(request: Request, job_id: str, form: Sent) -> Response:
    """The verdict or the measured value of a check that was open."""
    job, _version = job_of(request, job_id)
    checks = list(job.prove.checks)
    at = whole(form["index"], "index", 0, max(len(checks) - 1, 0))
    old = checks[at]
    if old.what in LOOKS or old.wanted is None:
        value = None if old.what in LOOKS else _figure(form, "value", old.unit, unit_of(request))
        changed = {"passed": _looked(form["passed"]), "value": value}
    else:
        value = _figure(form, "value", old.unit, unit_of(request))
        changed = {"value": value, "passed": verdict_of(value, old.wanted, old.tolerance)}
    checks[at] = Check.model_validate({**old.model_dump(), **changed, "by": form.text("by")[:60] or old.by})
    return _keep(request, job, form, checks=tuple(checks))


@router.post("/take-off", dependencies=[shown_again_by(page)])
def take_off(request: Request, job_id: str, form: Sent) -> Response:
    """Take a check off the list."""
    job, _version = job_of(request, job_id)
    gone = whole(form["index"], "index", 0, 10_000)
    return _keep(request, job, form, checks=tuple(c for i, c in enumerate(job.prove.checks) if i != gone))


@router.post("/sign", dependencies=[shown_again_by(page)])
def sign(request: Request, job_id: str, form: Sent) -> Response:
    """Sign the repair off: every check has passed, or what has not stands under "not warranted"."""
    from datetime import date

    job, _version = job_of(request, job_id)
    name = form.text("signed_by")[:80]
    if not name:
        raise Problems([phrases.problem("name_missing", "signed_by", {})])
    bad = [c for c in job.prove.checks if c.passed is not True]
    not_warranted = form.text("not_warranted")[:600]
    if not job.prove.checks or (bad and not not_warranted):
        raise Problems([phrases.problem("not_all_passed", "not_warranted", {})])
    told = {"back_on": form.text("back_on")[:300], "not_warranted": not_warranted, "signed_by": name}
    stage = {n: getattr(job.prove, n) for n in Prove.model_fields}
    day = date.today().isoformat()  # noqa: DTZ011  the shop's own day
    proved = Prove.model_validate({**stage, **told, "signed_on": day})
    keep(request, job, form.seen_version, prove=proved, state="done")
    return go(f"/jobs/{job_id}/prove")


@router.post("/open", dependencies=[shown_again_by(page)])
def open_again(request: Request, job_id: str, form: Sent) -> Response:
    """Not signed after all."""
    job, _version = job_of(request, job_id)
    stage = {n: getattr(job.prove, n) for n in Prove.model_fields}
    proved = Prove.model_validate({**stage, "signed_by": "", "signed_on": ""})
    keep(request, job, form.seen_version, prove=proved, state="open")
    return go(f"/jobs/{job_id}/prove")


def _figure(form: Typed, name: str, measured_in: str, unit: str) -> float | None:
    if measured_in == "mm":
        return length_mm(form[name], unit, name)
    if not form.text(name):
        return None
    value = number_or_text(form[name])
    if isinstance(value, str):
        raise Problems([phrases.problem("not_a_number", name, {"value": value[:40]})])
    return value


def _looked(typed: str) -> bool | None:
    return {"yes": True, "no": False}.get(typed)


def _keep(request: Request, job: JobDocument, form: Typed, **changed: Any) -> Response:
    stage = {name: getattr(job.prove, name) for name in Prove.model_fields}
    keep(request, job, form.seen_version, prove=Prove.model_validate({**stage, **changed}))
    return go(f"/jobs/{job.job_id}/prove")


assert set(WHATS) == set(get_args(Check.model_fields["what"].annotation))
