"""The four papers. Each takes one frozen record that says everything on it, and gives the PDF.

Who fills the records does the words of the job; headings and labels are said here, through the catalogue.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from ringwright.paper import blocks as b
from ringwright.paper.blocks import Block, Drawing, Figure, Title
from ringwright.words import _

Zone = Literal["sound", "hard", "weld", "heat_affected"]
Result = Literal["holds", "fails", "seen", ""]
#: Lines of the division table on one page, and how many its drawings take the place of on the first.
LINES, DRAWN = 40, 15
#: Boxes of the tooth sheet on one page.
BOXES = 130


@dataclass(frozen=True, slots=True)
class SetUp:
    """What is set before the first tooth, in the order in which it is done.

    ``infeed``: one figure for each axis that turns, value as it is turned on that axis' own scale ("2 turns + 34"),
    note with mm and sense. ``turns_words``: which way the work turns from tooth n to n + 1. ``speeds``: zone,
    speed and feed, remark.
    """

    title: Title
    fit: tuple[str, ...]
    pose: tuple[Figure, ...]
    cutter: tuple[Figure, ...]
    touch_off: tuple[str, ...]
    infeed: tuple[Figure, ...]
    turns_words: str
    division: tuple[Figure, ...]
    speeds: tuple[tuple[str, str, str], ...]
    lock: tuple[str, ...]
    rechecks: tuple[str, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    drawing: Drawing | None = None
    dividing: tuple[Drawing, ...] = ()
    cut: tuple[Drawing, ...] = ()


def set_up_blocks(sheet: SetUp) -> list[Block]:
    """Blocks of the set-up sheet."""
    found: list[Block] = []
    if sheet.cautions:
        found.append(b.caution(_("Caution"), sheet.cautions))
    if sheet.drawing:
        found.append(b.drawings([sheet.drawing], 76))
    if sheet.fit:
        found += [b.heading(_("On the machine")), b.checks(sheet.fit)]
    if sheet.pose:
        found += [b.heading(_("Head and work")), b.figures(sheet.pose)]
    if sheet.cutter:
        found += [b.heading(_("Cutter")), b.figures(sheet.cutter)]
    if sheet.touch_off:
        found += [b.heading(_("Touch off")), b.checks(sheet.touch_off)]
    if sheet.infeed:
        found += [b.heading(_("Infeed, as it is turned")), *(b.figures(part, 2) for part in _by_length(sheet.infeed))]
    if sheet.cut:
        found += [b.heading(_("What the cut leaves: hatched stays, dashed was there")), b.drawings(sheet.cut, 44)]
    found += [b.heading(_("From tooth to tooth")), b.say(sheet.turns_words, large=True), b.figures(sheet.division)]
    if sheet.dividing:
        found.append(b.drawings(sheet.dividing, 70 if len(sheet.dividing) == 1 else 62))
    if sheet.speeds:
        header = (_("Zone"), _("Speed and feed"), _("Remark"))
        found.append(b.heading(_("Speeds and feeds")))
        found.append(b.table(header, sheet.speeds, widths=(1.3, 2.2, 1.5), align="lll", size=12))
    if sheet.lock:
        found += [b.heading(_("Lock before the cut")), b.checks(sheet.lock, 2)]
    if sheet.rechecks:
        found += [b.heading(_("Look again, in this order, after every pause")), b.checks(sheet.rechecks)]
    if sheet.notes:
        found += [b.heading(_("Notes")), b.notes(sheet.notes)]
    return found


def _by_length(given: tuple[Figure, ...]) -> list[tuple[Figure, ...]]:
    """Long figures first, by themselves, so that short ones still stand side by side."""
    long = tuple(f for f in given if len(f.value) > 27)
    short = tuple(f for f in given if len(f.value) <= 27)
    return [part for part in (long, short) if part]


@dataclass(frozen=True, slots=True)
class DivisionRow:
    """Where the device stands at one tooth: ``turns`` and ``setting`` (hole or dial), as they are set."""

    tooth: int
    turns: str
    setting: str
    spindle_deg: float
    zone: Zone = "sound"


@dataclass(frozen=True, slots=True)
class Division:
    """The division table. ``setting_word`` heads the column of settings ("Hole on 23", "Dial")."""

    title: Title
    device: str
    move: str
    setting_word: str
    rows: tuple[DivisionRow, ...]
    closing: str
    witness_every: int = 10
    notes: tuple[str, ...] = ()
    dividing: tuple[Drawing, ...] = ()


def division_blocks(given: Division) -> list[Block]:
    """Blocks of the division table: forty teeth a page, a heavy line where the witness is due."""
    header = (_("Tooth"), _("Turns"), given.setting_word, _("Spindle, degrees"), _("Zone"), _("Set"), _("Cut"))
    found: list[Block] = [b.say(given.move, large=True), b.say(given.device)]
    if given.dividing:
        found.append(b.drawings(given.dividing, 68))
    first = LINES - DRAWN if given.dividing else LINES
    for start in (0, *range(first, len(given.rows), LINES)):
        rows = [
            (str(r.tooth), r.turns, r.setting, f"{r.spindle_deg:.3f}", _zone_letter(r.zone), None, None)
            for r in given.rows[start : start + (LINES if start else first)]
        ]
        if start:
            found.append(b.NEW_PAGE)
        table = b.table(
            header,
            rows,
            widths=(0.8, 0.8, 1.5, 1.3, 0.7, 0.5, 0.5),
            align="rrrrccc",
            row_mm=5.3,
            size=13,
            first=start + 1,
            bold_every=given.witness_every,
        )
        found.append(table)
    found += [b.heading(_("After the last tooth")), b.say(given.closing), b.checks([_("Closing check holds.")])]
    lines = [_("Heavy line: stop and read the witness before going on."), *given.notes]
    found += [b.heading(_("Notes")), b.notes(lines)]
    return found


@dataclass(frozen=True, slots=True)
class ToothSheet:
    """Boxes to tick, in the order of cutting; ``laps`` are the teeth of each lap with their zone."""

    title: Title
    laps: tuple[tuple[tuple[int, Zone], ...], ...]
    how: str = ""
    notes: tuple[str, ...] = ()


def tooth_sheet_blocks(sheet: ToothSheet) -> list[Block]:
    """Blocks of the tooth sheet."""
    found: list[Block] = [b.say(sheet.how)] if sheet.how else []
    zones = {zone for lap in sheet.laps for _tooth, zone in lap}
    entries = [
        (zone, _zone_letter(zone), _zone_word(zone)) for zone in ("hard", "weld", "heat_affected") if zone in zones
    ]
    if entries:
        found.append(b.legend(entries))
    for n, lap in enumerate(sheet.laps, 1):
        if len(sheet.laps) > 1:
            found.append(b.heading(_("Lap {n}", n=n)))
        for start in range(0, len(lap), BOXES):
            if start:
                found.append(b.NEW_PAGE)
            found.append(b.boxes((tooth, zone, _zone_letter(zone)) for tooth, zone in lap[start : start + BOXES]))
    if sheet.notes:
        found += [b.heading(_("Notes")), b.notes(sheet.notes)]
    found.append(b.signatures([(_("Last tooth done, last hole or dial, degrees"), ""), (_("By, on"), "")]))
    return found


@dataclass(frozen=True, slots=True)
class Measured:
    """One thing measured after the work: against which value, by whom, with what."""

    what: str
    where: str
    value: str
    wanted: str
    result: Result
    by: str = ""
    instrument: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class HandOver:
    """The hand-over report. ``sure`` says how sure the identification is; nothing measured is said so."""

    title: Title
    customer: str
    identification: tuple[Figure, ...]
    sure: str
    before: Drawing | None
    after: Drawing | None
    done: tuple[str, ...]
    measured: tuple[Measured, ...]
    not_warranted: tuple[str, ...]
    cautions: tuple[str, ...]
    back_on: str = ""
    signed: tuple[tuple[str, str], ...] = ()


def hand_over_blocks(report: HandOver) -> list[Block]:
    """Blocks of the hand-over report."""
    found: list[Block] = [b.say(_("For {customer}", customer=report.customer))] if report.customer else []
    found += [b.heading(_("What it is")), b.figures(report.identification), b.say(report.sure)]
    maps = [d for d in (report.before, report.after) if d]
    if maps:
        found += [b.heading(_("Before and after")), b.drawings(maps, 78 if len(maps) == 2 else 90)]
    if report.done:
        found += [b.heading(_("What was done")), b.notes(report.done)]
    found.append(b.heading(_("Measured after the work")))
    if report.measured:
        header = (_("What"), _("Where"), _("Reading"), _("Against"), _("Result"), _("By, with"))
        rows = [
            (
                "\n".join(p for p in (m.what, m.remark) if p),
                m.where,
                m.value or ("–" if m.result == "seen" else _("not read")),
                m.wanted,
                _result_word(m.result),
                ", ".join(p for p in (m.by, m.instrument) if p),
            )
            for m in report.measured
        ]
        found.append(b.table(header, rows, widths=(2.1, 0.8, 0.9, 1.2, 0.9, 1.2), align="llrrll"))
    else:
        found.append(b.say(_("Nothing was measured.")))
    if report.back_on:
        found += [b.heading(_("Back on the machine")), b.say(report.back_on)]
    if report.cautions:
        found.append(b.caution(_("Caution"), report.cautions))
    if report.not_warranted:
        found += [b.heading(_("Not warranted")), b.notes(report.not_warranted, with_next=True)]
    signed = report.signed or ((_("For the shop: name, date"), ""), (_("Received: name, date"), ""))
    return [*found, b.signatures(signed)]


def _zone_letter(zone: str) -> str:
    return {"sound": "", "hard": _("H"), "weld": _("W"), "heat_affected": _("A")}[zone]


def _zone_word(zone: str) -> str:
    return {"sound": _("sound"), "hard": _("hard"), "weld": _("weld"), "heat_affected": _("beside a weld")}[zone]


def _result_word(result: str) -> str:
    return {"holds": _("holds"), "fails": _("FAILS"), "seen": _("seen"), "": _("not judged")}[result]


def setup_sheet(data: SetUp) -> bytes:
    """The set-up sheet as PDF."""
    return b.typeset(_("Set-up sheet"), data.title, set_up_blocks(data))


def division_table(data: Division) -> bytes:
    """The division table as PDF."""
    return b.typeset(_("Division table"), data.title, division_blocks(data))


def tooth_sheet(data: ToothSheet) -> bytes:
    """The tooth sheet as PDF."""
    return b.typeset(_("Tooth sheet"), data.title, tooth_sheet_blocks(data))


def hand_over(data: HandOver) -> bytes:
    """The hand-over report as PDF."""
    return b.typeset(_("Hand-over report"), data.title, hand_over_blocks(data))


def zone_names(zones: Iterable[Zone]) -> str:
    """The zones in words, each once, in the order met."""
    return ", ".join(dict.fromkeys(_zone_word(zone) for zone in zones))
