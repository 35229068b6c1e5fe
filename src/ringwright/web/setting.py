"""Set out: what exactly do I set? Does it fit, then the cut, the division, speeds; and the start of the round."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request, Response

from ringwright import reckon
from ringwright.job.document import JobDocument, RoundPlan, SetOut
from ringwright.job.kit import Kit
from ringwright.job.sheet import RoundSheet
from ringwright.paper.set_up import FITS
from ringwright.reckon import answers, phrases, rounds
from ringwright.reckon.asking_cut import lead_in_of
from ringwright.reckon.base import Problem, Problems
from ringwright.web import ring
from ringwright.web.cutting_lines import cut_lines, how_set, out_by, said_of_cut
from ringwright.web.desk import job_of, keep, store_of
from ringwright.web.dividing_lines import (
    LeftOut,
    RealRingSaid,
    WayChoice,
    left_out,
    not_asked,
    real_ring_of,
    taking,
    ways_of,
    with_ring,
)
from ringwright.web.edge import short_of
from ringwright.web.forms import Sent, Typed, shown_again_by, whole
from ringwright.web.pages import Choice, Line, frame, go, length, number, render, sums, unit_of
from ringwright.web.planning import SIDES, SLIDES, first_plan, plan_of
from ringwright.words import N_, _

router = APIRouter(include_in_schema=False, prefix="/jobs/{job_id}/set-out")

VERDICTS: dict[str, str] = {
    "goes": N_("It goes"),
    "look": N_("Look before you lift"),
    "does_not_go": N_("It does not go"),
}


@dataclass(frozen=True, slots=True)
class SetOutPage:
    """What exactly do I set?"""

    ring: ring.Views | None
    headline: str
    beneath: tuple[str, ...]
    plan: RoundPlan | None
    kept: bool
    rounds: tuple[Choice, ...]
    machines: tuple[str, ...]
    devices: tuple[str, ...]
    cutters: tuple[str, ...]
    pose: dict[str, Any]
    tip: tuple[Any, ...]
    target: tuple[str, Any]
    setup: dict[str, Any]
    sides: tuple[str, ...]
    slides: tuple[str, ...]
    fit_verdict: str
    fit_lines: tuple[Line, ...]
    fit_cautions: tuple[str, ...]
    cut_lines: tuple[Line, ...]
    out_by: tuple[Line, ...]
    how_set: tuple[Line, ...]
    said_of_cut: tuple[str, ...]
    edge_says: str
    would_reach: tuple[str, ...]
    ways: tuple[WayChoice, ...]
    left_out: tuple[LeftOut, ...]
    real_ring: RealRingSaid | None
    ring_measured: bool
    not_served: tuple[str, ...]
    way_sums: tuple[Any, ...]
    from_teeth: str
    notes: tuple[str, ...]
    cannot: tuple[Problem, ...]
    sheet: RoundSheet | None
    started: bool
    empty_kit: bool


def page(request: Request, job_id: str) -> Response:
    """The stage's page; ?round= picks one of several."""
    job, version = job_of(request, job_id)
    shown = _page(request, job)
    return render("set_out.html", shown, frame(request, _("Set out"), job=job, version=version, section="set_out"))


def _chosen(request: Request, job: JobDocument) -> RoundPlan | None:
    typed = getattr(request.state, "typed", {})
    asked = typed.get("round_id") or request.query_params.get("round", "")
    plans = job.set_out.rounds
    return next((p for p in plans if p.round_id == asked), plans[-1] if plans else None)


class _Gather:
    """Asks the operations one after the other; what cannot be answered is kept with its words."""

    def __init__(self) -> None:
        self.cannot: list[Problem] = []
        self.notes: list[str] = []

    def ask(self, name: str, request: dict[str, Any] | None) -> Any:
        """The answer of an operation; None when there is nothing to ask or no answer."""
        if request is None:
            return None
        answer = self.do(lambda: answers.answer(name, {**request, "working": True}))
        self.notes += [n.text for n in answer.notes] if answer is not None else []
        return answer

    def do(self, sum_: Callable[[], Any]) -> Any:
        """What the sum gives; its problems gathered."""
        try:
            return sum_()
        except Problems as problems:
            self.cannot += problems.problems
            return None


