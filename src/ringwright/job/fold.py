"""The fold: from a round's sheet and log to its state; the log is the truth about acts.

Pure, and driven by ``transitions.json``, which the browser runs as well; ``tests/fold_vectors.json`` holds both to the
same answers. The whole log is folded anew each time: a round has some hundreds of events.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from ringwright.job.events import Event, Logged
from ringwright.job.sheet import RoundSheet
from ringwright.job.state import Aside, MarkKind, Slip, State, ToothMark


@cache
def transitions() -> Mapping[str, Any]:
    """The table; its ``about`` says how it is read."""
    table: Mapping[str, Any] = json.loads((files("ringwright.job") / "transitions.json").read_text("utf-8"))
    return table


def fold(sheet: RoundSheet, log: Iterable[Logged]) -> State:
    """The state of a round after its log, taken in the order of ``seq``.

    >>> from ringwright.job.sheet import Closing, Position, Provenance, Row, WitnessRule
    >>> sheet = RoundSheet(
    ...     job_id="a", round_id="r", title="t", teeth_on_ring=5,
    ...     provenance=Provenance(made_by="", contract=1, tables_digest=""),
    ...     rows=tuple(Row(tooth=t, move_words="", position=Position(spindle_deg=72.0 * t - 72)) for t in (1, 2)),
    ...     witness=WitnessRule(kind="spindle_deg", within_deg=9), closing=Closing(divisions=5, spindle_deg=0))
    >>> fold(sheet, ()).phase, fold(sheet, ()).left
    ('dry_run', 2)
    """
    folding = _Folding(sheet)
    for logged in sorted(log, key=lambda one: one.seq):
        folding.take(logged.seq, logged.event)
    return folding.state()


class _Folding:
    """The table's guards and actions over what is known so far; one instance per fold."""

    def __init__(self, sheet: RoundSheet) -> None:
        self.sheet = sheet
        self.order = sheet.order
        self.place = {tooth: i for i, tooth in enumerate(self.order)}
        self.phase: Any = transitions()["start"]
        self.seq = 0
        self.started = self.dry_run_closed = self.was_released = self.awaiting = self.is_closed = self.is_finished = (
            False
        )
        self.scribed: set[int] = set()
        self.at = self.order[0]
        self.marks: dict[int, list[_Pressed]] = {}
        self.teeth_of: dict[str, list[int]] = {}
        self.open = set(self.order)
        self.void: set[str] = set()
        self.since: list[int] = []
        self.slips: list[Slip] = []
        self.aside: list[Aside] = []
        self.too_soon_presses = 0
        self.pause_reason: str | None = None
        self.event: Event = None  # type: ignore[assignment]  # set before any guard or action runs

    def take(self, seq: int, event: Event) -> None:
        self.seq, self.event = seq, event
        table = transitions()["table"]
        why = "not_now"
        for rule in table[self.phase].get(event.kind) or table["*"].get(event.kind, ()):
            failing = next((guard for guard in rule["when"] if not GUARDS[guard](self)), None)
            if failing is None:
                for action in rule["do"]:
                    ACTIONS[action](self)
                self.go(rule["to"])
                return
            why = failing
        self.aside.append(Aside(seq=seq, kind=event.kind, tooth=event.tooth, why=why))

    def go(self, to: str) -> None:
        if self.open:
            self.is_closed = self.is_finished = False
        if to == "settle":
            to = next(step["phase"] for step in transitions()["settle"] if SETTLING[step["if"]](self))
        if to != "same":
            self.phase = to

    # -- what is known ----------------------------------------------------------------------------------------------

    def counting(self, tooth: int) -> list[_Pressed]:
        """The marks of a tooth that were not undone, in order."""
        return [pressed for pressed in self.marks.get(tooth, ()) if pressed.event.event_id not in self.void]

    def mark_of(self, tooth: int) -> _Pressed | None:
        standing = self.counting(tooth)
        return standing[-1] if standing else None

    def contested(self, tooth: int) -> bool:
        """Contrary marks, the later made without knowing of the earlier, and no mark since that knew of both."""
        standing = self.counting(tooth)
        for j, later in enumerate(standing):
            for earlier in standing[:j]:
                contrary = earlier.mark != later.mark and not later.knew(earlier)
                if contrary and not any(r.knew(earlier) and r.knew(later) for r in standing[j + 1 :]):
                    return True
        return False

    def left_teeth(self) -> tuple[int, ...]:
        return tuple(t for t in self.order if t in self.open)

    def look_again(self, tooth: int) -> None:
        """Whether that tooth is still to be done, after its marks have changed."""
        mark = self.mark_of(tooth)
        if mark is not None and mark.mark != "trouble" and not self.contested(tooth):
            self.open.discard(tooth)
        else:
            self.open.add(tooth)

    def next_tooth(self) -> int | None:
        if not self.dry_run_closed:
            return next((t for t in sorted(self.order) if t not in self.scribed), None)
        if not self.was_released:
            return self.order[0]
        here = self.place[self.at]
        onward = self.order[here:] + self.order[:here]
        unmarked = next((t for t in onward if self.mark_of(t) is None), None)
        return unmarked if unmarked is not None else next(iter(self.left_teeth()), None)

    def turned_to(self, degrees: object, wanted: float) -> bool:
        """Whether a reading of the degree scale is the wanted one, within the sheet's allowance, round the circle."""
        if not _is_number(degrees):
            return False
        return abs((degrees - wanted + 540) % 360 - 180) <= self.sheet.witness.within_deg  # type: ignore[operator]

    def reading_agrees(self, data: Mapping[str, Any], degrees: str, tooth: int) -> bool:
        if self.sheet.witness.kind == "painted":
            return _whole(data.get("painted")) == tooth
        return self.turned_to(data.get(degrees), self.degrees_of(tooth))

    def degrees_of(self, tooth: int) -> float:
        return self.sheet.rows[self.place[tooth]].position.spindle_deg

    def run(self) -> tuple[int, ...]:
        """Teeth from..to of a paper run, in the order of cutting; () when that is no run of this round."""
        first, last = (self.place.get(_whole(self.event.data.get(end)), -1) for end in ("from", "to"))
        return self.order[first : last + 1] if 0 <= first <= last else ()

    # -- actions ----------------------------------------------------------------------------------------------------

    def press(self, tooth: int, mark: MarkKind, paper: bool = False) -> None:
        self.marks.setdefault(tooth, []).append(_Pressed(self.seq, self.event, mark, paper))
        self.teeth_of.setdefault(self.event.event_id, []).append(tooth)
        self.look_again(tooth)
        if self.event.event_id in self.void:
            return
        self.at = tooth
        if tooth not in self.since:
            self.since.append(tooth)
        if len(self.since) >= self.sheet.witness.every:
            self.awaiting = True

    def mark(self) -> None:
        assert self.event.tooth is not None  # known_tooth or is_first held
        self.press(self.event.tooth, self.event.kind)  # type: ignore[arg-type]  # the table marks by these kinds only

    def undo(self) -> None:
        tooth = self.event.tooth
        assert tooth is not None  # known_tooth held
        named = self.event.data.get("undoes")
        if not isinstance(named, str):
            me = _Pressed(self.seq, self.event, "done", False)
            known = [pressed for pressed in self.counting(tooth) if me.knew(pressed)]
            named = known[-1].event.event_id if known else ""
        self.void.add(named)
        for changed in self.teeth_of.get(named, ()):
            self.look_again(changed)
        self.since = [t for t in self.since if self.mark_of(t) is not None]
        stood = _whole(self.event.data.get("stood_at"))
        self.at = stood if stood in self.place else tooth

    def paper(self) -> None:
        run, data = self.run(), self.event.data
        for tooth in run:
            self.press(tooth, "done", paper=True)
        hole, wanted = data.get("last_hole"), self.sheet.rows[self.place[run[-1]]].position.hole
        if not _is_number(data.get("painted" if self.sheet.witness.kind == "painted" else "degrees")):
            self.awaiting = True
        elif self.reading_agrees(data, "degrees", run[-1]) and _same_hole(hole, wanted):
            self.good_witness()
        else:
            self.slip()

    def good_witness(self) -> None:
        self.since, self.awaiting = [], False
        self.slips = [slip.model_copy(update={"settled": True}) for slip in self.slips]

    def slip(self) -> None:
        data, self.awaiting = self.event.data, True
        painted, degrees = data.get("painted"), data.get("spindle_deg", data.get("degrees"))
        if self.sheet.witness.kind == "painted":
            stands_at = _whole(painted) if _whole(painted) in self.place else None
        else:
            stands_at = next((t for t in self.order if self.turned_to(degrees, self.degrees_of(t))), None)
        self.slips.append(Slip(seq=self.seq, at_tooth=self.at, stands_at=stands_at, teeth=tuple(self.since)))

    def resume(self) -> None:
        self.pause_reason, self.awaiting = None, True

    def do_pause(self) -> None:
        reason = self.event.data.get("reason")
        self.pause_reason = reason if isinstance(reason, str) else ""

    def close_dry_run(self) -> None:
        self.dry_run_closed, self.at = True, self.order[0]

    def scribe(self) -> None:
        assert self.event.tooth is not None  # known_tooth held
        self.scribed.add(self.event.tooth)
        self.at = self.event.tooth

    def close(self) -> None:
        self.good_witness()
        self.is_closed, self.at = True, self.order[0]

    def returns(self) -> bool:
        data, closing = self.event.data, self.sheet.closing
        hole, degrees = data.get("hole"), data.get("spindle_deg")
        return (
            data.get("falls_in_first") is True
            and _same_hole(hole, closing.hole)
            and (degrees is None or self.turned_to(degrees, closing.spindle_deg))
        )

    def readable(self) -> bool:
        kind = self.sheet.witness.kind
        return _is_number(self.event.data.get(kind))

    def state(self) -> State:
        """Everything as the screen wants it."""
        standing = {tooth: mark for tooth in self.order if (mark := self.mark_of(tooth)) is not None}
        left = self.left_teeth()
        return State(
            phase=self.phase,
            seq=self.seq,
            started=self.started,
            scribed=len(self.scribed),
            dry_run_closed=self.dry_run_closed,
            released=self.was_released,
            at_tooth=self.at,
            next_tooth=self.next_tooth(),
            left=len(left),
            left_teeth=left,
            marks=tuple(pressed.shown(tooth) for tooth, pressed in standing.items()),
            since_witness=tuple(self.since),
            awaiting_witness=self.awaiting,
            slips=tuple(self.slips),
            contested=tuple(t for t in self.order if self.contested(t)),
            other_plan=tuple(t for t, mark in standing.items() if mark.event.sheet_digest != self.sheet.digest),
            too_soon=self.too_soon_presses,
            pause_reason=self.pause_reason,
            closed=self.is_closed,
            set_aside=tuple(self.aside),
        )


