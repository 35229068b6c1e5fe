"""From the job document and a frozen round sheet to the records of the papers.

What the round sheet says in words is printed as it stands; nothing is reckoned again here, so that paper and screen
cannot differ. What the sheet does not know (fit, pose, drawings) is handed in by who reckoned it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from typing import Any

from pydantic import ValidationError

from ringwright.job.document import Check, JobDocument
from ringwright.job.sheet import Position, RoundSheet
from ringwright.paper.blocks import Drawing, Figure, Title
from ringwright.paper.papers import (
    Division,
    DivisionRow,
    HandOver,
    Measured,
    Result,
    SetUp,
    ToothSheet,
    Zone,
    zone_names,
)
from ringwright.paper.way_drawings import drawings_of_round
from ringwright.reckon.ring import Ring
from ringwright.words import N_, _

#: First digits of a digest that a paper shows.
_DIGITS = 12


def title_of(job: JobDocument, date: str, sheet: RoundSheet | None = None, *, units: str = "mm") -> Title:
    """The title block: of a round when its sheet is given, else of the whole job."""
    found = job.find_out
    kind = _("external ring") if found.kind == "external" else _("internal ring")
    teeth = _("{n} teeth", n=found.teeth) if found.teeth else _("teeth not counted")
    return Title(
        job=" ".join(part for part in (job.number, job.title) if part),
        part=", ".join(part for part in (kind, teeth, found.ring_label) if part),
        date=date,
        units=units,
        revision=str(sheet.revision) if sheet else "-",
        digest=sheet.digest[:_DIGITS] if sheet else "-",
        made_by=sheet.provenance.made_by if sheet else "-",
    )


def division_from(job: JobDocument, sheet: RoundSheet, date: str) -> Division:
    """The division table of a round, in the order of cutting."""
    dial = any(row.position.dial is not None for row in sheet.rows)
    second = next((row.move_words for row in sheet.rows[1:]), sheet.rows[0].move_words)
    return Division(
        title=title_of(job, date, sheet),
        device=", ".join(part for part in (sheet.device, sheet.machine) if part),
        move=_("Absolute readings: set the dial to the line of the tooth.") if dial else second,
        setting_word=_("Dial") if dial else _("Hole, from 0"),
        rows=tuple(
            DivisionRow(row.tooth, _turns(row.position), _setting(row.position), row.position.spindle_deg, row.zone)
            for row in sheet.rows
        ),
        closing=_closing(sheet),
        witness_every=sheet.witness.every,
        notes=sheet.notes,
        dividing=drawings_of_round(job, sheet),
    )


def _turns(position: Position) -> str:
    return "-" if position.turns is None else str(position.turns)


def _setting(position: Position) -> str:
    if position.dial is not None:
        return position.dial
    return "-" if position.hole is None else str(position.hole)


def _closing(sheet: RoundSheet) -> str:
    closing = sheet.closing
    said = [_("One more move after the last tooth must come back to the first.")]
    if closing.hole is not None:
        said.append(_("Hole {hole}.", hole=closing.hole))
    said.append(_("Spindle {deg} degrees.", deg=f"{closing.spindle_deg:.3f}"))
    return " ".join([*said, closing.identity]).strip()


def tooth_sheet_from(job: JobDocument, sheet: RoundSheet, date: str) -> ToothSheet:
    """The tooth sheet of a round: its laps, each in counting order."""
    laps: dict[int, list[tuple[int, Zone]]] = {}
    for row in sheet.rows:
        laps.setdefault(row.lap, []).append((row.tooth, row.zone))
    return ToothSheet(
        title=title_of(job, date, sheet),
        laps=tuple(tuple(laps[lap]) for lap in sorted(laps)),
        how=_("Tick a tooth when it is cut. Ring the number of a tooth that is passed over, and say why overleaf."),
        notes=(_("After every {n} teeth stop and read the witness.", n=sheet.witness.every),),
    )


def setup_from(
    job: JobDocument,
    sheet: RoundSheet,
    date: str,
    *,
    recheck: Callable[[str], str],
    pose: tuple[Figure, ...] = (),
    cutter: tuple[Figure, ...] = (),
    touch_off: tuple[str, ...] = (),
    infeed: tuple[Figure, ...] = (),
    lock: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
    drawing: Drawing | None = None,
) -> SetUp:
    """The set-up sheet of a round; ``recheck`` says a re-check's code in words."""
    way = _("clockwise") if sheet.turns == "clockwise" else _("anticlockwise")
    first_moves = [Figure(_("Device"), sheet.device)] if sheet.device else []
    first_moves.append(Figure(_("Witness"), _("every {n} teeth", n=sheet.witness.every)))
    return SetUp(
        title=title_of(job, date, sheet),
        fit=sheet.setup_words,
        pose=pose,
        cutter=cutter or ((Figure(_("Cutter"), sheet.cutter_words),) if sheet.cutter_words else ()),
        touch_off=touch_off,
        infeed=infeed or _by_zone(sheet, lambda row: row.infeed_words),
        turns_words=_("From tooth n to tooth n + 1 the ring turns {way}, seen on the entry face.", way=way),
        division=tuple(first_moves),
        speeds=tuple((f.label, f.value, "") for f in _by_zone(sheet, lambda row: row.speed_words)),
        lock=lock,
        rechecks=tuple(recheck(code) for code in sheet.rechecks),
        notes=sheet.notes,
        cautions=cautions,
        drawing=drawing,
        dividing=drawings_of_round(job, sheet),
    )