def _page(request: Request, job: JobDocument) -> SetOutPage:
    kit, _version = store_of(request).kit()
    unit, kept_plan, gather = unit_of(request), _chosen(request, job), _Gather()
    plan = kept_plan or first_plan(job, kit, "lead-in")
    fit = gather.ask("setup_check", plan.setup)
    cut = gather.ask("lead_in", lead_in_of(job, kit, plan))
    asked, not_served = with_ring(job, plan.divide)
    divided = gather.ask("divide", asked)
    gather.notes += not_asked(kit)
    sheet = gather.do(lambda: rounds.make_sheet(job, kit, plan.round_id)) if plan.way and kept_plan else None
    started = any(
        s.round_id == plan.round_id and s.revision == plan.revision for s in store_of(request).rounds(job.job_id)
    )
    headline, beneath = _said(job, cut, fit, plan, started, unit)
    lead, setup = plan.lead_in or {}, plan.setup or {}
    pose = dict(
        lead.get(
            "pose", {"entry_face_looks": "+z", "work_at": "-y", "nod_deg": 45, "tilt_deg": 0, "feed_by": "+saddle"}
        )
    )
    target = next(iter(lead.get("target", {"lead_length_mm": 1.0}).items()))
    return SetOutPage(
        ring=ring.views(job),
        headline=headline,
        beneath=beneath,
        plan=plan,
        kept=kept_plan is not None,
        rounds=tuple(Choice(p.round_id, p.title, p.round_id == plan.round_id) for p in job.set_out.rounds),
        machines=tuple(m.name for m in kit.machines),
        devices=tuple(d.name for d in kit.devices),
        cutters=tuple(c.name for c in kit.cutters),
        pose=pose,
        tip=tuple(pose.get("tip", ("", "", ""))),
        target=target,
        setup={
            "bore_mm": setup.get("section", {}).get("bore_mm", ""),
            "mass_kg": setup.get("section", {}).get("mass_kg", ""),
            "packing_mm": setup.get("packing_mm", ""),
            "push_n": setup.get("push_n", ""),
        },
        sides=SIDES,
        slides=SLIDES,
        fit_verdict=_(VERDICTS[fit.verdict]) if fit is not None else "",
        fit_lines=_fit_lines(fit, unit),
        fit_cautions=fit.cautions if fit is not None else (),
        cut_lines=cut_lines(cut, unit),
        out_by=out_by(cut, unit),
        how_set=how_set(cut, unit),
        said_of_cut=said_of_cut(cut, unit),
        edge_says=short_of(request, job, plan) if started else "",
        would_reach=cut.would_reach if cut is not None and not cut.reachable else (),
        ways=ways_of(divided, plan),
        left_out=left_out(divided, asked),
        real_ring=real_ring_of(divided, unit),
        ring_measured=job.map.measured is not None,
        not_served=not_served,
        way_sums=sums(divided) if divided is not None else (),
        from_teeth=_from_teeth(job, plan),
        notes=tuple(n for n in dict.fromkeys(gather.notes) if sheet is None or n not in sheet.notes),
        cannot=tuple(gather.cannot),
        sheet=sheet,
        started=started,
        empty_kit=not (kit.machines and kit.devices and kit.cutters),
    )


def _said(
    job: JobDocument, cut: Any, fit: Any, plan: RoundPlan, started: bool, unit: str
) -> tuple[str, tuple[str, ...]]:
    """What stands in the middle of the ring."""
    if job.find_out.ring is None:
        return _("Not yet"), (_("Settle the ring first, under Find out."),)
    if fit is not None and fit.verdict == "does_not_go":
        return _("It does not go"), (_("The ring does not fit this set-up; see the lines."),)
    if cut is None:
        return _("What do I set?"), (_("Fill in the set-up; the figures follow."),)
    if not cut.reachable:
        return _("Out of reach"), tuple(cut.would_reach[:2])
    infeed = f"{length(cut.infeed_mm, unit)} {unit}"
    state = _("Started; the sheet is frozen.") if started else _("infeed from touch-off")
    return infeed, (state, plan.title)


def _fit_lines(fit: Any, unit: str) -> tuple[Line, ...]:
    def shown(value: float | None, of: str) -> str:
        if value is None:
            return "–"
        return length(value, unit, 0 if unit == "mm" else 2) if of == "mm" else number(value, 1)

    lines = []
    for one in fit.fits if fit is not None else ():
        name = _(FITS.get(one.what, one.what.replace("_", " ")))
        needs = _("needs {need} {unit}. ", need=shown(one.need, one.unit), unit=unit if one.unit == "mm" else one.unit)
        mark = "" if one.ok else _("{verdict}: ", verdict=_(VERDICTS[one.verdict]))
        why = needs + mark + one.says
        room = sums(fit, "r") if one.what in ("throat", "swing", "overhang") else ()
        lines.append(Line(name, shown(one.have, one.unit), unit if one.unit == "mm" else one.unit, why, room))
    if fit is not None:
        lines.append(Line(_("The ring weighs"), number(fit.mass_kg, 1), "kg", "", sums(fit, "m")))
    return tuple(lines)