class _Pressed:
    """One mark in the log."""

    def __init__(self, seq: int, event: Event, mark: MarkKind, paper: bool) -> None:
        self.seq, self.event, self.mark, self.paper = seq, event, mark, paper

    def knew(self, other: _Pressed) -> bool:
        """Whether the station that made this one had seen the other; without ``seen_seq`` it had seen nothing."""
        seen = self.event.data.get("seen_seq")
        return other.event.station == self.event.station or (_is_number(seen) and other.seq <= seen)  # type: ignore[operator]

    def shown(self, tooth: int) -> ToothMark:
        return ToothMark(
            tooth=tooth,
            mark=self.mark,
            seq=self.seq,
            event_id=self.event.event_id,
            station=self.event.station,
            paper=self.paper,
        )


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _whole(value: object) -> int:
    """A whole number, also one that came as 3.0; -1 for anything else."""
    return int(value) if _is_number(value) and value == int(value) else -1  # type: ignore[call-overload]


def _same_hole(given: object, wanted: int | None) -> bool:
    return given is None or wanted is None or _whole(given) == wanted


GUARDS: Mapping[str, Callable[[_Folding], bool]] = {
    "known_tooth": lambda f: f.event.tooth in f.place,
    "is_first": lambda f: f.event.tooth == f.order[0],
    "released": lambda f: f.was_released,
    "closes": lambda f: f.event.data.get("closes") is True,
    "first_done": lambda f: (mark := f.mark_of(f.order[0])) is not None and mark.mark == "done",
    "within": lambda f: f.event.data.get("within") is True,
    "good_run": lambda f: f.run() != (),
    "readable": _Folding.readable,
    "agrees": lambda f: f.reading_agrees(f.event.data, "spindle_deg", f.at),
    "checked": lambda f: set(f.sheet.rechecks) <= set(_texts(f.event.data.get("checked"))),
    "returns": _Folding.returns,
    "closed": lambda f: f.is_closed,
    "none_contested": lambda f: not any(f.contested(t) for t in f.order),
}


