"""The set-up sheet of a round: what its plan's sums say about fit, pose, touch-off and infeed, in the machine's words.

Only the plan that was frozen into the round sheet is reckoned: when it was changed since, the sheet's own words are
printed and a note says so.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ringwright import reckon
from ringwright.job.document import JobDocument, RoundPlan
from ringwright.job.sheet import RoundSheet
from ringwright.paper.blocks import Drawing, Figure
from ringwright.paper.cut_drawing import section_drawings
from ringwright.paper.from_job import setup_from
from ringwright.paper.hand_words import by_hand
from ringwright.paper.papers import SetUp
from ringwright.reckon import answers
from ringwright.reckon.asking_cut import completed
from ringwright.reckon.base import Problems
from ringwright.reckon.rounds import recheck_words
from ringwright.words import N_, _

_LOOKS = {
    "+x": N_("right"),
    "-x": N_("left"),
    "+y": N_("away from you"),
    "-y": N_("towards you"),
    "+z": N_("up"),
    "-z": N_("down"),
}
#: What `setup_check` looks at, in words; the page of Set out says the same.
FITS: dict[str, str] = {
    "throat": N_("Throat"),
    "height": N_("Height under the spindle"),
    "travel_table": N_("Table travel"),
    "travel_saddle": N_("Saddle travel"),
    "seat": N_("Seat on the device"),
    "overhang": N_("Overhang"),
    "swing": N_("Swing"),
    "tipping": N_("Tipping"),
    "stands_upright": N_("Stands upright"),
    "device_load": N_("Load on the device"),
    "table_load": N_("Load on the machine's table"),
    "worm_lock": N_("Lock against the push of the cut"),
}
_SLIDES = {"table": N_("Table"), "saddle": N_("Saddle"), "knee": N_("Knee"), "quill": N_("Quill")}


def setup_of_round(job: JobDocument, sheet: RoundSheet, date: str, *, drawing: Drawing | None = None) -> SetUp:
    """Everything that is set before the first tooth of a round."""
    plan = next(
        (p for p in job.set_out.rounds if p.round_id == sheet.round_id and p.revision == sheet.revision),
        None,
    )
    made = setup_from(job, sheet, date, recheck=recheck_words, drawing=drawing)
    guard = (
        _("Guard on and glasses on before the spindle turns; no gloves near it."),
        _("Stop the spindle before a hand or a gauge goes near."),
        _("Lift the ring with slings that are rated for it; never stand under it."),
    )
    if plan is None:
        changed = _("The plan was changed since this round began: only what the round sheet itself says is printed.")
        return replace(made, notes=(changed, *made.notes), cautions=guard)
    fit, cautions, fit_notes = _fit(job, plan)
    asked = _with_ring(job, plan.lead_in)
    cut, cut_notes = _answer("lead_in", completed(asked, plan))
    pose: dict[str, Any] = (asked or {}).get("pose") or {}
    return replace(
        made,
        fit=(*made.fit, *fit),
        pose=(*_pose(pose), *_by_indicator(cut), *_tip(cut)),
        touch_off=_touch_off(cut),
        infeed=_infeed(made.infeed, cut),
        lock=_locks(pose),
        cautions=(*guard, *cautions),
        notes=tuple(dict.fromkeys((*_afterwards(cut), *made.notes, *fit_notes, *cut_notes))),
        cut=_sections(asked),
    )


def _with_ring(job: JobDocument, asked: dict[str, Any] | None) -> dict[str, Any] | None:
    if asked is None or "ring" in asked or job.find_out.ring is None:
        return asked
    return {**asked, "ring": job.find_out.ring}


#: Heights across and along of the sections, as the page of the cut has them.
_ROWS = 49


def _sections(asked: dict[str, Any] | None) -> tuple[Drawing, ...]:
    """The cut in three sections; none where it cannot be reckoned, which a note says already."""
    if asked is None:
        return ()
    try:
        return section_drawings(answers.answer("cut_shape", {**asked, "every_space": True, "rows": _ROWS}).sections)
    except Problems:
        return ()


def _by_indicator(cut: Any) -> tuple[Figure, ...]:
    """Nod and tilt as an indicator shows them over a way of the knee."""
    return tuple(
        Figure(
            _("Nod by indicator") if one.angle == "nod" else _("Tilt by indicator"),
            f"{one.indicator_mm:.3f}",
            "mm",
            one.says,
        )
        for one in (cut.head_setting if cut is not None else ())
    )


def _afterwards(cut: Any) -> tuple[str, ...]:
    """Teeth that are not sound, what is finished by hand, and the head trammed again."""
    if cut is None:
        return ()
    worn = (one.says for one in cut.worn_teeth)
    return tuple(x for x in (*worn, *by_hand(cut), cut.tram_back) if x)


def _answer(name: str, asked: dict[str, Any] | None) -> tuple[Any, tuple[str, ...]]:
    """An operation's answer, or None with what was wrong, as notes."""
    if asked is None:
        return None, ()
    try:
        return reckon.operation(name).ask(asked), ()
    except Problems as problems:
        return None, tuple(f"{problem.what} {problem.do}" for problem in problems.problems)