def _from_teeth(job: JobDocument, plan: RoundPlan) -> str:
    """The address of the sum of a detent in this ring's own teeth, with what the job knows put in."""
    ring = job.find_out.ring
    if ring is None or ring.get("helix_angle_deg"):
        return ""
    pitch = next((n for n in ("module_mm", "diametral_pitch", "circular_pitch_mm") if ring.get(n) is not None), "")
    known = {
        "teeth": ring["teeth"],
        "kind": ring["kind"],
        "pitch_in": pitch,
        "pitch": ring.get(pitch),
        "pressure_angle": ring.get("pressure_angle_deg", 20),
        "shift_coef": ring.get("profile_shift", 0),
        "cut": ",".join(map(str, plan.teeth or ())),
        "damaged": ",".join(map(str, sorted({mark.tooth for mark in job.map.marks}))),
    }
    return f"/sums/detent?{urlencode(known)}"


# -- acts -------------------------------------------------------------------------------------------------------------


@router.get("")
def set_out(request: Request, job_id: str) -> Response:
    """The stage's page."""
    return page(request, job_id)


@router.post("/plan", dependencies=[shown_again_by(page)])
def plan(request: Request, job_id: str, form: Sent) -> Response:
    """Keep the round as typed; what no operation can answer is refused here, in its words."""
    job, _version = job_of(request, job_id)
    kit, _kit_version = store_of(request).kit()
    old = _chosen(request, job) or first_plan(job, kit, "lead-in")
    _not_frozen(request, job, old)
    new = plan_of(job, kit, old, form, unit_of(request))
    gather = _Gather()
    for name, asked in (("setup_check", new.setup), ("lead_in", new.lead_in), ("divide", new.divide)):
        gather.ask(name, asked)
    if gather.cannot:
        raise Problems(gather.cannot)
    return _keep(request, job, form, new)


@router.post("/way", dependencies=[shown_again_by(page)])
def way(request: Request, job_id: str, form: Sent) -> Response:
    """Take one of the ways of dividing."""
    job, _version = job_of(request, job_id)
    old = _the_plan(request, job)
    _not_frozen(request, job, old)
    ways = reckon.divide(old.divide or {}).ways
    taken = ways[whole(form["index"], "index", 0, len(ways) - 1)]
    return _keep(request, job, form, taking(old, store_of(request).kit()[0], taken))


@router.post("/round", dependencies=[shown_again_by(page)])
def another(request: Request, job_id: str, form: Sent) -> Response:
    """One more round, or a new revision of one that was started."""
    job, _version = job_of(request, job_id)
    kit: Kit = store_of(request).kit()[0]
    if form["revise"] == "yes":
        old = _the_plan(request, job)
        return _keep(request, job, form, old.model_copy(update={"revision": old.revision + 1}))
    taken = {p.round_id for p in job.set_out.rounds}
    name = next(f"round-{n}" for n in range(1, len(taken) + 2) if f"round-{n}" not in taken)
    base = job.set_out.rounds[-1] if job.set_out.rounds else first_plan(job, kit, name)
    new = base.model_copy(update={"round_id": name, "title": _("Round {n}", n=len(taken) + 1), "revision": 1})
    return _keep(request, job, form, new)


@router.post("/start", dependencies=[shown_again_by(page)])
def start(request: Request, job_id: str, form: Sent) -> Response:
    """Freeze the round's sheet; from here on only the log moves."""
    job, _version = job_of(request, job_id)
    store = store_of(request)
    old = _the_plan(request, job)
    sheet = rounds.make_sheet(job, store.kit()[0], old.round_id)
    keep(request, job, form.seen_version, state="cutting")
    store.start_round(sheet)
    return go(f"/jobs/{job_id}/cut?round={old.round_id}")


def _the_plan(request: Request, job: JobDocument) -> RoundPlan:
    found = _chosen(request, job)
    if found is None:
        raise Problems([phrases.problem("no_such_round", "", {})])
    return found


def _not_frozen(request: Request, job: JobDocument, plan: RoundPlan) -> None:
    if any(s.round_id == plan.round_id and s.revision == plan.revision for s in store_of(request).rounds(job.job_id)):
        raise Problems([phrases.problem("round_frozen", "", {})])


def _keep(request: Request, job: JobDocument, form: Typed, plan: RoundPlan) -> Response:
    others = {p.round_id: p for p in job.set_out.rounds}
    others[plan.round_id] = plan
    keep(request, job, form.seen_version, set_out=SetOut(rounds=tuple(others.values())))
    return go(f"/jobs/{job.job_id}/set-out?round={plan.round_id}")
