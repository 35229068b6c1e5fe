"""The ring as it was measured: what was pasted or typed becomes readings, and readings are shown again as typed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from ringwright.job.document import AtTooth, JobDocument, RingMeasured
from ringwright.reckon import answers, phrases
from ringwright.reckon.base import Problem, Problems
from ringwright.web.dividing_lines import as_asked
from ringwright.web.forms import Typed, length_mm, whole
from ringwright.web.pages import length, number, signed
from ringwright.words import N_, _, ngettext_

phrases.learn(
    "reading_line",
    N_("Line {line}, “{value}”, is no tooth with its figure."),
    N_("One a line: tooth, then figure; or figures alone, from tooth 1 on."),
    N_("Put that line right; nothing was taken in so far."),
)
phrases.learn(
    "readings_too_many",
    N_("More lines than the ring has teeth."),
    N_("At most one a tooth: {teeth}."),
    N_("Leave out what does not belong to this ring."),
)
phrases.learn(
    "high_where",
    N_("A run-out needs its place, and a place its run-out."),
    N_("What the indicator shows in all, and the tooth where it stands highest."),
    N_("Fill in both, or neither."),
)
phrases.learn(
    "drawn_in_where",
    N_("It is not said between which teeth the ring was drawn in."),
    N_("From which tooth to which, as the numbers run."),
    N_("Fill in both teeth."),
)

#: What the figures of a pasted list stand for -> micrometres.
FIGURES: dict[str, float] = {"um": 1.0, "hundredths": 10.0, "thou": 25.4}
FIGURE_WORDS: dict[str, str] = {
    "um": N_("micrometres"),
    "hundredths": N_("hundredths of a millimetre"),
    "thou": N_("thousandths of an inch"),
}
_FIGURE = r"[+\-−]?\d{1,6}(?:[.,]\d{1,6})?"
_PAIR = re.compile(rf"(\d{{1,4}})(?:\s*[;,\t:]\s*|\s+)({_FIGURE})")
_MOST = 60_000
#: Field of `divide` -> field of the form.
_WHERE = {"pitch_um": "pitches", "run_out_um": "round", "stretch": "shrunk"}


@dataclass(frozen=True, slots=True)
class MeasuredShown:
    """What stands in the form, and in one line."""

    said: str
    run_out: float | None
    high_at: int | str
    shrunk: float | None
    from_tooth: int | str
    to_tooth: int | str
    pitches: str
    round: str
    by: str


def shown(job: JobDocument, unit: str) -> MeasuredShown:
    """What the job has of the measured ring; the one welded stretch of the map is put forward."""
    of = job.map.measured or RingMeasured()
    welds = [s for s in job.map.stretches if s.kind == "weld"]
    weld = welds[0] if len(welds) == 1 else None
    return MeasuredShown(
        said=", ".join(_said(of, unit)),
        run_out=None if of.run_out_um is None else of.run_out_um / 1000,
        high_at=of.high_at or "",
        shrunk=None if of.shrunk_um is None else of.shrunk_um / 1000,
        from_tooth=of.from_tooth or (weld.first if weld else ""),
        to_tooth=of.to_tooth or (weld.last if weld else ""),
        pitches=_lines(of.pitch_um),
        round=_lines(of.round_um),
        by=of.by,
    )


def _said(of: RingMeasured, unit: str) -> Iterator[str]:
    if of.run_out_um is not None:
        yield _(
            "runs out {mm} {unit}, high at {n}", mm=length(of.run_out_um / 1000, unit), unit=unit, n=of.high_at or "–"
        )
    if of.round_um:
        yield ngettext_("{n} place read round it", "{n} places read round it", len(of.round_um))
    if of.pitch_um:
        yield ngettext_("{n} pitch", "{n} pitches", len(of.pitch_um))
    if of.shrunk_um is not None:
        yield _(
            "drawn in {mm} {unit} from {first} to {last}",
            mm=length(of.shrunk_um / 1000, unit),
            unit=unit,
            first=of.from_tooth or "–",
            last=of.to_tooth or "–",
        )


def _lines(readings: Iterable[AtTooth]) -> str:
    return "\n".join(f"{one.tooth} {signed(one.um, 1) if one.um else number(one.um)}" for one in readings)


def read(form: Typed, teeth: int, unit: str) -> RingMeasured | None:
    """The measured ring as typed; None when nothing was; `Problems` with every line that cannot be read."""
    per = FIGURES.get(form["figures"], 1.0)
    pitches = form["pitch_file"] if form.text("pitch_file") else form["pitches"]
    run_out, shrunk = length_mm(form["run_out"], unit, "run_out"), length_mm(form["shrunk"], unit, "shrunk")
    high_at = whole(form["high_at"], "high_at", 1, teeth) if form.text("high_at") else None
    if (run_out is None) != (high_at is None):
        raise Problems([phrases.problem("high_where", "high_at" if high_at is None else "run_out", {})])
    ends = [whole(form[n], n, 1, teeth) if shrunk is not None and form.text(n) else None for n in ("from", "to")]
    if shrunk is not None and None in ends:
        raise Problems([phrases.problem("drawn_in_where", "from" if ends[0] is None else "to", {})])
    found = RingMeasured(
        run_out_um=None if run_out is None else _um(abs(run_out)),
        high_at=high_at,
        round_um=_readings(form["round"], "round", teeth, per),
        pitch_um=_readings(pitches, "pitches", teeth, per),
        shrunk_um=None if shrunk is None else _um(shrunk),
        from_tooth=ends[0],
        to_tooth=ends[1],
        by=form.text("by")[:60],
    )
    if not as_asked(found, teeth):
        return None
    _hold(found, teeth)
    return found


def _um(mm: float) -> float:
    return round(1000 * mm, 3)


def _readings(text: str, where: str, teeth: int, per: float) -> tuple[AtTooth, ...]:
    """Lines as people write and instruments give them; a first line of words is a heading."""
    lines = [(n, line.strip().rstrip(";,")) for n, line in enumerate(text[:_MOST].splitlines(), 1) if line.strip()]
    if lines and not re.search(r"\d", lines[0][1]):
        lines = lines[1:]
    if len(lines) > teeth:
        raise Problems([phrases.problem("readings_too_many", where, {"teeth": teeth})])
    alone = all(re.fullmatch(_FIGURE, line) and not re.fullmatch(r"\d{1,4},\d+", line) for _n, line in lines)
    found, wrong = [], list[Problem]()
    for at, (n, line) in enumerate(lines, 1):
        pair = (str(at), line) if alone else m.groups() if (m := _PAIR.fullmatch(line)) else None
        if pair is None or abs(um := per * _figure(pair[1])) > 100_000:
            wrong.append(phrases.problem("reading_line", where, {"line": n, "value": line[:40]}))
            continue
        if not 1 <= int(pair[0]) <= teeth:
            facts = {"value": int(pair[0]), "low": 1, "high": teeth}
            wrong.append(phrases.problem("out_of_range", where, facts))
            continue
        found.append(AtTooth(tooth=int(pair[0]), um=round(um, 3)))
    if wrong:
        raise Problems(wrong[:20])
    return tuple(sorted(found, key=lambda one: one.tooth))


def _figure(text: str) -> float:
    return float(text.replace("−", "-").replace(",", "."))


def _hold(found: RingMeasured, teeth: int) -> None:
    """Let `divide` say what it cannot use, at the fields of the form."""
    asked: dict[str, Any] = {
        "divisions": teeth,
        "device": {"ratio": 40},
        "radius_mm": 100,
        "methods": ["from_teeth"],
        "work": "lead_in",
        "measured": as_asked(found, teeth),
    }
    if found.pitch_um:  # a few pitches serve a few teeth; whether they serve a round is said where it is set out
        asked["teeth"] = sorted({one.tooth for one in found.pitch_um})
    try:
        answers.answer("divide", asked)
    except Problems as faults:
        raise Problems([_moved(problem) for problem in faults.problems]) from None


def _moved(problem: Problem) -> Problem:
    field = next((place for name, place in _WHERE.items() if name in problem.where), "")
    return problem.model_copy(update={"where": field})