def _fit(job: JobDocument, plan: RoundPlan) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    answer, notes = _answer("setup_check", _with_ring(job, plan.setup))
    if answer is None:
        return (), (), (*notes, _("Whether the ring fits the machine was not reckoned: measure before you lift."))
    lines = tuple(f"{_(FITS.get(fit.what, fit.what))}: {fit.says}" for fit in answer.fits)
    return lines, tuple(answer.cautions), notes


def _degrees(angle: float) -> str:
    minutes = round(abs(angle) * 60)
    return f"{'−' if angle < 0 else ''}{minutes // 60}° {minutes % 60:02d}′"


def _pose(pose: dict[str, Any]) -> tuple[Figure, ...]:
    found = []
    nod, tilt = pose.get("nod_deg"), pose.get("tilt_deg")
    if isinstance(nod, int | float):
        leans = _("top leans towards you") if nod > 0 else _("top leans away from you") if nod < 0 else ""
        found.append(Figure(_("Head nods"), _degrees(nod), "", leans))
    if isinstance(tilt, int | float):
        leans = _("top leans right") if tilt > 0 else _("top leans left") if tilt < 0 else ""
        found.append(Figure(_("Head tilts"), _degrees(tilt), "", leans))
    for field, label in (("entry_face_looks", N_("Entry face looks")), ("work_at", N_("Work on the ring’s side"))):
        if pose.get(field) in _LOOKS:
            found.append(Figure(_(label), _(_LOOKS[pose[field]])))
    for field, label in (("tool_axis", N_("Tool axis, r t a")), ("feed", N_("Feed, r t a"))):
        if pose.get(field):
            found.append(Figure(_(label), " ".join(f"{part:g}" for part in pose[field])))
    return tuple(found)


def _tip(cut: Any) -> tuple[Figure, ...]:
    if cut is None:
        return ()
    r, t, a = cut.tip_at_touch_off
    face = (
        _("{a} mm outside the entry face", a=f"{-a:.2f}") if a < 0 else _("{a} mm inside the entry face", a=f"{a:.2f}")
    )
    beside = _("over the middle of the space") if abs(t) < 0.005 else _("{t} mm beside mid-space", t=f"{abs(t):.2f}")
    return (Figure(_("Tip at touch-off, from the ring’s axis"), f"{r:.2f}", "mm", f"{face}, {beside}"),)


def _touch_off(cut: Any) -> tuple[str, ...]:
    if cut is None:
        return (_("Bring the cutter up until it just marks the tooth; set the dial to nought."),)
    r, t, a = cut.touch_off.point
    lines = [
        _(
            "First mark on a sound tooth: {r} mm from the ring’s axis, {t} mm beside mid-space, {a} mm in.",
            r=f"{r:.2f}",
            t=f"{abs(t):.2f}",
            a=f"{a:.2f}",
        )
    ]
    if cut.touch_off.grazing:
        lines.append(_("The cutter only grazes there: use dye, and look with a glass."))
    later = cut.touch_off.shift_per_mm_of_corner_lost
    if later is not None:
        lines.append(
            _(
                "On a chewed edge it marks {mm} mm later for each mm of corner lost.",
                mm=f"{later:.2f}",
            )
        )
    lines += [_("Surer: {says}", says=one.says) for one in cut.better_touch_off]
    lines.append(_("Set the infeed’s dial to nought on the mark."))
    return tuple(lines)


def _infeed(given: tuple[Figure, ...], cut: Any) -> tuple[Figure, ...]:
    if cut is None or cut.infeed_mm is None:
        return given
    found = [replace(figure, note=_("in all {mm} mm from touch-off", mm=f"{cut.infeed_mm:.3f}")) for figure in given]
    if cut.lead_length_mm is not None:
        lead = cut.lead_length_mm
        found.append(Figure(_("Lead, flank + and flank −"), f"{lead.plus:.2f} / {lead.minus:.2f}", "mm"))
    if cut.end_land_finished_mm is not None:
        found.append(Figure(_("Land left, all spaces cut"), f"{cut.end_land_finished_mm:.2f}", "mm"))
    return tuple(found)


def _locks(pose: dict[str, Any]) -> tuple[str, ...]:
    """Every slide but the one that feeds, and the device."""
    device = _("The dividing device after each move: the worm alone does not carry the cut")
    feeds = str(pose.get("feed_by") or "").lstrip("+-")
    if feeds not in _SLIDES:
        return (_("Every slide that does not feed"), device)
    return (*(_(word) for slide, word in _SLIDES.items() if slide != feeds), device)