def _by_zone(sheet: RoundSheet, words: Callable[..., str]) -> tuple[Figure, ...]:
    """What the rows say, once each, with the zones that it holds for."""
    said: dict[str, list[Zone]] = {}
    for row in sheet.rows:
        if words(row):
            said.setdefault(words(row), []).append(row.zone)
    return tuple(Figure(zone_names(zones), text) for text, zones in said.items())


_WHAT = {
    "lead": N_("Lead-in"),
    "end_land": N_("End land"),
    "span": N_("Span"),
    "pins": N_("Over pins"),
    "burrs": N_("Burrs"),
    "engagement": N_("Engagement"),
    "cracks": N_("Cracks"),
    "hardness": N_("Hardness"),
    "run_out": N_("Run-out"),
    "backlash": N_("Backlash"),
    "reclocked": N_("Turned on its seat"),
    "seated": N_("Seated"),
    "marked": N_("Marked across ring and seat"),
}


def hand_over_from(
    job: JobDocument,
    date: str,
    *,
    done: Iterable[str],
    before: Drawing | None = None,
    after: Drawing | None = None,
    cautions: Iterable[str] = (),
    sheet: RoundSheet | None = None,
) -> HandOver:
    """The hand-over report of a job; ``done`` says what was done, round by round."""
    prove = job.prove
    lines = [line.strip() for line in prove.not_warranted.splitlines() if line.strip()]
    return HandOver(
        title=title_of(job, date, sheet),
        customer=job.customer,
        identification=_identification(job),
        sure=_how_sure(job),
        before=before,
        after=after,
        done=tuple(done),
        measured=tuple(_measured(check) for check in prove.checks),
        not_warranted=(*lines, _("Anything that is not listed above as measured.")),
        cautions=(*_duty(job), *cautions),
        back_on=prove.back_on,
        signed=((_("For the shop: name, date"), f"{prove.signed_by} {prove.signed_on}".strip()),
                (_("Received: name, date"), "")),
    )  # fmt: skip


def _identification(job: JobDocument) -> tuple[Figure, ...]:
    if job.find_out.ring is None:
        return (Figure(_("Ring"), _("not settled")),)
    ring, found = _with_defaults(job.find_out.ring), []
    for name, label, unit in (
        ("module_mm", N_("Module"), "mm"),
        ("diametral_pitch", N_("Diametral pitch"), ""),
        ("circular_pitch_mm", N_("Circular pitch"), "mm"),
        ("teeth", N_("Teeth"), ""),
        ("pressure_angle_deg", N_("Pressure angle"), "°"),
        ("helix_angle_deg", N_("Helix angle"), "°"),
        ("profile_shift", N_("Profile shift"), ""),
        ("face_width_mm", N_("Face width"), "mm"),
    ):
        value = ring.get(name)
        if value is None or (name in ("helix_angle_deg", "profile_shift") and value == 0):
            continue
        shown = f"{value:g}" if isinstance(value, int | float) else str(value)
        found.append(Figure(_(label), shown + ("°" if unit == "°" else ""), unit if unit == "mm" else ""))
    return tuple(found)


def _with_defaults(ring: dict[str, Any]) -> dict[str, Any]:
    """The ring with the contract's defaults in it; as it stands when it is no ring of the contract."""
    try:
        return Ring.model_validate_json(json.dumps(ring)).model_dump()
    except ValidationError:
        return ring


def _how_sure(job: JobDocument) -> str:
    sure = job.find_out.ring_probability
    said = [_("How sure: not reckoned.") if sure is None else _("How sure: {n} in 100.", n=f"{100 * sure:.0f}")]
    said.append(_("Teeth counted and sure.") if job.find_out.teeth_sure else _("The tooth count is not sure."))
    return " ".join(said)


def _measured(check: Check) -> Measured:
    unit = f" {check.unit}" if check.unit else ""
    wanted = "" if check.wanted is None else f"{check.wanted:g}{unit}"
    if wanted and check.tolerance is not None:
        wanted = f"{check.wanted:g} ± {check.tolerance:g}{unit}"
    return Measured(
        what=_(_WHAT[check.what]),
        where=_("tooth {n}", n=check.tooth) if check.tooth else _("ring"),
        value="" if check.value is None else f"{check.value:g}{unit}",
        wanted=wanted,
        result=_result(check),
        by=check.by,
        instrument=check.instrument,
        remark=check.remark,
    )


def _result(check: Check) -> Result:
    if check.passed is None:
        return ""
    if not check.passed:
        return "fails"
    return "seen" if check.value is None else "holds"


def _duty(job: JobDocument) -> tuple[str, ...]:
    local = _("Local codes and licensed practice come first.")
    if job.duty == "ordinary":
        return (local,)
    if job.duty == "holds_people_or_loads":
        text = _("This ring holds people or loads: these papers give no verdict. Who may release it must decide.")
    else:
        text = _("It is not known whether this ring holds people or loads. If it does, these papers give no verdict.")
    return (text, local)