def _texts(value: object) -> list[str]:
    return [one for one in value if isinstance(one, str)] if isinstance(value, list | tuple) else []


def _sets(**values: object) -> Callable[[_Folding], None]:
    def action(folding: _Folding) -> None:
        for name, value in values.items():
            setattr(folding, name, value)

    return action


def _dry_run_again(folding: _Folding) -> None:
    folding.scribed, folding.at = set(), folding.order[0]


def _count_too_soon(folding: _Folding) -> None:
    folding.too_soon_presses += 1


def _nothing(_: _Folding) -> None:
    return None


ACTIONS: Mapping[str, Callable[[_Folding], None]] = {
    "start": _sets(started=True),
    "scribe": _Folding.scribe,
    "close_dry_run": _Folding.close_dry_run,
    "dry_run_again": _dry_run_again,
    "mark": _Folding.mark,
    "undo": _Folding.undo,
    "measured": _nothing,
    "release": _sets(was_released=True),
    "paper": _Folding.paper,
    "good_witness": _Folding.good_witness,
    "slip": _Folding.slip,
    "pause": _Folding.do_pause,
    "resume": _Folding.resume,
    "close": _Folding.close,
    "close_failed": _Folding.slip,
    "finish": _sets(is_finished=True),
    "count_too_soon": _count_too_soon,
    "pass": _nothing,
}

SETTLING: Mapping[str, Callable[[_Folding], bool]] = {
    "awaiting_witness": lambda f: f.awaiting,
    "dry_run_open": lambda f: not f.dry_run_closed,
    "not_released": lambda f: not f.was_released,
    "teeth_left": lambda f: bool(f.open),
    "finished": lambda f: f.is_finished,
    "always": lambda f: True,
}
